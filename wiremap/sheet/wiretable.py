"""Wires across two cut ends, and cavities left out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from wiremap.content.pieces import LeftRow, RefusedRow, WireRow, WireTable
from wiremap.content.words import listed
from wiremap.sheet.elements import (
    FIRM,
    HAIR,
    LINE,
    THIN,
    TICK_MM,
    WIDE,
    Piece,
    closed,
    under,
)
from wiremap.sheet.ink import BODY, SMALL, SMALL_STRONG, STRONG, Ink, shorten, width, wrap

TICK_COL, GAP = 6.8, 4.0
ROW_MM = 4.9  # a row that is read; one that is ticked is higher
TICK_ROW_MM = 5.8
NAME_MM = 26.0  # of a circuit or a point; a longer one takes lines
STYLES = (BODY, STRONG, BODY, BODY, STRONG, BODY, BODY)
NAMES = (0, 1, 4)  # columns as wide as their longest name; the others share the rest
SHARES = {2: 0.3, 3: 0.2, 5: 0.3, 6: 0.2}
LEFT_LAST = 3  # the last column left of the cut
AIR = 1.5
LEFT_AT = (0.0, 17.6, 79.8, 108.2, WIDE)  # point, wire and signal, treatment, why
LEFT_STYLES = (STRONG, BODY, STRONG, BODY)
MOST_LINES = 30  # of a cavity left out in one piece


def wire_table(table: WireTable) -> list[Piece]:
    """The map's rows, all on one set of columns; the column words come again on every page."""
    columns = _Columns(table)
    rows = []
    for row in table.rows:
        if isinstance(row, RefusedRow):
            rows.append(_refused_row(row, columns))
        else:
            rows.append(_wire_row(row, columns))
    return closed(under(_head(table, columns), rows))


def _texts(row: WireRow) -> tuple[str, ...]:
    """The cells of a row from left to right."""
    sides = [(end.point, end.wire, end.signal) for end in (row.left, row.right)]
    return (row.circuit, *sides[0], *sides[1])


class _Columns:
    """Left edges of the columns, and how wide their words may be."""

    def __init__(self, table: WireTable) -> None:
        texts = [_texts(row) for row in table.rows if isinstance(row, WireRow)]
        steps = [0.0] * len(STYLES)
        for i in NAMES:
            longest = max((width(row[i], STYLES[i]) for row in texts), default=0.0)
            steps[i] = min(NAME_MM, longest) + AIR
        rest = WIDE - GAP - sum(steps)
        for i, share in SHARES.items():
            steps[i] = rest * share
        steps[LEFT_LAST] += GAP
        self.at = list(accumulate(steps, initial=0.0))
        self.words = [step - AIR + 0.2 for step in steps]
        self.words[LEFT_LAST] -= GAP
        self.cut = self.at[LEFT_LAST + 1] - GAP / 2 - 0.9


def _head(table: WireTable, columns: _Columns) -> Piece:
    at = columns.at

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.text(x + at[0], y + 3.4, "circuit", SMALL)
        _side_words(ink, x, y + 3.4, table.left, (at[1], at[3], at[4] - GAP))
        _side_words(ink, x, y + 3.4, table.right, (at[4], at[6], at[7]))
        ink.across(x, y + 4.8, WIDE, THIN)

    return Piece(5.0, draw, keep=True)


def _side_words(ink: Ink, x: float, base: float, title: str, at: Sequence[float]) -> None:
    """The words over one side: from its points to its signals, then to its end."""
    point, signal, end = at
    shown = shorten(title, signal - point - 1, SMALL_STRONG)
    ink.text(x + point, base, shown, SMALL_STRONG)
    ink.text(x + signal, base, shorten("signal", end - signal, SMALL), SMALL)


def _wire_row(row: WireRow, columns: _Columns) -> Piece:
    """One wire: its circuit, what is left of the cut, what is right of it."""
    texts = zip(_texts(row), columns.words, STYLES, strict=True)
    cells: list[Sequence[str]] = [wrap(text, wide, style) for text, wide, style in texts]
    mark: Sequence[str] = ()
    if not row.first:
        cells[: LEFT_LAST + 1] = [()] * (LEFT_LAST + 1)
    elif row.mark:
        mark = wrap(row.mark, columns.words[0], SMALL_STRONG)
    deep = max(len(cells[0]) + len(mark), *map(len, cells[1:]))

    def draw(ink: Ink, x: float, y: float) -> None:
        top = y + 0.4
        if row.first:
            ink.across(x, y, WIDE, HAIR)
        ink.lines(x, top, cells[0])
        ink.lines(x, top + len(cells[0]) * LINE, mark, SMALL_STRONG)
        for i in range(1, len(cells)):
            ink.lines(x + columns.at[i], top, cells[i], STYLES[i])
        _cut(ink, x + columns.cut, y, first=row.first)

    return Piece(max(ROW_MM, deep * LINE + 0.85), draw)


def _cut(ink: Ink, x: float, y: float, *, first: bool) -> None:
    """The cut between both sides, or the branch to a further wire of the circuit."""
    if first:
        ink.line((x - 0.7, y + 4.1), (x + 0.7, y + 0.9), FIRM)
    else:
        ink.shape([(x, y - 0.4), (x, y + 2.6), (x + 1.4, y + 2.6)], THIN, close=False)


def _refused_row(row: RefusedRow, columns: _Columns) -> Piece:
    """A circuit without work: the sentence only."""
    left = columns.at[1]
    made = wrap(f"{listed(*row.points)}: {row.why}", WIDE - left - TICK_COL - 2, STRONG)
    name = wrap(row.circuit, left - AIR)
    high = max(TICK_ROW_MM, max(len(made), len(name)) * LINE + 1.7)

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.across(x, y, WIDE, HAIR)
        top, foot = y + 0.6, y + 0.6 + TICK_MM
        ink.line((x, top), (x + TICK_MM, foot), FIRM)
        ink.line((x, foot), (x + TICK_MM, top), FIRM)
        ink.lines(x + TICK_COL, y + 0.85, name)
        ink.lines(x + TICK_COL + left, y + 0.85, made, STRONG)

    return Piece(high, draw)


def left_row(row: LeftRow) -> list[Piece]:
    """A cavity that is not joined: how it is treated and why."""
    cells = []
    texts = (row.point, listed(row.wire, row.signal), row.treat, row.why)
    for i, text in enumerate(texts):
        cells.append(wrap(text, LEFT_AT[i + 1] - LEFT_AT[i] - AIR, LEFT_STYLES[i]))
    out = []
    for k in range(0, max(map(len, cells)), MOST_LINES):
        part = [cell[k : k + MOST_LINES] for cell in cells]
        out.append(_left_part(part, first=k == 0))
    return out


def _left_part(cells: Sequence[Sequence[str]], *, first: bool) -> Piece:
    high = max(ROW_MM, max(map(len, cells)) * LINE + 0.85)

    def draw(ink: Ink, x: float, y: float) -> None:
        if first:
            ink.across(x, y, WIDE, HAIR)
        for at, cell, style in zip(LEFT_AT, cells, LEFT_STYLES, strict=False):
            ink.lines(x + at, y + 0.4, cell, style)

    return Piece(high, draw)
