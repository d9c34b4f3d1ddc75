"""What nobody states: known before the survey, which asks for some of it while volts are there."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.read_here import not_judged_by_reason
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import few

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
    """Those of one reason together; what the survey reads is written behind its readings."""
    told = list(not_judged_by_reason(given))
    reasons = {why: named for why, named, rows in told if not rows}
    for why, named in list(reasons.items())[:MOST_REASONS]:
        yield Step(at=few(named), text=why, slot=Slot.BLANK)
    more = len(reasons) - MOST_REASONS
    if more > 0:
        yield Step(text=f"And {more} more, in the annex of findings", slot=Slot.BLANK)
    for why, named, rows in told:
        if rows:
            text = f"{why}: written in where the survey has read it"
            yield Step(at=few(named), text=text, slot=Slot.NONE)


PAGE = Page(key="not-judged", stage=Stage.JOB, make=not_judged_section, order=9)
