"""The faces of the connectors on a page: both views side by side, small ones beside each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from wiremap.content.drawing import Spot
from wiremap.content.face_drawing import BETWEEN, DrawnView, drawn_views
from wiremap.content.face_layout import PAD, RADIUS, ROW_PITCH
from wiremap.content.face_pieces import FaceBlock, FlagLine
from wiremap.content.face_signs import diamond
from wiremap.sheet.elements import FIRM, LINE, SMALL_LINE, WIDE, Piece, title_piece
from wiremap.sheet.ink import SMALL, STRONG, Ink, shorten, width, wrap
from wiremap.sheet.shapes import draw as draw_shapes
from wiremap.sheet.shapes import measured

APART = 2.5  # between connectors
LEAST_TITLE = 40.0
LEAST_LEGEND = 32.0  # wide enough for the words of one sign
DIAMOND_AT = Spot(1.6, LINE / 2)
LIST_ACROSS = 4
LIST_MM = WIDE / LIST_ACROSS
BLANK_PITCH = 7.4
BLANK_COLUMNS = 24
UNKNOWN = (
    "Nobody has told how this face looks. Read the digits moulded beside the corner cavities, "
    "write them in, mark the keyway, and note which side you look at."
)


def face_pieces(blocks: Sequence[FaceBlock]) -> list[Piece]:
    """The faces of several connectors, then grids for those whose look nobody has told."""
    rows: list[list[_Connector]] = []
    for block in blocks:
        if block.views:
            _add(rows, _Connector(block))
    pieces = [piece for row in rows for piece in _row_pieces(row)]
    legend = next((block.legend for block in blocks if block.legend), "")
    if legend and pieces:
        pieces[-1:] = _explained(pieces[-1], legend, sum(c.wide + APART for c in rows[-1]))
    for block in blocks:
        if not block.views:
            pieces.append(title_piece(block.title, WIDE, above=0.0, below=0.6))
            pieces.append(_blank_grid(block))
    return pieces


def _explained(piece: Piece, legend: str, used_mm: float) -> list[Piece]:
    """What the signs mean: beside the last row of faces, else below it."""
    room = WIDE - used_mm - APART
    if room < LEAST_LEGEND:
        made = wrap(legend, WIDE, SMALL)
        high = len(made) * SMALL_LINE + 0.6
        below = Piece(high, lambda ink, x, y: ink.lines(x, y, made, SMALL))
        return [replace(piece, keep=True), below]
    beside = [line for each in legend.split(". ") for line in wrap(_stopped(each), room, SMALL)]
    height = max(piece.height, len(beside) * SMALL_LINE)

    def draw(ink: Ink, x: float, y: float) -> None:
        piece.draw(ink, x, y)
        start = y + height - len(beside) * SMALL_LINE - 0.6
        ink.lines(x + used_mm + APART, start, beside, SMALL)

    return [replace(piece, height=height, draw=draw)]


def _stopped(words: str) -> str:
    return words if words.endswith(".") else f"{words}."


class _Connector:
    """One connector with its views in as many lines as they need."""

    def __init__(self, block: FaceBlock) -> None:
        self.block = block
        self.lines: list[list[DrawnView]] = [[]]
        for view in drawn_views(block.views, WIDE, measured):
            if self.lines[-1] and _line_mm([*self.lines[-1], view]) > WIDE:
                self.lines.append([])
            self.lines[-1].append(view)
        self.lone = len(self.lines) > 1 or bool(block.flag_list)
        title_mm = min(width(block.title, STRONG), LEAST_TITLE)
        self.wide = max([title_mm, *(_line_mm(line) for line in self.lines)])
        room = WIDE if self.lone else self.wide
        self.title = wrap(block.title, room, STRONG) if block.title else []

    def line(self, k: int) -> list[DrawnView]:
        """Its views of one line, if it has as many."""
        return self.lines[k] if k < len(self.lines) else []


def _line_mm(views: Sequence[DrawnView]) -> float:
    return sum(view.wide for view in views) + BETWEEN * (len(views) - 1)


def _add(rows: list[list[_Connector]], connector: _Connector) -> None:
    """Put a connector beside others where it has room, else into a row of its own."""
    for row in rows:
        if connector.lone or row[0].lone:
            continue
        if sum(other.wide + APART for other in row) + connector.wide <= WIDE:
            row.append(connector)
            return
    rows.append([connector])


def _row_pieces(row: Sequence[_Connector]) -> list[Piece]:
    """Connectors beside each other: their titles, their views, what is listed under them."""
    deep = max(len(connector.title) for connector in row)

    def titles(ink: Ink, x: float, y: float) -> None:
        for connector in row:
            ink.lines(x, y, connector.title, STRONG)
            x += connector.wide + APART

    pieces = [Piece(deep * LINE + 0.4, titles, keep=True)] if deep else []
    lines = max(len(connector.lines) for connector in row)
    alike = [_alike(connector.block) for connector in row if connector.block.alike]
    for k in range(lines):
        views = _views(row, k)
        pieces.append(Piece(views.height, views.draw, keep=bool(alike) and k == lines - 1))
    pieces += alike
    for connector in row:
        flags = connector.block.flag_list
        for k in range(0, len(flags), LIST_ACROSS):
            pieces.append(_listed(flags[k : k + LIST_ACROSS]))
    return pieces


def _views(row: Sequence[_Connector], k: int) -> Piece:
    """One line of views, their shells on one level."""
    views = [view for connector in row for view in connector.line(k)]
    caption = max(view.caption.high for view in views)
    level = caption + max(view.front.level for view in views)
    below = max(view.front.high - view.front.level for view in views)

    def draw(ink: Ink, x: float, y: float) -> None:
        for connector in row:
            at = x
            for view in connector.line(k):
                draw_shapes(ink, view.caption.shapes, at, y)
                draw_shapes(ink, view.front.shapes, at, y + level - view.front.level)
                at += view.wide + BETWEEN
            x += connector.wide + APART

    return Piece(level + below, draw)


def _alike(block: FaceBlock) -> Piece:
    """Which wires of a connector are of one colour."""
    text = wrap(f"{block.name}, alike in colour: {'; '.join(block.alike)}", WIDE - 4)

    def draw(ink: Ink, x: float, y: float) -> None:
        draw_shapes(ink, [diamond(DIAMOND_AT)], x, y)
        ink.lines(x + 4, y, text)

    return Piece(len(text) * LINE + 1.0, draw)


def _listed(flags: Sequence[FlagLine]) -> Piece:
    """Word flags in columns, for faces with more rows than flags can be led out of."""
    texts = [wrap(line.flag, LIST_MM - 17) for line in flags]

    def draw(ink: Ink, x: float, y: float) -> None:
        for line, text in zip(flags, texts, strict=True):
            ink.text(x, y + LINE * 0.8, shorten(line.cavity, 13, STRONG), STRONG)
            ink.lines(x + 14, y, text)
            x += LIST_MM

    return Piece(max(map(len, texts)) * LINE + 0.4, draw)


def _blank_grid(block: FaceBlock) -> Piece:
    """A grid of empty cavities to number by hand."""
    columns = min(max(1, math.ceil(block.cavities / 2)), BLANK_COLUMNS)
    rows = math.ceil(block.cavities / columns)
    text = wrap(UNKNOWN, WIDE)
    deep = (rows - 1) * ROW_PITCH + 2 * PAD
    above = len(text) * LINE + 2

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.lines(x, y, text)
        size = ((columns - 1) * BLANK_PITCH + 2 * PAD, deep)
        ink.box(x + 1, y + above, size, FIRM, round=1.5)
        for i in range(block.cavities):
            row, column = divmod(i, columns)
            at = x + 1 + PAD + column * BLANK_PITCH
            ink.circle(at, y + above + PAD + row * ROW_PITCH, RADIUS)

    return Piece(above + 2 + deep, draw)
