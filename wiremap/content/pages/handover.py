"""The handing-over line: where somebody stopped, what comes next, who goes on."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Fill, Section, Text
from wiremap.content.record import standing
from wiremap.content.stages import Page, Stage

TIMES = 3  # that the work may change hands on one sheet
LABELS = ("stopped here, at step", "next", "handed over by, to, when")


def handover_section(given: Given) -> Section:
    """Lines to write on; filled in, first what the notebook says."""
    blocks: list[Block] = []
    if given.filled_in:
        stands = standing(given)
        told = f"By the notebook: stopped at {stands.stopped}; next: {stands.next}. {stands.last}"
        blocks.append(Text(told.strip()))
    blocks += [Fill(LABELS)] * TIMES
    return Section(
        key="handover",
        title="If the work changes hands",
        blocks=tuple(blocks),
        fresh=False,
    )


PAGE = Page(key="handover", stage=Stage.HANDING_OVER, make=handover_section, order=5)
