"""What nobody has read yet and this sheet reads: at which rows of the survey."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from wiremap.content.given import Given
from wiremap.content.steps import Slot, Step
from wiremap.content.words import few, listed
from wiremap.evidence.expected import Quantity


def read_at(given: Given, points: Collection[str], block: Quantity | None = None) -> list[str]:
    """The survey's rows at which some points are read, `S13`; of one block, if it is named."""
    rows = given.survey.rows if given.survey else ()
    return [
        f"S{row.n}"
        for row in rows
        if block in (None, row.block) and (row.red in points or row.black in points)
    ]


def not_judged_by_reason(given: Given) -> Iterator[tuple[str, list[str], list[str]]]:
    """Each reason, the points that it is told of, and the survey's rows that will tell of them."""
    reasons: dict[str, dict[str, None]] = {}
    for each in given.not_judged:
        reasons.setdefault(each.why, {}).update(dict.fromkeys(each.subject))
    by_reading = {each.why for each in given.not_judged if each.by_reading}
    for why, points in reasons.items():
        told = why in by_reading and all(read_at(given, (point,)) for point in points)
        yield why, list(points), read_at(given, points) if told else []


def told_now(given: Given) -> Iterator[Step]:
    """What nobody had stated, and these readings tell."""
    for why, named, rows in not_judged_by_reason(given):
        if rows:
            told = f"{why}: what {listed(*rows)} showed"
            yield Step(at=few(named), text=told, slot=Slot.BLANK)
