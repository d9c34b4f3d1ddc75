"""Handing over: what was fitted, what is not proven, what differs from the sheet, who did it."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Section
from wiremap.content.reaches import twist_words
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.stops import NONE_OPEN
from wiremap.content.words import listed
from wiremap.ringout.gaps import GapKind, Unproven, gap_lines

SIGNED = (
    "Departed from this sheet where, and why",
    "Built by, date, hours",
    "First power by, date",
)
ELSEWHERE = (
    GapKind.HIDDEN,
    GapKind.UNHEARD,
    GapKind.UNTESTED_PAIRS,
)  # gaps that are told in numbers or not at all


def sign_section(given: Given) -> Section:
    """What was fitted, what is not proven, what differs, and who signs."""
    blocks: list[Block] = [*_relabelled(given), *_unproven(given)]
    signed = [Step(text=words, slot=Slot.LINE) for words in SIGNED]
    blocks.append(Steps(title="Written down and signed", steps=(*signed, NONE_OPEN)))
    return Section(
        key="sign",
        title="Handing over",
        drawn_from="names and dates in ink",
        blocks=tuple(blocks),
        fresh=False,
    )


def _relabelled(given: Given) -> Iterator[Steps]:
    """Each fuse of another rating than the one found: its box says so; the card names them all."""
    steps = tuple(
        Step(
            at=fuse.name,
            text=f"{fuse.rating}, for {listed(*fuse.feeds)}; {fuse.found_amps:g} A was found: the "
            "box is relabelled.",
        )
        for fuse in given.fuses_out
        if fuse.swapped
    )
    if steps:
        yield Steps(steps=steps)


def _unproven(given: Given) -> Iterator[Steps]:
    """What the ring-out leaves unproven."""
    if given.plan is None:
        return
    gaps = given.plan.not_proven
    told = gap_lines(gap for gap in gaps if gap.kind not in ELSEWHERE and not _boxed(given, gap))
    pairs = sum(len(gap.pairs) for gap in gaps if gap.kind == GapKind.UNTESTED_PAIRS)
    if pairs:
        told.append(f"{pairs} times two circuits that lie apart were not probed against each other")
    if told:
        lines = tuple(Step(text=f"{line}.", slot=Slot.NONE) for line in told)
        yield Steps(title="Not proven by the ring-out", steps=lines)


def _boxed(given: Given, gap: Unproven) -> bool:
    """Whether a step of this sheet has shown what the ring-out leaves open."""
    if gap.kind == GapKind.TWIST:  # a twist of new wires has a box at its joints
        return set(gap.subject) <= set(twist_words(given))
    if gap.kind == GapKind.EMPTY:  # looked into before its plug goes in
        return set(gap.subject) <= {point.address for point in given.treated("blank")}
    return gap.kind == GapKind.CRIMP and any(step.is_loss for step in given.power)


PAGE = Page(key="sign", stage=Stage.HANDING_OVER, make=sign_section, order=2)
