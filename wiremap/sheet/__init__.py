"""Drawing on paper: the pages of `content` set in type and put into a PDF.

It is the only room that imports reportlab, and works nothing out.  Begin at `setting.py`, which
fills pages with pieces; `ink.py` is the pen, `elements.py` what every page uses, and each further
file draws one kind of block.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from wiremap.content.compose import ANNEX_PARTS, compose, head_of
from wiremap.content.gather import given_of
from wiremap.content.given import Given
from wiremap.content.pages.flags import flags_section
from wiremap.content.picture import job_picture
from wiremap.content.pieces import Sheet
from wiremap.sheet.ink import PAPERS, lacking
from wiremap.sheet.labels import labels_pdf
from wiremap.sheet.setting import render as pdf
from wiremap.sheet.shapes import measured
from wiremap.sheet.svg import svg

if TYPE_CHECKING:
    from wiremap.check import Checked

__all__ = [
    "ANNEX_PARTS",
    "PAPERS",
    "Given",
    "Sheet",
    "compose",
    "flags_pdf",
    "labels_pdf",
    "lacking",
    "paper_mm",
    "pdf",
    "picture_svg",
    "sheet_pdf",
]


def picture_svg(given: Given) -> bytes:
    """Map and faces of a job as one SVG drawing."""
    return svg(job_picture(given, measured), given.job.title)


def flags_pdf(given: Given, paper: str = "a4") -> bytes:
    """The wire flags alone, to cut out of plain paper."""
    return pdf(Sheet(head_of(given), (flags_section(given),)), paper)


def paper_mm(paper: str) -> tuple[float, float]:
    """Width and height of one page of a paper [mm]; several stand beside each other on A3."""
    (wide, high), across = PAPERS[paper]
    return wide / across, high


def sheet_pdf(checked: Checked, annex: Sequence[str] = (), paper: str = "a4") -> bytes:
    """The sheet of a checked job as PDF bytes; raises ValueError for one that was not read."""
    return pdf(compose(given_of(checked), annex), paper)
