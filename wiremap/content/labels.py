"""Wire flags on label paper: as many to a sheet as it has, each the same on both its halves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wiremap.content.drawing import (
    Drawing,
    DrawnLine,
    Lettering,
    Measure,
    Shape,
    Spot,
    Words,
    wrapped,
)
from wiremap.content.flags import FlagRow

PAD = 2.5  # mm that stay free round what is written
HALVED_MM = 44.0  # a label at least so wide is folded in its middle round the wire
LEAST_WIDE, LEAST_HIGH = 20.0, 8.0  # mm
SIZES = (10.0, 8.5, 7.0)  # points; of a label the largest at which from and to have room
SMALL = SIZES[1]  # points, for all else that is written
FOLD_DASH = (1.0, 1.0)  # mm drawn, mm left out
HAIR = 0.12  # mm
BASE = 0.8  # of a line's height lies above the foot of its letters


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSheet:
    """A sheet of labels: how many beside and below each other; its margins and paper in mm.

    The margins are the same left and right, and above and below.
    """

    across: int
    down: int
    wide: float
    high: float
    top: float = 0.0
    left: float = 0.0

    @property
    def label_wide(self) -> float:
        """How wide one label is."""
        return (self.wide - 2 * self.left) / self.across

    @property
    def label_high(self) -> float:
        """How high one label is."""
        return (self.high - 2 * self.top) / self.down

    @property
    def fits(self) -> bool:
        """Whether a label is large enough to be written on."""
        return self.label_wide >= LEAST_WIDE and self.label_high >= LEAST_HIGH

    def corner(self, n: int) -> Spot:
        """The upper left corner of the n-th label of a sheet, from 0, row by row."""
        row, column = divmod(n, self.across)
        return Spot(self.left + column * self.label_wide, self.top + row * self.label_high)


def label_pages(
    rows: Sequence[FlagRow], mark: str, sheet: LabelSheet, measure: Measure
) -> Iterator[Drawing]:
    """One drawing for each sheet of labels; `mark` says which job and revision."""
    count = sheet.across * sheet.down
    for start in range(0, len(rows), count):
        shapes: list[Shape] = []
        for n, row in enumerate(rows[start : start + count]):
            label = _label(row, mark, sheet, measure)
            shapes += label.moved(*sheet.corner(n))
        yield Drawing(sheet.wide, sheet.high, tuple(shapes))


def _label(row: FlagRow, mark: str, sheet: LabelSheet, measure: Measure) -> Drawing:
    """One label; a wide one is written on both sides of its fold."""
    wide, high = sheet.label_wide, sheet.label_high
    folded = wide >= HALVED_MM
    side = wide / 2 if folded else wide
    lines = _label_lines(row, mark, side - 2 * PAD, high - 2 * PAD, measure)
    shapes: list[Shape] = [*_written(lines, Spot(PAD, PAD))]
    if folded:
        fold = (Spot(side, PAD), Spot(side, high - PAD))
        shapes.append(DrawnLine(spots=fold, weight=HAIR, dash=FOLD_DASH))
        shapes += _written(lines, Spot(side + PAD, PAD))
    return Drawing(wide, high, tuple(shapes))


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of a label and how it is lettered."""

    text: str
    lettering: Lettering


def _label_lines(
    row: FlagRow, mark: str, wide: float, high: float, measure: Measure
) -> list[_Line]:
    """The lines of a label: from, to, wire, signal, job, within this width and height [mm].

    From and to are always told, if need be in the smallest type; of the others those with room.
    """
    for points in SIZES:
        lines = _lines(row.near, Lettering(points, strong=True), wide, measure)
        lines += _lines(f"→ {row.far}", Lettering(points), wide, measure)
        if _height(lines) <= high:
            break
    small = Lettering(min(points, SMALL))
    for text in filter(None, (row.wire, row.signal, mark)):
        more = _lines(text, small, wide, measure)
        if _height([*lines, *more]) <= high:
            lines += more
    return lines


def _lines(text: str, lettering: Lettering, wide: float, measure: Measure) -> list[_Line]:
    """A text as lines no wider than this [mm]."""
    return [_Line(line, lettering) for line in wrapped(text, wide, lettering, measure)]


def _height(lines: Sequence[_Line]) -> float:
    """How high lines stand one below the other [mm]."""
    return sum(line.lettering.line_mm for line in lines)


def _written(lines: Sequence[_Line], corner: Spot) -> Iterator[Words]:
    """Lines one below the other, from their upper left corner."""
    top = corner.y
    for line in lines:
        foot = Spot(corner.x, top + BASE * line.lettering.line_mm)
        yield Words(at=foot, text=line.text, lettering=line.lettering)
        top += line.lettering.line_mm
