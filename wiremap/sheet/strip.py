"""Joint places at true scale, with a bar of 100 mm to measure the print by."""

from __future__ import annotations

from wiremap.sheet.elements import FIRM, HAIR, LINE, SMALL_LINE, THIN, WIDE, Piece, lines
from wiremap.sheet.ink import BODY, SMALL, Ink, width, wrap
from wiremap.sheet.pieces import Spot, Strip

MARGIN = 6.0
WINDOW = WIDE - 2 * MARGIN  # mm of run on one strip
BAR_MM = 100.0
LANE = 5.9


def strip_pieces(block: Strip) -> list[Piece]:
    """The bar, then the run in as many strips as it needs, with match marks where it goes on."""
    out = [_bar()]
    if not block.spots:
        return out
    first = min(s.at_mm - s.sleeve_mm / 2 for s in block.spots)
    last = max(s.at_mm + s.sleeve_mm / 2 for s in block.spots)
    start = max(0.0, 10.0 * int((first - 3) // 10)) if first > 18 else 0.0
    end = min(block.run_mm, last + 4)
    count = max(1, -int(-(end - start) // WINDOW))
    for k in range(count):
        a = start + k * WINDOW
        out.append(_stretch(block, a, min(end, a + WINDOW), k, count))
    return out


def _bar() -> Piece:
    text = "Measure this bar: 100 mm. Otherwise print again at 100 %."

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.line(x, y + 2.6, x + BAR_MM, y + 2.6, FIRM)
        for i in range(11):
            at = x + i * BAR_MM / 10
            ink.line(
                at, y + 0.6 if i in (0, 10) else y + 1.6, at, y + 4.6 if i in (0, 10) else y + 2.6, FIRM if i in (0, 10) else THIN
            )
        lines(ink, x + BAR_MM + 4, y, wrap(text, WIDE - BAR_MM - 4, SMALL), SMALL)

    return Piece(max(5.4, len(wrap(text, WIDE - BAR_MM - 4, SMALL)) * SMALL_LINE + 1.5), draw, keep=True)


def _lanes(spots: list[Spot]) -> list[tuple[Spot, int]]:
    """Each joint on the first lane where neither its sleeve nor its words meet another's."""
    ends: list[float] = []
    out = []
    for spot in sorted(spots, key=lambda s: (s.at_mm, s.n)):
        half = max(spot.sleeve_mm / 2, width(_label(spot)) / 2 + 0.8)
        lane = next((i for i, e in enumerate(ends) if e + 1.0 <= spot.at_mm - half), len(ends))
        if lane == len(ends):
            ends.append(0.0)
        ends[lane] = spot.at_mm + half
        out.append((spot, lane))
    return out


def _label(spot: Spot) -> str:
    name = spot.name if len(spot.name) <= 14 else spot.name[:13] + "…"
    return f"{spot.n} {name} {spot.at_mm:g}"


def _stretch(block: Strip, a: float, b: float, k: int, count: int) -> Piece:
    here = [s for s in block.spots if a <= s.at_mm < b or (k == count - 1 and s.at_mm == b)]
    placed = _lanes(here)
    depth = max((lane for _, lane in placed), default=0) + 1
    scale_y = 4.2
    high = scale_y + 2.0 + depth * LANE + 1.6

    def draw(ink: Ink, x: float, y: float) -> None:
        def at(mm: float) -> float:
            return x + MARGIN + mm - a

        base = y + scale_y + 2.0
        ink.line(at(a), base, at(b), base, THIN)
        tick = int(-(-a // 10) * 10)
        while tick <= b:
            tall = tick % 50 == 0
            ink.line(at(tick), base, at(tick), base - (2.2 if tall else 1.2), THIN)
            if tall:
                ink.text(at(tick), base - 2.8, str(tick), SMALL, align="centre")
            tick += 10
        bottom = base + depth * LANE + 1.4
        for left, right, _why in block.keep_out:
            lo, hi = max(left, a), min(right, b)
            if hi > lo:
                _hatch(ink, at(lo), at(hi), base + 0.3, base + 1.7)
        for spot, lane in placed:
            _sleeve(ink, at(spot.at_mm), base, base + 2.0 + lane * LANE, spot)
        for edge, mark, more in ((at(a), chr(64 + k), k > 0), (at(b), chr(65 + k), k < count - 1)):
            if more:
                ink.line(edge, base - 1, edge, bottom, FIRM, dash=(1.6, 0.9))
                ink.text(
                    edge + (0.9 if edge > x + WIDE / 2 else -0.9),
                    bottom,
                    mark,
                    BODY,
                    strong=True,
                    align="left" if edge > x + WIDE / 2 else "right",
                )

    return Piece(high, draw)


def _sleeve(ink: Ink, x: float, base: float, y: float, spot: Spot) -> None:
    """A joint: its mark on the scale, its sleeve at true length, its words."""
    ink.line(x, base, x, base + 1.8, FIRM)
    if y - base < LANE:
        ink.line(x, base + 1.8, x, y + 0.4, HAIR)
    ink.line(x, y - 0.3, x, y + 2.3, FIRM)
    if spot.sleeve_mm:
        ink.box(x - spot.sleeve_mm / 2, y, spot.sleeve_mm, 2.0, THIN, round=1.0)
    ink.text(x, y + 2.1 + LINE * 0.82, _label(spot), BODY, align="centre")


def _hatch(ink: Ink, x0: float, x1: float, y0: float, y1: float) -> None:
    """Slanting strokes: no joint here."""
    at = x0
    while at < x1:
        ink.line(at, y1, min(at + 1.4, x1), y0, HAIR)
        at += 1.8
    ink.line(x0, y1, x1, y1, HAIR)
