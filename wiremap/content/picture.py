"""Map and faces as one drawing: a row for each wire across the cut, then every connector's front.

A picture has no pages, so its columns are as wide as their words need.  Lengths and weights of
lines are millimetres, chosen by eye.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from wiremap.content.compose import head_of
from wiremap.content.drawing import (
    Align,
    Drawing,
    DrawnLine,
    Lettering,
    Measure,
    Shape,
    Spot,
    Words,
    across,
    box,
    fitted,
)
from wiremap.content.face_drawing import DrawnView, drawn_views
from wiremap.content.face_pieces import FaceBlock
from wiremap.content.face_signs import diamond, wire
from wiremap.content.faces import face_blocks
from wiremap.content.given import Given
from wiremap.content.pages.map import wire_table
from wiremap.content.pieces import PageHead, RefusedRow, WireEnd, WireRow, WireTable
from wiremap.content.words import listed, spaced

TITLE, HEADING = Lettering(14.0, strong=True), Lettering(12.0, strong=True)
BODY, STRONG, SMALL = Lettering(10.0), Lettering(10.0, strong=True), Lettering(8.5)
MARGIN = 6.0
LEAST_WIDE = 190.0
ROW = 5.6
AIR = 2.4
BETWEEN_VIEWS, BETWEEN_CONNECTORS = 3.0, 7.0
STUB, GAP = 9.0, 3.0  # a cut end as drawn, and between two of them
HAIR, FIRM, HEAVY = 0.12, 0.4, 1.0
WIDEST = 70.0  # of one column's words; longer ones are shortened in their middle
HOLD = "HOLD: do not cut or join anything by this drawing"
WIRING_ONLY = "Wiring only: does not prove that the two units understand each other."


@dataclass(frozen=True, slots=True, kw_only=True)
class MapText:
    """A text of the map with its column."""

    column: int
    text: str
    lettering: Lettering


def job_picture(given: Given, measure: Measure) -> Drawing:
    """A job's map and faces."""
    blocks = list(face_blocks(given.harness))
    return picture(head_of(given), wire_table(given), blocks, measure)


def picture(
    head: PageHead, table: WireTable, blocks: Sequence[FaceBlock], measure: Measure
) -> Drawing:
    """The whole drawing, its margin included."""
    rows = _Rows(table, measure)
    room = max(LEAST_WIDE, rows.wide)
    parts = [_title(head, room, measure), rows.drawing()]
    if head.held:
        parts.insert(0, _hold(room))
    parts += _fronts([block for block in blocks if block.views], room, measure)
    shapes: list[Shape] = []
    level = MARGIN
    for part in parts:
        shapes += part.moved(MARGIN, level)
        level += part.high + 3.0
    wide = max(room, *(part.wide for part in parts))
    return Drawing(wide + 2 * MARGIN, level + MARGIN - 3.0, tuple(shapes))


def _hold(room: float) -> Drawing:
    """A heavy box over everything: the job may not be built as it stands."""
    frame = box(Spot(0, 0), room, 10.0, HEAVY)
    words = Words(at=Spot(room / 2, 6.9), text=HOLD, lettering=TITLE, align=Align.MIDDLE)
    return Drawing(room, 10.0, (frame, words))


def _title(head: PageHead, room: float, measure: Measure) -> Drawing:
    """What job it is, which paper, how it stands."""
    revision = f"revision {head.revision}" if head.revision else ""
    mark = spaced(head.id, revision, f"hash {head.digest}")
    title = fitted(head.title, room - measure(head.stamp, STRONG) - 6.0, TITLE, measure)
    shapes = (
        Words(at=Spot(0, 5), text=title, lettering=TITLE),
        Words(at=Spot(room, 5), text=head.stamp, lettering=STRONG, align=Align.END),
        Words(at=Spot(0, 10), text=mark, lettering=SMALL),
        Words(at=Spot(room, 10), text=WIRING_ONLY, lettering=SMALL, align=Align.END),
        across(Spot(0, 12), room, FIRM),
    )
    return Drawing(room, 12.5, shapes)


