"""Drawing on paper: the pages of `content` set in type and put into a PDF.

It is the only room that imports reportlab, and works nothing out.  Begin at `setting.py`, which
fills pages with pieces; `ink.py` is the pen, `elements.py` what every page uses, and each further
file draws one kind of block.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from wiremap.content.compose import ANNEX_PARTS, compose
from wiremap.content.gather import given_of
from wiremap.content.given import Given
from wiremap.content.pieces import Sheet
from wiremap.sheet.setting import render as pdf

if TYPE_CHECKING:
    from wiremap.check import Checked

__all__ = ["ANNEX_PARTS", "Given", "Sheet", "compose", "pdf", "sheet_pdf"]


def sheet_pdf(checked: Checked, annex: Sequence[str] = (), paper: str = "a4") -> bytes:
    """The sheet of a checked job as PDF bytes; raises ValueError for one that was not read."""
    return pdf(compose(given_of(checked), annex), paper)
