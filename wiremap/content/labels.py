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

PAD = 2.5
HALVED_MM = 44.0  # a label at least so wide is folded in its middle round the wire
LEAST_WIDE, LEAST_HIGH = 20.0, 8.0
SIZES = (10.0, 8.5, 7.0)  # points; the largest at which everything fits
FOLD = (1.0, 1.0)
HAIR = 0.12


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
    half = wide
    if wide >= HALVED_MM:
        half = wide / 2
    texts = _texts(row, mark, half - 2 * PAD, high - 2 * PAD, measure)
    shapes: list[Shape] = []
    at = 0.0
    while at < wide - 1.0:
        if at:
            fold = (Spot(at, PAD), Spot(at, high - PAD))
            shapes.append(DrawnLine(spots=fold, weight=HAIR, dash=FOLD))
        shapes += _written(texts, Spot(at + PAD, PAD))
        at += half
    return Drawing(wide, high, tuple(shapes))


@dataclass(frozen=True, slots=True)
class _Text:
    """A line of a label."""

    text: str
    lettering: Lettering


def _texts(row: FlagRow, mark: str, wide: float, high: float, measure: Measure) -> list[_Text]:
    """The lines of a label: from, to, wire, signal, job; what has no room falls off the end.

    From and to are told whole at the smallest type that it takes.
    """
    for points in SIZES:
        must = _lines(row.near, Lettering(points, strong=True), wide, measure)
        must += _lines(f"→ {row.far}", Lettering(points), wide, measure)
        if _high(must) <= high:
            break
    for extra in (row.wire, row.signal, mark):
        more = _lines(extra, Lettering(min(points, SIZES[1])), wide, measure) if extra else []
        if _high([*must, *more]) <= high:
            must += more
    return must


def _lines(text: str, lettering: Lettering, wide: float, measure: Measure) -> list[_Text]:
    return [_Text(line, lettering) for line in wrapped(text, wide, lettering, measure)]


def _high(texts: Sequence[_Text]) -> float:
    return sum(text.lettering.line_mm for text in texts)


def _written(texts: Sequence[_Text], corner: Spot) -> Iterator[Words]:
    level = corner.y
    for text in texts:
        base = level + 0.8 * text.lettering.line_mm
        yield Words(at=Spot(corner.x, base), text=text.text, lettering=text.lettering)
        level += text.lettering.line_mm
