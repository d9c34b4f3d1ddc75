"""Wires across two cut ends, and cavities left out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from wiremap.content.drawing import Lettering
from wiremap.content.pieces import LeftOutRow, RefusedRow, WireEnd, WireRow, WireTable
from wiremap.content.runs import folded
from wiremap.content.words import listed
from wiremap.sheet.elements import FIRM, HAIR, LINE, THIN, TICK_MM, WIDE, Piece, closed, under
from wiremap.sheet.ink import BODY, SMALL, SMALL_STRONG, STRONG, Ink, shorten, width, wrap

GAP = 4.0  # between the two sides of the cut
AIR = 1.5  # between columns
ROW_MM = 4.9
REFUSED_MM = 5.8
REFUSED_AT = 6.8
NAME_MM = 26.0  # of a circuit or a point; a longer one takes lines
CIRCUIT = "circuit"
LEAST_SIGNAL_MM = 9.0  # the word over the signals
SIGNAL_SHARE = 0.2  # of what the names leave, on either side; the wire takes the rest
LEFT_OUT_AT = (0.0, 17.6, 79.8, 108.2, WIDE)  # point, wire and signal, treatment, why; the edge
LEFT_OUT_STYLES = (STRONG, BODY, STRONG, BODY)
MOST_LINES = 30  # of a cavity left out in one piece
SIDE_STYLES = (STRONG, BODY, BODY)  # point, wire, signal

Cell = Sequence[str]  # the lines of one cell


def wire_table(table: WireTable) -> list[Piece]:
    """The map's rows, all on one set of columns; the column words come again on every page."""
    columns = _Columns(table)
    rows = []
    for row in table.rows:
        if isinstance(row, RefusedRow):
            rows.append(_refused_row(row, columns))
        else:
            rows.append(_WireRow(row, columns).piece())
    return closed(under(_head(table, columns), rows))


class _Side:
    """The columns of one side of the cut: point, wire, signal."""

    def __init__(self, start: float, widths: Sequence[float]) -> None:
        self.widths = tuple(widths)
        starts = list(accumulate(widths, initial=start))
        self.at, self.stop = starts[:-1], starts[-1]

    def cells(self, end: WireEnd) -> list[Cell]:
        """The lines of an end in these columns."""
        texts = (end.point, end.wire, end.signal)
        found: list[Cell] = []
        for text, wide, style in zip(texts, self.widths, SIDE_STYLES, strict=True):
            found.append(wrap(text, wide - AIR, style))
        return found

    def draw(self, ink: Ink, x: float, y: float, cells: Sequence[Cell]) -> None:
        """The cells with their first lines at y."""
        for at, cell, style in zip(self.at, cells, SIDE_STYLES, strict=True):
            ink.lines(x + at, y, cell, style)


class _Columns:
    """The circuit's column, then both sides; names are as wide as the longest of them."""

    def __init__(self, table: WireTable) -> None:
        wires = [row for row in table.rows if isinstance(row, WireRow)]
        self.circuit = _name_mm([CIRCUIT, *(row.circuit for row in wires)], BODY)
        left = _name_mm([row.left.point for row in wires], STRONG)
        right = _name_mm([row.right.point for row in wires], STRONG)
        rest = WIDE - GAP - self.circuit - left - right
        sides = [_words_mm([row.left for row in wires]), _words_mm([row.right for row in wires])]
        spare = (rest - sum(map(sum, sides))) / len(sides)
        if spare >= 0:
            sides = [(wires_mm + spare, signals_mm) for wires_mm, signals_mm in sides]
        else:  # some take lines: the two sides get as much as each other
            signal = rest * SIGNAL_SHARE
            sides = [(rest / len(sides) - signal, signal) for _ in sides]
        of_left, of_right = sides
        self.left = _Side(self.circuit, (left, *of_left))
        self.right = _Side(self.left.stop + GAP, (right, *of_right))
        self.cut = self.left.stop + GAP / 2 - 0.9


def _words_mm(ends: Sequence[WireEnd]) -> tuple[float, float]:
    """How wide the wires and the signals of one side are, and the words over them."""
    wires = [width(end.wire, BODY) for end in ends]
    signals = [width(end.signal, BODY) for end in ends]
    return max(wires, default=0.0) + AIR, max([LEAST_SIGNAL_MM, *signals]) + AIR


def _name_mm(names: Sequence[str], style: Lettering) -> float:
    longest = max((width(name, style) for name in names), default=0.0)
    return min(NAME_MM, longest) + AIR


