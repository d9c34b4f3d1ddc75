"""Fuse against wire, on double-log paper: thin lines, each named where it runs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from wiremap.content.pieces import CurrentMark, Curve, FusePlot, TextPiece
from wiremap.sheet.elements import FIRM, HAIR, LINE, THIN, WIDE, Piece, paragraph
from wiremap.sheet.ink import SMALL, SMALL_STRONG, STRONG, Ink, width, wrap

PLOT_W, PLOT_H, LEFT = 118.0, 76.0, 14.0
SIDE_MM = WIDE - LEFT - PLOT_W - 4  # for the names of the curves
DECADES = (-2, 4)  # of seconds, shown
SHORTEST, LONGEST = 10.0 ** DECADES[0], 10.0 ** DECADES[1]
DOTS = (0.4, 0.8)
STEPS = (1, 2, 5)  # of a decade of amps, marked
NEAR = 1.0001  # what a computed decade may be out by
HEAVY = 0.6

Spot = tuple[float, float]


def fuse_plot(block: FusePlot) -> list[Piece]:
    """The drawing with its sentence under it."""
    amps = [a for curve in block.curves for a, _ in curve.points]
    amps += [mark.amps for mark in block.marks if mark.amps > 0]

    def draw(ink: Ink, x: float, y: float) -> None:
        _Paper(ink, x, y, amps).draw(block)

    drawing = Piece(LINE + PLOT_H + 14, draw, keep=True)
    return [drawing, *paragraph(TextPiece(block.sentence, strong=True))]


class _Paper:
    """Double-log paper at a place on the page: amps to the right, seconds upwards."""

    def __init__(self, ink: Ink, x: float, y: float, amps: Sequence[float]) -> None:
        self.ink, self.corner = ink, (x, y)
        least, most = min(amps), max(amps)
        self.low = min(-1.0 if least < 1 else 0.0, math.floor(math.log10(least) * 2) / 2)
        self.high = math.ceil(math.log10(most) * 2) / 2
        self.left, self.right = x + LEFT, x + LEFT + PLOT_W
        self.top, self.bottom = y + LINE + 3, y + LINE + 3 + PLOT_H

    def at(self, amps: float) -> float:
        """Where a current stands."""
        return self.left + (math.log10(amps) - self.low) / (self.high - self.low) * PLOT_W

    def level(self, seconds: float) -> float:
        """Where a time stands."""
        low, high = DECADES
        return self.top + (high - math.log10(seconds)) / (high - low) * PLOT_H

    def draw(self, block: FusePlot) -> None:
        """Title, grid, marks, curves, and beside them their names."""
        x, y = self.corner
        self.ink.text(x, y + LINE * 0.8, block.title, STRONG)
        self._seconds()
        self._amps()
        for mark in block.marks:
            self._mark(mark)
        spots = [self._curve(curve, 1 + i % 2) for i, curve in enumerate(block.curves)]
        level = y + LINE + 4
        for n, (curve, spot) in enumerate(zip(block.curves, spots, strict=True), 1):
            self._number(spot, str(n))
            level = self._name(level, f"{n}  {curve.name}")
        for mark in block.marks:
            level = self._name(level, f"{mark.word} {mark.amps:.3g} A")

    def _seconds(self) -> None:
        """The frame, and a dotted line for each decade of seconds."""
        ink, left = self.ink, self.left
        ink.box(left, self.top, (self.right - left, self.bottom - self.top), THIN)
        for decade in range(DECADES[0], DECADES[1] + 1):
            level = self.level(10.0**decade)
            ink.across(left, level, self.right - left, HAIR, dash=DOTS)
            figure = f"{10.0**decade:g}"
            if decade == DECADES[1]:
                figure += " s"
            ink.text(left - 1.2, level + 1.2, figure, SMALL, align="right")

    def _amps(self) -> None:
        """A dotted line for each marked current, with its figure where there is room."""
        least, most = 10**self.low, 10**self.high
        last = -math.inf
        for amps in self._marked():
            if amps * NEAR < least or amps > most * NEAR:
                continue
            at, figure = self.at(amps), f"{amps:g}"
            self.ink.down(at, self.top, self.bottom - self.top, HAIR, dash=DOTS)
            if at - last > width(figure, SMALL) + 2:
                self.ink.text(at, self.bottom + 3.6, figure, SMALL, align="centre")
                last = at
        self.ink.text(self.right, self.bottom + 7.2, "A", SMALL, align="right")

    def _marked(self) -> Iterator[float]:
        for decade in range(math.floor(self.low), math.ceil(self.high) + 1):
            for step in STEPS:
                yield step * 10.0**decade

    def _mark(self, mark: CurrentMark) -> None:
        """A current with its word along it."""
        if mark.amps < 10**self.low:
            return
        at = self.at(mark.amps)
        self.ink.down(at, self.top, self.bottom - self.top, THIN, dash=(0.8, 0.6))
        self.ink.upright(at - 0.7, self.top + 1.5 + width(mark.word, SMALL), mark.word, SMALL)

    def _curve(self, curve: Curve, named: int) -> Spot:
        """The curve; gives the spot where its number stands."""
        inside = [(self.at(a), self.level(s)) for a, s in _clipped(curve.points)]
        weight = HEAVY if curve.heavy else FIRM
        dash = (1.6, 1.0) if curve.dashed else ()
        self.ink.canvas.setLineCap(1)
        for start, stop in pairwise(inside):
            self.ink.line(start, stop, weight, dash=dash)
        return inside[min(len(inside) - 1, named)]

    def _number(self, spot: Spot, text: str) -> None:
        """A number in a white circle on its curve."""
        x, y = spot
        self.ink.canvas.setFillGray(1)
        self.ink.circle(x, y, 2.1, THIN, fill=True)
        self.ink.canvas.setFillGray(0)
        self.ink.text(x, y + 1.1, text, SMALL_STRONG, align="centre")

    def _name(self, level: float, text: str) -> float:
        """A name beside the drawing; gives where the next one begins."""
        made = wrap(text, SIDE_MM)
        self.ink.lines(self.right + 4, level, made)
        return level + len(made) * LINE + 1.5


def _clipped(points: Sequence[Spot]) -> list[Spot]:
    """The line within the drawing's times, cut on double-log straight lines."""
    out: list[Spot] = []
    for one, two in pairwise(points):
        times = (one[1], two[1])
        if min(times) > LONGEST or max(times) < SHORTEST:
            continue
        for spot in (one, two):
            kept = _kept(spot, one, two)
            if not out or out[-1] != kept:
                out.append(kept)
    return out


def _kept(spot: Spot, one: Spot, two: Spot) -> Spot:
    """A spot of the line from one to two, drawn back to where that line leaves the drawing."""
    edge = min(max(spot[1], SHORTEST), LONGEST)
    if edge == spot[1]:
        return spot
    part = math.log(edge / one[1]) / math.log(two[1] / one[1])
    return one[0] * (two[0] / one[0]) ** part, edge
