"""What nobody states: known before the survey, which asks for some of it while volts are there."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.read_here import untold
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.told_how import ToldHow, told_how
from wiremap.content.words import few

LEAD = "Looked for now, at the machine, in its papers, on the part: what was found, or who says so."
UNTOLD = "no reading of this sheet tells it: not {deed} before a named person has said it"
SURVEYED = "the survey reads it, ticked at its end"
AT_JOINT = "said by name at its joint, before it is cut"
LOOKED_FOR = "what was found"
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
    holding = set(untold(given))
    every = told_how(given)
    asked = [each for each in every if each.here]
    asked.sort(key=lambda each: holding.isdisjoint(each.here))  # what holds the work is first
    for each in asked[:MOST]:
        held = not holding.isdisjoint(each.here)
        yield Step(at=few(each.left.subject), text=_words(given, each, held=held), slot=Slot.BLANK)
    more = asked[MOST:]
    if more:
        yield Step(text=f"And {len(more)} more, in the annex of findings", slot=Slot.BLANK)
    for each in every:
        if not each.here:
            text = _words(given, each, held=False)
            yield Step(at=few(each.left.subject), text=text, slot=Slot.NONE)


def _words(given: Given, each: ToldHow, *, held: bool) -> str:
    """Why it is not judged, and how it comes to be known; of several ways whose each is."""
    untold_here = UNTOLD.format(deed="mated" if given.adapter else "cut") if held else ""
    ways = ((each.survey, SURVEYED), (each.joint, AT_JOINT), (each.here, untold_here))
    told = [(points, how) for points, how in ways if points]
    if each.ways > 1:
        found = (f"{few(points)}: {how or LOOKED_FOR}" for points, how in told)
        return "; ".join((each.left.why, *found))
    (how,) = (how for _, how in told)
    sign = ":" if each.survey or each.joint else ";"
    return f"{each.left.why}{sign} {how}" if how else each.left.why


PAGE = Page(key="not-judged", stage=Stage.JOB, make=not_judged_section, order=9)
