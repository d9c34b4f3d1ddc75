"""Labels on label paper: drawn from the paper's corner, without head or foot."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.flags import FlagRow
from wiremap.content.labels import LabelSheet, label_pages
from wiremap.sheet.ink import Ink
from wiremap.sheet.shapes import draw, measured


def labels_pdf(rows: Sequence[FlagRow], mark: str, sheet: LabelSheet, paper: str) -> bytes:
    """The labels as a PDF on a paper."""
    ink = Ink(paper, mark)
    left, top = ink.corner
    for n, page in enumerate(label_pages(rows, mark, sheet, measured)):
        if n:
            ink.next_page()
        draw(ink, page.shapes, left, top)
    return ink.finish()