def _head(table: WireTable, columns: _Columns) -> Piece:
    def draw(ink: Ink, x: float, y: float) -> None:
        ink.text(x, y + 3.4, CIRCUIT, SMALL)
        _side_words(ink, x, y + 3.4, table.left, columns.left)
        _side_words(ink, x, y + 3.4, table.right, columns.right)
        ink.across(x, y + 4.8, WIDE, THIN)

    return Piece(5.0, draw, keep=True)


def _side_words(ink: Ink, x: float, base: float, title: str, side: _Side) -> None:
    """The words over one side: which ends stand there, and over its signals."""
    point, _, signal = side.at
    shown = shorten(title, signal - point - 1, SMALL_STRONG)
    ink.text(x + point, base, shown, SMALL_STRONG)
    word = shorten("signal", side.stop - signal, SMALL)
    ink.text(x + signal, base, word, SMALL)


class _WireRow:
    """One wire: its circuit, what is left of the cut, what is right of it."""

    def __init__(self, row: WireRow, columns: _Columns) -> None:
        self.row, self.columns = row, columns
        self.circuit: Cell = ()
        self.left: list[Cell] = [(), (), ()]
        self.mark: Cell = ()
        if row.first:
            self.circuit = wrap(row.circuit, columns.circuit - AIR)
            self.left = columns.left.cells(row.left)
            if row.mark:
                self.mark = wrap(row.mark, columns.circuit - AIR, SMALL_STRONG)
        self.right = columns.right.cells(row.right)

    def piece(self) -> Piece:
        """The row at the height of its deepest cell."""
        deep = len(self.circuit) + len(self.mark)
        deep = max(deep, *map(len, self.left), *map(len, self.right))
        return Piece(max(ROW_MM, deep * LINE + 0.85), self.draw)

    def draw(self, ink: Ink, x: float, y: float) -> None:
        """The row with its upper left corner at (x, y)."""
        top = y + 0.4
        if self.row.first:
            ink.across(x, y, WIDE, HAIR)
        ink.lines(x, top, self.circuit)
        ink.lines(x, top + len(self.circuit) * LINE, self.mark, SMALL_STRONG)
        self.columns.left.draw(ink, x, top, self.left)
        self.columns.right.draw(ink, x, top, self.right)
        _cut(ink, x + self.columns.cut, y, first=self.row.first)


def _cut(ink: Ink, x: float, y: float, *, first: bool) -> None:
    """The cut between both sides, or the branch to a further wire of the circuit."""
    if first:
        ink.line((x - 0.7, y + 4.1), (x + 0.7, y + 0.9), FIRM)
        return
    branch = [(x, y - 0.4), (x, y + 2.6), (x + 1.4, y + 2.6)]
    ink.shape(branch, THIN, close=False)


def _refused_row(row: RefusedRow, columns: _Columns) -> Piece:
    """A circuit without work: a crossed box and the sentence."""
    left = REFUSED_AT + columns.circuit
    made = wrap(f"{listed(*row.points)}: {row.why}", WIDE - left - 2, STRONG)
    name = wrap(row.circuit, columns.circuit - AIR)
    deep = max(len(made), len(name))
    high = max(REFUSED_MM, deep * LINE + 1.7)

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.across(x, y, WIDE, HAIR)
        top, foot = y + 0.6, y + 0.6 + TICK_MM
        ink.line((x, top), (x + TICK_MM, foot), FIRM)
        ink.line((x, foot), (x + TICK_MM, top), FIRM)
        ink.lines(x + REFUSED_AT, y + 0.85, name)
        ink.lines(x + left, y + 0.85, made, STRONG)

    return Piece(high, draw)


def left_out_row(row: LeftOutRow) -> list[Piece]:
    """A cavity that is not joined: how it is treated and why."""
    texts = (folded(row.points), listed(row.wire, row.signal), row.treat, row.why)
    cells = []
    for i, text in enumerate(texts):
        room = LEFT_OUT_AT[i + 1] - LEFT_OUT_AT[i] - AIR
        cells.append(wrap(text, room, LEFT_OUT_STYLES[i]))
    deepest = max(map(len, cells))
    out = []
    for k in range(0, deepest, MOST_LINES):
        part = [cell[k : k + MOST_LINES] for cell in cells]
        out.append(_left_out_part(part, first=k == 0))
    return out


def _left_out_part(cells: Sequence[Cell], *, first: bool) -> Piece:
    deep = max(map(len, cells))
    high = max(ROW_MM, deep * LINE + 0.85)

    def draw(ink: Ink, x: float, y: float) -> None:
        if first:
            ink.across(x, y, WIDE, HAIR)
        for at, cell, style in zip(LEFT_OUT_AT[:-1], cells, LEFT_OUT_STYLES, strict=True):
            ink.lines(x + at, y + 0.4, cell, style)

    return Piece(high, draw)
