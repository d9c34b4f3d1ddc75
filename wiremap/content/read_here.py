"""What nobody has read yet and this sheet reads: at which rows of the survey."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from wiremap.content.given import Given
from wiremap.content.steps import Step
from wiremap.content.words import few
from wiremap.evidence.expected import Quantity
from wiremap.sizing.unjudged import NotJudged

TOLD = "told by these readings, if the count below is 0"


def read_at(given: Given, points: Collection[str], block: Quantity | None = None) -> list[str]:
    """The survey's rows at which some points are read, `S13`; of one block, if it is named."""
    rows = given.survey.rows if given.survey else ()
    return [
        f"S{row.n}"
        for row in rows
        if block in (None, row.block) and (row.red in points or row.black in points)
    ]


def rows_that_tell(given: Given, left: NotJudged) -> list[str]:
    """The survey's rows that will tell what nobody states; empty where they do not tell it all."""
    told = left.by_reading and all(read_at(given, (point,)) for point in left.subject)
    return read_at(given, left.subject) if told else []


def told_now(given: Given) -> Iterator[Step]:
    """What nobody had stated, and these readings tell if none is wrong or left open."""
    for left in given.not_judged:
        if rows_that_tell(given, left):
            yield Step(at=few(left.subject), text=f"{left.why}: {TOLD}")
