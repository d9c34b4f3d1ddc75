"""Joint places at true scale, a strip for every run."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.joint_sleeves import sleeve_mm
from wiremap.content.joint_work import joint_numbers
from wiremap.content.pieces import NAME_LETTERS, Block, Section, Strip, StripJoint, TextPiece
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import listed, number, spaced
from wiremap.model import EndKind
from wiremap.sizing.placing import RunLayout
from wiremap.sizing.stagger import lengths_to_cut, remake_slack_mm
from wiremap.trade.limits import limit


def strip_section(given: Given) -> Section | None:
    """The strips, or None where no run has any."""
    if not given.runs:
        return None
    return Section(
        key="strip",
        title="Joint places at true scale",
        drawn_from=f"from the last tie of {given.runs[0].machine}, left to right",
        blocks=tuple(block for run in given.runs for block in _run_blocks(given, run)),
        fresh=False,
    )


def _run_blocks(given: Given, run: RunLayout) -> Iterator[Block]:
    """One run: its words, its strip, what is measured for it, names that the strip shortens."""
    if run.layout is None:
        yield TextPiece(f"{run.run}: no places can be given: {run.why}")
        return
    numbers = joint_numbers(given)
    spots = []
    for placed in run.layout.placed:
        if placed.name in numbers:
            length = _shrunk_mm(given, placed.name)
            spots.append(StripJoint(numbers[placed.name], placed.name, placed.at_mm, length))
    barred = tuple((low, high) for low, high in run.window.barred)
    yield TextPiece(_words(given, run, run.layout.abreast), keep=True)
    yield Strip(run_mm=run.window.run_mm, spots=tuple(spots), keep_out=barred)
    if spots:
        yield Steps(steps=tuple(_measured(given, run)), whole=True)
    shortened = [f"J{spot.n} {spot.name}" for spot in spots if len(spot.name) > NAME_LETTERS]
    if shortened:
        yield TextPiece(f"In full: {'; '.join(shortened)}.")


def _words(given: Given, run: RunLayout, abreast: int) -> str:
    """Which run it is, how the joints lie, and why none lies on a hatched stretch."""
    lie = "one joint at a place" if abreast == 1 else f"at most {abreast} side by side"
    length = number(run.window.run_mm)
    words = f"{run.machine} (0) to {run.unit} ({length} mm), {lie}, sleeves as shrunk."
    if not run.window.barred:
        return words
    why = ""
    for stated in given.job.runs:
        if {stated.a, stated.b} == {run.machine, run.unit}:
            why = listed(*(keep_out.why for keep_out in stated.keep_out))
            break
    return spaced(
        words, f"Hatched, no middle of a joint: {why}." if why else "Hatched: no middle of a joint."
    )


def _measured(given: Given, run: RunLayout) -> Iterator[Step]:
    """The lengths that the joints' places need, held against the harness before it is cut."""
    for name in (run.machine, run.unit):
        end, needs = given.job.ends[name], _longest(given, name)
        if needs is None:
            continue
        words = "free from its last tie to where it is cut off"
        if end.kind is EndKind.CUT_TAIL:
            words = "free from its last tie to the old plug, which keeps some of it"
            needs += limit("kept-plug-tail-mm")
        want = f"at least {number(math.ceil(needs))} mm"
        yield Step(at=name, text=words, want=want, slot=Slot.BLANK, unit="mm")
    shortest = run.window.run_mm - _to_take(run)
    longest = run.window.run_mm + _to_give(run)
    yield Step(
        at=f"{run.machine} to {run.unit}",
        text="from last tie to last tie, as it will lie; else stop",
        want=f"{number(math.ceil(shortest))} to {number(math.floor(longest))} mm",
        slot=Slot.BLANK,
        unit="mm",
    )


def _to_take(run: RunLayout) -> float:
    """How much shorter the run may lie than drawn [mm]: the unit's tie comes that much nearer, and
    no joint may come to lie where none may; no tail stands out by more than it has to spare.
    """
    ends = [*(low for low, _ in run.window.barred), run.window.run_mm]
    placed = run.layout.placed if run.layout is not None else ()
    free = (min(end - joint.at_mm for end in ends if end >= joint.at_mm) for joint in placed)
    return min(remake_slack_mm() / 2, *free, math.inf)


def _to_give(run: RunLayout) -> float:
    """How much longer the run may lie than drawn [mm]: half of the least slack, the other half
    stays for making a joint again.
    """
    cuts = lengths_to_cut(run.layout, run.window) if run.layout is not None else ()
    return min((cut.slack_mm for cut in cuts), default=0.0) / 2


def _longest(given: Given, name: str) -> float | None:
    """The longest piece that is cut of an end's own wires [mm]; None where none is known."""
    lengths = []
    for conductor in given.worked_conductors:
        cut = given.cut(conductor.id)
        end = given.harness.end_of(conductor.point or "")
        if conductor.is_tail and cut is not None and end is not None and end.name == name:
            lengths.append(cut.mm)
    return max(lengths, default=None)


def _shrunk_mm(given: Given, joint: str) -> float:
    """How long the sleeve of a joint is once shrunk [mm]."""
    size = given.joint_size(joint)
    if size is None or size.made is None or size.made.sleeve is None:
        return 0.0
    return sleeve_mm(given, joint) * (1 - size.made.sleeve.length_change)


PAGE = Page(key="strip", stage=Stage.PLACES, make=strip_section, order=3)
