"""Gives every step a name: a stage has a number, a step without a name of its own the next one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import count
from string import ascii_lowercase

from wiremap.content.pieces import Block, Section
from wiremap.content.steps import Slot, Step, Steps, TwoNames


def numbered(sections: Sequence[Section], stage: int) -> Iterator[Section]:
    """The sections of one stage with their steps numbered `stage.1` and on.

    Several sections of a stage have a letter each.  A reading keeps the name under which the
    commands print it; what is only told has no number.
    """
    numbers = count(1)
    for i, section in enumerate(sections):
        name = str(stage)
        if len(sections) > 1:
            name += ascii_lowercase[i]
        blocks = tuple(_block(block, stage, name, numbers) for block in section.blocks)
        yield replace(section, stage=stage, name=name, blocks=blocks)


def _block(block: Block, stage: int, name: str, numbers: Iterator[int]) -> Block:
    if not isinstance(block, (Steps, TwoNames)):
        return block
    steps = tuple(_step(step, stage, numbers) for step in block.steps)
    if isinstance(block, TwoNames):
        return replace(block, steps=steps, section=name)
    return replace(block, steps=steps)


def _step(step: Step, stage: int, numbers: Iterator[int]) -> Step:
    if step.n or step.with_last or step.slot is Slot.NONE:
        return step
    return replace(step, n=f"{stage}.{next(numbers)}")
