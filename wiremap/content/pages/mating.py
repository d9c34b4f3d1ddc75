"""Mating, one unit after another, battery off each time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiremap.content.bus import mated_reading
from wiremap.content.given import Given
from wiremap.content.mated_bus import read_when_mated
from wiremap.content.pieces import Block, Section
from wiremap.content.power_steps import parted_at_mating, power_blocks
from wiremap.content.small_faces import small_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Steps
from wiremap.firstpower.step import VOLTS, PowerStep
from wiremap.model import Address, LookedAt


def mating_section(given: Given) -> Section | None:
    """The steps until all is mated; None where nothing is."""
    _, mating = parted_at_mating(given.power)
    if not mating:
        return None
    return Section(
        key="mating",
        title="Mating",
        drawn_from="volts at the faces that are still unmated",
        blocks=(*_faces(given, mating), *_blocks(given, mating)),
        fresh=False,
        faces_again=True,
    )


def _faces(given: Given, mating: Sequence[PowerStep]) -> Iterator[Block]:
    """The faces that are read while others are mated already."""
    read = {Address.read(step.red).end for step in mating if step.quantity == VOLTS and step.red}
    yield from small_faces(given, read.intersection(given.unmated_faces), LookedAt.MATING)


def _blocks(given: Given, mating: Sequence[PowerStep]) -> Iterator[Steps]:
    """The steps, and the bus read once its in-line unit is mated, while a face is still open."""
    start = 0
    for i, step in enumerate(mating):
        ohms = tuple(mated_reading(each) for each in read_when_mated(given, step.mates))
        if ohms:
            yield from power_blocks(given.harness, mating[start : i + 1])
            yield Steps(title=f"The bus with {step.mates} mated, battery off", steps=ohms)
            start = i + 1
    yield from power_blocks(given.harness, mating[start:])


PAGE = Page(key="mating", stage=Stage.MATING, make=mating_section, order=1)
