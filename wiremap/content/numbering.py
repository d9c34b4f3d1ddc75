"""Gives every step a name: a stage has a number, a step without a name of its own the next one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import count

from wiremap.content.pieces import Block, Section
from wiremap.content.steps import Slot, Step, Steps, TwoNames


def numbered(sections: Iterable[Section], stage: int) -> Iterator[Section]:
    """The sections of one stage with their steps numbered `stage.1` and on.

    A reading keeps the name under which the commands print it; what is only told has no number.
    """
    numbers = count(1)
    for section in sections:
        blocks = tuple(_block(block, stage, numbers) for block in section.blocks)
        yield replace(section, stage=stage, blocks=blocks)


def _block(block: Block, stage: int, numbers: Iterator[int]) -> Block:
    if isinstance(block, (Steps, TwoNames)):
        return replace(block, steps=tuple(_step(step, stage, numbers) for step in block.steps))
    return block


def _step(step: Step, stage: int, numbers: Iterator[int]) -> Step:
    if step.n or step.with_last or step.slot is Slot.NONE:
        return step
    return replace(step, n=f"{stage}.{next(numbers)}")
