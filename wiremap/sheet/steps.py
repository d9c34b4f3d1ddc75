"""Steps to tick, and lines to fill in."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.pieces import Fill, Step
from wiremap.sheet.elements import (
    LINE,
    SMALL_LINE,
    TICK_MM,
    WIDE,
    WRITE_MM,
    Piece,
    tick,
    write_line,
)
from wiremap.sheet.ink import SMALL, STRONG, Ink, width, wrap

BLANK_MM = 18.0
BLANK_ROOM_MM = 22.0  # a line to write on with the air about it
BESIDE_MM = 88.0  # blanks that need more stand under the text
MOST_LINES = 30  # of a step in one piece


class _Columns:
    """Where the words and the blanks of a step stand."""

    def __init__(self, row: Step) -> None:
        number_mm = width(row.n, STRONG)
        blanks_mm = sum(width(word) + BLANK_ROOM_MM for word in row.blanks)
        self.words_at = 14.0 if number_mm <= 6 else 8.5 + number_mm + 1.5
        self.beside = blanks_mm <= BESIDE_MM
        self.blanks_at = WIDE - blanks_mm if self.beside else self.words_at
        self.words_mm = WIDE - self.words_at - 1
        if row.blanks and self.beside:
            self.words_mm -= blanks_mm + 3


def step(row: Step) -> list[Piece]:
    """A numbered step with its box and lines to write on."""
    columns = _Columns(row)
    made = wrap(row.text, columns.words_mm)
    starts = range(0, len(made), MOST_LINES)
    out = []
    for k in starts:
        number = row.n if k == 0 else None
        blanks = row.blanks if k == starts[-1] else ()
        part = made[k : k + MOST_LINES]
        out.append(_part(columns, part, number=number, blanks=blanks))
    return out


def _part(
    columns: _Columns, made: Sequence[str], *, number: str | None, blanks: Sequence[str]
) -> Piece:
    """Some lines of a step: the first ones with box and number, the last ones with the blanks."""
    high = max(TICK_MM + 0.8, len(made) * LINE + 1.4)
    drop, below = 0.0, 0.0
    if blanks:
        high = max(high, WRITE_MM)
        drop = WRITE_MM - TICK_MM - 1.0 if len(made) == 1 else 0.0
        below = 0.0 if columns.beside else WRITE_MM

    def draw(ink: Ink, x: float, y: float) -> None:
        if number is not None:
            tick(ink, x, y + 0.3 + drop)
            ink.text(x + 7, y + LINE * 0.8 + 0.7 + drop, number, STRONG)
        ink.lines(x + columns.words_at, y + 0.7 + drop, made)
        at, base = x + columns.blanks_at, y + high + below - 1.4
        for word in blanks:
            ink.text(at, base, word)
            write_line(ink, at + width(word) + 1.5, base + 0.6, BLANK_MM)
            at += width(word) + BLANK_ROOM_MM

    return Piece(high + below, draw)


def fill(row: Fill) -> list[Piece]:
    """Labelled lines to write on, side by side."""
    share = WIDE / len(row.labels)
    labels = [wrap(label, share - 12, SMALL) for label in row.labels]
    high = WRITE_MM + max(map(len, labels)) * SMALL_LINE + 1

    def draw(ink: Ink, x: float, y: float) -> None:
        for i, label in enumerate(labels):
            write_line(ink, x + i * share, y + WRITE_MM, share - 5)
            ink.lines(x + i * share, y + WRITE_MM + 0.4, label, SMALL)

    return [Piece(high, draw)]
