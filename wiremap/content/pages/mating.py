"""Mating, one unit after another, battery off each time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from wiremap.content.bus import mated_reading
from wiremap.content.given import Given
from wiremap.content.mated_bus import read_when_mated
from wiremap.content.pieces import Section
from wiremap.content.power_steps import power_blocks, split_at_mating
from wiremap.content.small_faces import small_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step, Steps
from wiremap.content.words import listed
from wiremap.firstpower.step import VOLTS, PowerStep
from wiremap.model import PROBED_FROM, Address, OnOff


def mating_section(given: Given) -> Section | None:
    """The steps until all is mated; None where nothing is."""
    _, mating = split_at_mating(given.power)
    if not mating:
        return None
    read = _read(mating).intersection(given.unmated_faces)
    return Section(
        key="mating",
        title="Mating",
        drawn_from="volts at the faces that are still unmated" if read else "",
        blocks=(*small_faces(given, read, PROBED_FROM), *_blocks(given, mating)),
        fresh=False,
        faces_again=True,
    )


def _read(mating: Sequence[PowerStep]) -> set[str]:
    """The faces that are read while others are mated already."""
    return {Address.read(step.red).end for step in mating if step.quantity == VOLTS and step.red}


def _blocks(given: Given, mating: Sequence[PowerStep]) -> Iterator[Steps]:
    """A block for each mating; in it the bus is read while the battery is still off."""
    for group in _matings(mating):
        steps: list[Step] = []
        for block in power_blocks(given.harness, group):
            steps += block.steps
        mated = [power for power in group if power.mates]
        for power in mated:
            place = [step.n for step in steps].index(f"P{power.n}") + 1
            steps[place:place] = map(mated_reading, read_when_mated(given, power.mates))
        names = listed(*(power.mates for power in mated))
        yield Steps(title=f"Mate {names}", steps=tuple(steps))


def _matings(steps: Sequence[PowerStep]) -> Iterator[Sequence[PowerStep]]:
    """The steps of each mating: the ignition goes off before the battery does."""
    begins = [i for i, step in enumerate(steps) if _begins(steps, i)]
    for start, end in pairwise((0, *begins, len(steps))):
        yield steps[start:end]


def _begins(steps: Sequence[PowerStep], i: int) -> bool:
    """Whether a deed turns the ignition off for a further mating."""
    off = steps[i].turns == OnOff.OFF
    return off and any(s.mates for s in steps[:i]) and any(s.mates for s in steps[i:])


PAGE = Page(key="mating", stage=Stage.MATING, make=mating_section, order=1)
