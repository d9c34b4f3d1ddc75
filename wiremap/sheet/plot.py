"""Fuse against wire, on double-log paper: thin lines, each named where it runs."""

from __future__ import annotations

import math
from itertools import pairwise

from wiremap.content.pieces import FusePlot
from wiremap.sheet.elements import FIRM, HAIR, LINE, THIN, WIDE, Piece, lines, paragraph
from wiremap.sheet.ink import SMALL, Ink, width, wrap

PLOT_W, PLOT_H, LEFT = 118.0, 76.0, 14.0
SECONDS = (-2.0, 4.0)  # decades shown


def fuse_plot(block: FusePlot) -> list[Piece]:
    """The drawing with its sentence under it."""
    amps = [a for c in block.curves for a, _ in c.points] + [a for _, a in block.marks if a > 0]
    low = min(-1.0 if min(amps) < 1 else 0.0, math.floor(math.log10(min(amps)) * 2) / 2)
    high = math.ceil(math.log10(max(amps)) * 2) / 2

    def draw(ink: Ink, x: float, y: float) -> None:
        def px(a: float) -> float:
            return x + LEFT + (math.log10(a) - low) / (high - low) * PLOT_W

        def py(s: float) -> float:
            return y + LINE + 3 + (SECONDS[1] - math.log10(s)) / (SECONDS[1] - SECONDS[0]) * PLOT_H

        ink.text(x, y + LINE * 0.8, block.title, strong=True)
        _grid(ink, px, py, low, high)
        _marks(ink, block, px, py, low)
        named = []
        for i, curve in enumerate(block.curves):
            inside = _clipped(curve.points)
            ink.c.setLineCap(1)
            for (a0, s0), (a1, s1) in pairwise(inside):
                ink.line(
                    px(a0),
                    py(s0),
                    px(a1),
                    py(s1),
                    0.6 if curve.heavy else FIRM,
                    dash=(1.6, 1.0) if curve.dashed else (),
                )
            spot = inside[min(len(inside) - 1, 1 + i % 2)]
            named.append((str(i + 1), px(spot[0]), py(spot[1]), curve.name))
        side = x + LEFT + PLOT_W + 4
        at = y + LINE + 4
        for n, nx, ny, name in named:
            ink.c.setFillGray(1)
            ink.circle(nx, ny, 2.1, THIN, fill=True)
            ink.c.setFillGray(0)
            ink.text(nx, ny + 1.1, n, SMALL, strong=True, align="centre")
            made = wrap(f"{n}  {name}", WIDE - LEFT - PLOT_W - 4)
            lines(ink, side, at, made)
            at += len(made) * LINE + 1.5
        for word, value in block.marks:
            made = wrap(f"{word} {value:.3g} A", WIDE - LEFT - PLOT_W - 4)
            lines(ink, side, at, made)
            at += len(made) * LINE + 1.5

    return [Piece(LINE + PLOT_H + 14, draw, keep=True), *paragraph(block.sentence, strong=True)]


def _grid(ink: Ink, px: object, py: object, low: float, high: float) -> None:
    assert callable(px) and callable(py)
    left, right, top, bottom = px(10**low), px(10**high), py(10 ** SECONDS[1]), py(10 ** SECONDS[0])
    ink.box(left, top, right - left, bottom - top, THIN)
    for decade in range(int(SECONDS[0]), int(SECONDS[1]) + 1):
        at = py(10.0**decade)
        ink.line(left, at, right, at, HAIR, dash=(0.4, 0.8))
        ink.text(left - 1.2, at + 1.2, f"{10.0**decade:g}", SMALL, align="right")
    ink.text(left - 1.2, top - 1.4, "s", SMALL, align="right")
    last = -99.0
    for decade in range(math.floor(low), math.ceil(high) + 1):
        for step in (1, 2, 5):
            value = step * 10.0**decade
            if 10**low <= value * 1.0001 and value <= 10**high * 1.0001:
                at = px(value)
                ink.line(at, top, at, bottom, HAIR, dash=(0.4, 0.8))
                if at - last > width(f"{value:g}", SMALL) + 2:
                    ink.text(at, bottom + 3.6, f"{value:g}", SMALL, align="centre")
                    last = at
    ink.text(right, bottom + 7.2, "A", SMALL, align="right")


def _marks(ink: Ink, block: FusePlot, px: object, py: object, low: float) -> None:
    assert callable(px) and callable(py)
    top, bottom = py(10 ** SECONDS[1]), py(10 ** SECONDS[0])
    for word, value in block.marks:
        if value >= 10**low:
            ink.line(px(value), top, px(value), bottom, THIN, dash=(0.8, 0.6))
            ink.upright(px(value) - 0.7, top + 1.5 + width(word, SMALL), word, SMALL)


def _clipped(points: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """The line within the drawing's times, cut on double-log straight lines."""
    low, high = 10 ** SECONDS[0], 10 ** SECONDS[1]
    out: list[tuple[float, float]] = []
    for (a0, s0), (a1, s1) in pairwise(points):
        for a, s in ((a0, s0), (a1, s1)):
            kept = (a, s)
            if not low <= s <= high:
                edge = low if s < low else high
                if s0 == s1 or (min(s0, s1) > high or max(s0, s1) < low):
                    continue
                part = math.log(edge / s0) / math.log(s1 / s0)
                kept = (a0 * (a1 / a0) ** part, edge)
            if not out or out[-1] != kept:
                out.append(kept)
    return out
