"""The handing-over line: where somebody stopped, what comes next, who goes on."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Section, TextPiece
from wiremap.content.record import how_far
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps

LABELS = ("Stopped here, at step, and what is next", "Handed over by, to, when")


def handover_section(given: Given) -> Section:
    """Lines to write on; filled in, first what the notebook says."""
    blocks: list[Block] = []
    if given.filled_in:
        come = how_far(given)
        told = f"By the notebook: stopped at {come.stopped}; next: {come.next}. {come.last}"
        blocks.append(TextPiece(told.strip()))
    lines = tuple(Step(text=label, slot=Slot.LINE) for label in LABELS)
    blocks.append(Steps(steps=lines, whole=True))
    return Section(
        key="handover",
        title="If the work changes hands",
        blocks=tuple(blocks),
        fresh=False,
    )


PAGE = Page(key="handover", stage=Stage.HANDING_OVER, make=handover_section, order=5)
