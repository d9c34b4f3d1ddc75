"""What nobody states: known before the survey, which asks for some of it while volts are there."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import few, listed

LEAD = (
    "Looked for at the machine, in its papers, on the part, while the battery is on: what was "
    "found, or who stands to it."
)
MOST_REASONS = 12


def not_judged_section(given: Given) -> Section | None:
    """What the verdict does not speak of, a line for each reason; None where it speaks of all."""
    steps = tuple(_steps(given))
    if not steps:
        return None
    return Section(
        key="not-judged",
        title="Not judged, as nobody states it",
        drawn_from="written in by hand",
        blocks=(Steps(steps=steps),),
        lead=LEAD,
        fresh=False,
    )


def _steps(given: Given) -> Iterator[Step]:
    """Those of one reason together."""
    reasons: dict[str, list[str]] = {}
    for each in given.not_judged:
        reasons.setdefault(each.why, []).extend(each.subject)
    read = {each.why for each in given.not_judged if each.by_reading}
    for why, subjects in list(reasons.items())[:MOST_REASONS]:
        named = list(dict.fromkeys(subjects))
        told = listed(why, _asked(given, named) if why in read else "")
        yield Step(at=few(named), text=told, slot=Slot.BLANK)
    more = len(reasons) - MOST_REASONS
    if more > 0:
        yield Step(text=f"And {more} more, in the annex of findings", slot=Slot.BLANK)


def _asked(given: Given, subjects: Collection[str]) -> str:
    """Whether the survey reads it, where nobody has read there yet."""
    rows = given.survey.rows if given.survey else ()
    asked = {point for row in rows for point in (row.red, row.black)}
    return "the survey reads it" if asked.issuperset(subjects) else ""


PAGE = Page(key="not-judged", stage=Stage.JOB, make=not_judged_section, order=9)
