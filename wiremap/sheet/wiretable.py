"""Wires across two cut ends, and cavities left out."""

from __future__ import annotations

import math
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
LEAST_MM = (12.0, 12.0, 22.0, 18.0, 12.0, 22.0, 18.0)  # circuit; point, wire, signal on both sides
STYLES = (BODY, STRONG, BODY, BODY, STRONG, BODY, BODY)
LEFT_LAST = 3  # the last column left of the cut
AIR = 1.5
STEP_MM = 4.0
NEAR_MM = 1e-6
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
        cells: list[list[float]] = [[] for _ in LEAST_MM]
        for row in table.rows:
            if isinstance(row, WireRow):
                for column, text, style in zip(cells, _texts(row), STYLES, strict=True):
                    column.append(width(text, style) + AIR)
        need = _squeezed(cells, WIDE - GAP)
        spare = (WIDE - GAP - sum(need)) / len(need)
        steps = [wide + spare for wide in need]
        steps[LEFT_LAST] += GAP
        self.at = list(accumulate(steps, initial=0.0))
        self.words = [step - AIR + 0.2 for step in steps]
        self.words[LEFT_LAST] -= GAP
        self.cut = self.at[LEFT_LAST + 1] - GAP / 2 - 0.9


def _squeezed(cells: Sequence[Sequence[float]], room: float) -> list[float]:
    """Widths that fit: step by step the column gives way where it costs the fewest lines."""
    need = [max([least, *column]) for least, column in zip(LEAST_MM, cells, strict=True)]
    over = sum(need) - room
    while over > NEAR_MM:
        step = min(STEP_MM, over)
        best, least_cost, new = -1, math.inf, 0.0
        for i, column in enumerate(cells):
            lower = _lower(column, need[i], max(LEAST_MM[i], need[i] - step))
            if lower >= need[i] - NEAR_MM:
                continue
            more = sum(_lines(wide, lower) - _lines(wide, need[i]) for wide in column)
            cost = (more + 0.01) / (need[i] - lower)
            if cost < least_cost:
                best, least_cost, new = i, cost, lower
        if best < 0:  # every column at its least: the whole is scaled
            return [wide * room / sum(need) for wide in need]
        need[best] = max(new, need[best] - over)
        over = sum(need) - room
    return need


def _lower(column: Sequence[float], need: float, least: float) -> float:
    """How far a column gives way in one step: not past its next narrower text."""
    return max([least, *(wide for wide in column if wide < need - NEAR_MM)])


def _lines(text_mm: float, wide_mm: float) -> float:
    """How many lines a text takes, part lines counted as such once it wraps at all."""
    if text_mm <= wide_mm + NEAR_MM:
        return 1.0
    return 1.0 + text_mm / wide_mm


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
