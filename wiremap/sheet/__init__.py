"""The splice sheet: first its content as plain data, then the drawing of it."""

from wiremap.content.compose import ANNEX_PARTS, compose
from wiremap.content.given import Given
from wiremap.content.pieces import Sheet

__all__ = ["ANNEX_PARTS", "Given", "Sheet", "compose", "pdf"]


def pdf(sheet: Sheet, paper: str = "a4") -> bytes:
    """The sheet as a PDF on `a4` or `letter`, the same bytes for the same sheet."""
    from wiremap.sheet.setting import render

    return render(sheet, paper)