class _Rows:
    """The map with all rows on one set of columns."""

    def __init__(self, table: WireTable, measure: Measure) -> None:
        self.table, self.measure = table, measure
        wires = [row for row in table.rows if isinstance(row, WireRow)]
        cells = [cell for row in wires for cell in _cells(row)]
        steps = [self._width(cells, column) for column in range(7)]  # circuit, three for each side
        at = [0.0]
        for step in steps:
            at.append(at[-1] + step)
        cut = 2 * STUB + GAP + 2 * AIR
        self.at = [*at[:4], *(x + cut for x in at[4:])]
        self.cut = at[4] + AIR
        self.wide = self.at[-1]

    def _width(self, cells: Iterable[MapText], column: int) -> float:
        widths = [self.measure(c.text, c.lettering) for c in cells if c.column == column]
        return min(max(widths, default=0.0), WIDEST) + AIR

    def drawing(self) -> Drawing:
        """A heading, then a row for each wire."""
        shapes: list[Shape] = [Words(at=Spot(0, 4), text="The map", lettering=HEADING)]
        shapes += self._heads(10.0)
        level = 12.0
        for row in self.table.rows:
            if isinstance(row, RefusedRow):
                shapes += self._refused(row, level)
            else:
                shapes += self._row(row, level)
            level += ROW
        return Drawing(self.wide, level, tuple(shapes))

    def _heads(self, base: float) -> Iterator[Shape]:
        yield Words(at=Spot(0, base), text="circuit", lettering=SMALL)
        yield Words(at=Spot(self.at[1], base), text=self.table.left, lettering=SMALL)
        yield Words(at=Spot(self.at[4], base), text=self.table.right, lettering=SMALL)

    def _row(self, row: WireRow, level: float) -> Iterator[Shape]:
        """One wire: what stands left, the cut ends, what stands right."""
        base, middle = level + 4.0, level + ROW / 2
        if row.first:
            yield across(Spot(0, level), self.wide, HAIR)
        for cell in _cells(row):
            text = fitted(cell.text, WIDEST, cell.lettering, self.measure)
            yield Words(at=Spot(self.at[cell.column], base), text=text, lettering=cell.lettering)
        right = self.cut + STUB + GAP
        yield from wire((Spot(right, middle), Spot(right + STUB, middle)))
        if row.first:
            yield from wire((Spot(self.cut, middle), Spot(self.cut + STUB, middle)))
            return
        branch = self.cut + STUB + GAP / 2
        spots = (Spot(branch, middle - ROW), Spot(branch, middle), Spot(right, middle))
        yield DrawnLine(spots=spots, weight=FIRM)

    def _refused(self, row: RefusedRow, level: float) -> Iterator[Shape]:
        """A circuit that nobody may work on."""
        yield across(Spot(0, level), self.wide, HAIR)
        text = spaced(row.circuit, f"({listed(*row.points)}):", row.why)
        text = fitted(text, self.wide, STRONG, self.measure)
        yield Words(at=Spot(0, level + 4.0), text=text, lettering=STRONG)


def _cells(row: WireRow) -> Iterator[MapText]:
    """The texts of a row; a further wire of a circuit has only its right side."""
    if row.first:
        yield MapText(column=0, text=spaced(row.circuit, row.mark), lettering=BODY)
        yield from _side(row.left, 1)
    yield from _side(row.right, 4)


def _side(end: WireEnd, column: int) -> Iterator[MapText]:
    yield MapText(column=column, text=end.point, lettering=STRONG)
    yield MapText(column=column + 1, text=end.wire, lettering=BODY)
    yield MapText(column=column + 2, text=end.signal, lettering=BODY)


# -- fronts ---------------------------------------------------------------------------------------


def _fronts(blocks: Sequence[FaceBlock], room: float, measure: Measure) -> Iterator[Drawing]:
    """The connectors, as many beside each other as have room."""
    line: list[Drawing] = []
    for block in blocks:
        made = _connector(block, room, measure)
        if line and sum(other.wide + BETWEEN_CONNECTORS for other in line) + made.wide > room:
            yield _beside(line, BETWEEN_CONNECTORS)
            line = []
        line.append(made)
    if line:
        yield _beside(line, BETWEEN_CONNECTORS)


def _beside(drawings: Sequence[Drawing], apart: float) -> Drawing:
    """Drawings beside each other, their levels in line."""
    level = max(each.level for each in drawings)
    shapes: list[Shape] = []
    at = 0.0
    for each in drawings:
        shapes += each.moved(at, level - each.level)
        at += each.wide + apart
    high = level + max(each.high - each.level for each in drawings)
    return Drawing(at - apart, high, tuple(shapes), level)


def _connector(block: FaceBlock, room: float, measure: Measure) -> Drawing:
    """One connector: its title, its views, which colours are alike, flags that are listed."""
    title = Words(at=Spot(0, 4), text=block.title, lettering=HEADING)
    shapes: list[Shape] = [title]
    wide, foot = measure(block.title, HEADING), 7.0
    for line in _lines(drawn_views(block.views, room, measure), room):
        captions = _beside([replace(v.caption, wide=v.wide) for v in line], BETWEEN_VIEWS)
        fronts = _beside([replace(v.front, wide=v.wide) for v in line], BETWEEN_VIEWS)
        shapes += captions.moved(0, foot)
        shapes += fronts.moved(0, foot + captions.high)
        foot += captions.high + fronts.high
        wide = max(wide, fronts.wide)
    for text in _notes(block):
        if text in block.alike:
            shapes.append(diamond(Spot(1.5, foot + 2.6)))
        shapes.append(Words(at=Spot(4, foot + 4), text=text, lettering=BODY))
        wide = max(wide, 4 + measure(text, BODY))
        foot += BODY.line_mm
    return Drawing(wide, foot + 2.0, tuple(shapes))


def _lines(views: Iterable[DrawnView], room: float) -> list[list[DrawnView]]:
    """Views in as many lines as they need."""
    lines: list[list[DrawnView]] = [[]]
    for view in views:
        if lines[-1] and sum(other.wide + BETWEEN_VIEWS for other in lines[-1]) + view.wide > room:
            lines.append([])
        lines[-1].append(view)
    return lines


def _notes(block: FaceBlock) -> Iterator[str]:
    """Colours that are alike, a line each, then the flags that are not led out."""
    yield from block.alike
    for line in block.flag_list:
        yield spaced(line.cavity, line.flag)
