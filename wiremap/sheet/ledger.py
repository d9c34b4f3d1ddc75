"""Rows of facts under column words."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from wiremap.content.pieces import Ledger
from wiremap.sheet.elements import (
    HAIR,
    LINE,
    THIN,
    TICK_MM,
    WIDE,
    Piece,
    closed,
    tick,
    under,
)
from wiremap.sheet.ink import SMALL_STRONG, Ink, shorten, wrap

TICK_COL = 6.8  # mm, where the boxes to tick stand
GAP = 2.6  # mm between a cell's text and the next cell
WORD_GAP = 1.5  # mm likewise between the column words
MOST_LINES = 36  # of a row in one piece; a higher row goes on in the next piece


def ledger(block: Ledger) -> list[Piece]:
    """The rows; the column words come again on every page."""
    left = TICK_COL if block.tick else 0.0
    whole = sum(block.shares)
    widths = [(WIDE - left) * share / whole for share in block.shares]
    starts = list(accumulate(widths[:-1], initial=left))
    rows: list[Piece] = []
    for row in block.rows:
        cells = [wrap(text, wide - GAP) for text, wide in zip(row, widths, strict=True)]
        for line in range(0, max(map(len, cells)), MOST_LINES):
            part = [cell[line : line + MOST_LINES] for cell in cells]
            rows.append(_row(part, starts, first=line == 0, ticked=block.tick))
    table = under(_column_words(block.columns, starts, widths), rows)
    return closed(table) if rows else table


def _column_words(
    columns: Sequence[str], starts: Sequence[float], widths: Sequence[float]
) -> Piece:
    """The words over the columns, and a line under them."""

    def draw(ink: Ink, x: float, y: float) -> None:
        for text, start, wide in zip(columns, starts, widths, strict=True):
            ink.text(x + start, y + 3.4, shorten(text, wide - WORD_GAP, SMALL_STRONG), SMALL_STRONG)
        ink.across(x, y + 4.6, WIDE, THIN)

    return Piece(5.2, draw, keep=True)


def _row(
    cells: Sequence[Sequence[str]], starts: Sequence[float], *, first: bool, ticked: bool
) -> Piece:
    """A row, or a part of one; its line above and its box stand at the first part."""
    high = max(map(len, cells)) * LINE + 1.3
    if ticked:
        high = max(TICK_MM + 0.45, high)

    def draw(ink: Ink, x: float, y: float) -> None:
        if first:
            ink.across(x, y, WIDE, HAIR)
        if first and ticked:
            tick(ink, x, y + 0.22)
        for start, cell in zip(starts, cells, strict=True):
            ink.lines(x + start, y + 0.4, cell)

    return Piece(high, draw)
