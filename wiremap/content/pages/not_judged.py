"""What nobody states: known before the survey, which asks for some of it while volts are there."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.named_first import named_first
from wiremap.content.pieces import Section
from wiremap.content.read_here import points_told, untold
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import few, spaced

LEAD = "Looked for now, at the machine, in its papers, on the part: what was found, or who says so."
UNTOLD = "; no reading of this sheet tells it: not {deed} before a named person has said it"
READ_LATER = "the survey reads {}, ticked at its end"
SAID_LATER = "said by name at its joint, before it is cut"
MOST = 12


def not_judged_section(given: Given) -> Section | None:
    """What the verdict does not speak of, a line for each; None where it speaks of all."""
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
    """One by one, as the head of each page counts them; what the survey tells is ticked there."""
    told = [(left, points_told(given, left)) for left in given.not_judged]
    later = named_first(given)
    asked = (
        (left, [a for a in left.subject if a not in points and a not in later])
        for left, points in told
    )
    looked_for = [(left, points) for left, points in asked if points]
    holding = set(untold(given))
    looked_for.sort(key=lambda found: holding.isdisjoint(found[1]))  # what holds the work is first
    for left, points in looked_for[:MOST]:
        deed = "mated" if given.adapter else "cut"
        held = "" if holding.isdisjoint(points) else UNTOLD.format(deed=deed)
        yield Step(at=few(points), text=f"{left.why}{held}", slot=Slot.BLANK)
    more = len(looked_for) - MOST
    if more > 0:
        yield Step(text=f"And {more} more, in the annex of findings", slot=Slot.BLANK)
    for left, points in told:
        named = [a for a in left.subject if a in later]
        which = (few(points), few(named)) if points and named else ("it", "")
        words = [READ_LATER.format(which[0])] if points else []
        words += [spaced(which[1], SAID_LATER)] if named else []
        if words:
            text = f"{left.why}: {'; '.join(words)}"
            yield Step(at=few([*points, *named]), text=text, slot=Slot.NONE)


PAGE = Page(key="not-judged", stage=Stage.JOB, make=not_judged_section, order=9)
