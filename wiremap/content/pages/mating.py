"""Mating, one unit after another, battery off each time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiremap.content.bus import bus_halves, mated_reading
from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.power_steps import parted_at_mating, power_blocks
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step, Steps
from wiremap.firstpower.step import PowerStep
from wiremap.model import EndKind


def mating_section(given: Given) -> Section | None:
    """The steps until all is mated; None where nothing is."""
    _, mating = parted_at_mating(given.power)
    if not mating:
        return None
    return Section(
        key="mating",
        title="Mating",
        drawn_from="volts at the faces that are still unmated",
        blocks=tuple(_blocks(given, mating)),
        fresh=False,
    )


def _blocks(given: Given, mating: Sequence[PowerStep]) -> Iterator[Steps]:
    """The steps, and the bus read once its in-line unit is mated, while a face is still open."""
    start = 0
    for i, step in enumerate(mating):
        ohms = tuple(_ohms(given, step.mates)) if step.mates else ()
        if ohms:
            yield from power_blocks(given.harness, mating[start : i + 1])
            yield Steps(title=f"The bus with {step.mates} mated, battery off", steps=ohms)
            start = i + 1
    yield from power_blocks(given.harness, mating[start:])


def _ohms(given: Given, unit: str) -> Iterator[Step]:
    """The halves of a bus that an in-line unit ends, where their legs have a face."""
    for half in bus_halves(given):
        end = given.harness.end_of(half.question.red)
        if half.unit == unit and end is not None and end.kind != EndKind.CUT_TAIL:
            yield mated_reading(half)


PAGE = Page(key="mating", stage=Stage.MATING, make=mating_section, order=1)
