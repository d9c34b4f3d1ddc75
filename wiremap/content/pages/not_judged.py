"""What nobody states: written in at the machine once it is surveyed, before anything is cut."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import few

LEAD = "Looked for at the machine, in its papers, on the part: what was found, or who stands to it."
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
    for why, subjects in list(reasons.items())[:MOST_REASONS]:
        yield Step(at=few(list(dict.fromkeys(subjects))), text=why, slot=Slot.BLANK)
    more = len(reasons) - MOST_REASONS
    if more > 0:
        yield Step(text=f"And {more} more, in the annex of findings", slot=Slot.BLANK)


PAGE = Page(key="not-judged", stage=Stage.PLACES, make=not_judged_section, order=9, lifts_hold=True)
