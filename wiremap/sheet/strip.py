"""Joint places at true scale, with a bar of 100 mm to measure the print by."""

from __future__ import annotations

from wiremap.content.pieces import Spot, Strip
from wiremap.content.words import number
from wiremap.sheet.elements import FIRM, HAIR, LINE, SMALL_LINE, THIN, WIDE, Piece, lines
from wiremap.sheet.ink import BODY, SMALL, Ink, width, wrap

MARGIN = 6.0
WINDOW = WIDE - 2 * MARGIN  # mm of run on one strip
BAR_MM = 100.0
LANE = 6.3
MOST_LANES = 28
GAP_MM = 60.0  # a longer stretch without a joint is left out


def strip_pieces(block: Strip) -> list[Piece]:
    """The bar, then the run in as many strips as it needs, with match marks where it goes on."""
    out = [_bar()]
    if not block.spots:
        return out
    parts = _parts(block)
    for k, (start, end) in enumerate(parts):
        after = parts[k + 1][0] if k + 1 < len(parts) else None
        before = parts[k - 1][1] if k else None
        here = [s for s in block.spots if _left(s) >= start and (after is None or _left(s) < after)]
        placed = _lanes(here, start)
        marks = (_mark(k - 1) if before == start else "", _mark(k) if after == end else "")
        depth = max((lane for _, lane, _ in placed), default=0) + 1
        for low in range(0, depth, MOST_LANES):
            part = [
                (s, lane - low, middle)
                for s, lane, middle in placed
                if low <= lane < low + MOST_LANES
            ]
            datums = _datums(block, start if not k else None, end if after is None else None)
            out.append(_stretch(block, start, end, marks, part, datums))
    return out


def _datums(block: Strip, first: float | None, last: float | None) -> tuple[str, str]:
    """How far the datums lie off the drawn part of the run, in words for its two ends."""
    left = f"0 lies {number(first)} mm further left" if first is not None and first > 0 else ""
    right = (
        f"{number(block.run_mm)}: {number(block.run_mm - last)} mm further"
        if last is not None and block.run_mm > last
        else ""
    )
    return left, right


def _mark(n: int) -> str:
    """Match marks: A to Z, then A2, B2 and on."""
    return f"{chr(65 + n % 26)}{n // 26 + 1 if n >= 26 else ''}"


def _left(spot: Spot) -> float:
    return spot.at_mm - spot.sleeve_mm / 2


def _parts(block: Strip) -> list[tuple[float, float]]:
    """From where to where each strip runs: no sleeve is cut through, and long stretches without a joint are left out."""
    spots = sorted(block.spots, key=_left)
    first = _left(spots[0])
    starts = [max(0.0, 10.0 * int((first - 3) // 10)) if first > 18 else min(0.0, first)]
    ends: list[float] = []
    for spot in spots:
        if spot.at_mm + spot.sleeve_mm / 2 > starts[-1] + WINDOW and _left(spot) - 2 > starts[-1]:
            ends.append(min(_left(spot) - 2, starts[-1] + WINDOW))
            gap = _left(spot) - 2 - ends[-1]
            starts.append(ends[-1] if gap < GAP_MM else _left(spot) - 2)
    last = max(s.at_mm + s.sleeve_mm / 2 for s in spots)
    ends.append(max(min(block.run_mm, last + 4), last))
    return list(zip(starts, ends, strict=True))


def _bar() -> Piece:
    text = "Measure this bar: 100 mm. Otherwise print again at 100 %."

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.line(x, y + 2.6, x + BAR_MM, y + 2.6, FIRM)
        for i in range(11):
            at = x + i * BAR_MM / 10
            ink.line(
                at,
                y + 0.6 if i in (0, 10) else y + 1.6,
                at,
                y + 4.6 if i in (0, 10) else y + 2.6,
                FIRM if i in (0, 10) else THIN,
            )
        lines(ink, x + BAR_MM + 4, y, wrap(text, WIDE - BAR_MM - 4, SMALL), SMALL)

    return Piece(
        max(5.4, len(wrap(text, WIDE - BAR_MM - 4, SMALL)) * SMALL_LINE + 1.5), draw, keep=True
    )


def _lanes(spots: list[Spot], start_mm: float) -> list[tuple[Spot, int, float]]:
    """Each joint with its lane, the first where neither its sleeve nor its words meet another's, and its words' middle."""
    ends: list[float] = []
    out = []
    for spot in sorted(spots, key=lambda s: (s.at_mm, s.n)):
        x = MARGIN + spot.at_mm - start_mm
        half = width(_label(spot)) / 2
        middle = min(max(x, half), WIDE - half)
        left = min(x - spot.sleeve_mm / 2, middle - half)
        lane = next((i for i, e in enumerate(ends) if e + 1.6 <= left), len(ends))
        if lane == len(ends):
            ends.append(0.0)
        ends[lane] = max(x + spot.sleeve_mm / 2, middle + half)
        out.append((spot, lane, middle))
    return out


def _label(spot: Spot) -> str:
    name = spot.name if len(spot.name) <= 14 else spot.name[:13] + "…"
    return f"{spot.n} {name} {spot.at_mm:g}"


def _stretch(
    block: Strip,
    a: float,
    b: float,
    marks: tuple[str, str],
    placed: list[tuple[Spot, int, float]],
    datums: tuple[str, str],
) -> Piece:
    depth = max((lane for _, lane, _ in placed), default=0) + 1
    figures = list(range(int(-(-a // 50) * 50), int(b) + 1, 50))
    free = (
        (MARGIN + (figures[0] - a) - 5.0, MARGIN + (figures[-1] - a) + 5.0)
        if figures
        else (WIDE, 0.0)
    )
    raised = width(datums[0], SMALL) > free[0] or WIDE - width(datums[1], SMALL) < free[1]
    above = (
        SMALL_LINE if raised else 0.0
    )  # the datums get a line of their own where the scale's figures leave them no room
    scale_y = 4.2 + above
    high = scale_y + 2.0 + depth * LANE + 1.2

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
        for words, edge, align in ((datums[0], x, "left"), (datums[1], x + WIDE, "right")):
            if words:
                ink.text(edge, base - 2.8 - above, words, SMALL, align=align)
        bottom = base + depth * LANE + 1.4
        for left, right, _why in block.keep_out:
            lo, hi = max(left, a), min(right, b)
            if hi > lo:
                _hatch(ink, at(lo), at(hi), base + 0.3, base + 1.7)
        for spot, lane, middle in placed:
            _sleeve(ink, at(spot.at_mm), base, base + 2.0 + lane * LANE, spot, x + middle)
        for edge, mark in ((at(a), marks[0]), (at(b), marks[1])):
            if mark:
                right = edge > x + WIDE / 2
                ink.line(edge, base - 1, edge, bottom, FIRM, dash=(1.6, 0.9))
                ink.text(
                    edge + (1.0 if right else -1.0),
                    base + 1.2,
                    mark,
                    BODY,
                    strong=True,
                    align="left" if right else "right",
                )

    return Piece(high, draw)


def _sleeve(ink: Ink, x: float, base: float, y: float, spot: Spot, middle: float) -> None:
    """A joint: its mark on the scale, its sleeve at true length, its words."""
    ink.line(x, base, x, base + 1.8, FIRM)
    if y - base < LANE:
        ink.line(x, base + 1.8, x, y + 0.4, HAIR)
    ink.line(x, y - 0.3, x, y + 2.3, FIRM)
    if spot.sleeve_mm:
        ink.box(x - spot.sleeve_mm / 2, y, spot.sleeve_mm, 2.0, THIN, round=1.0)
    ink.text(middle, y + 2.1 + LINE * 0.82, _label(spot), BODY, align="centre")


def _hatch(ink: Ink, x0: float, x1: float, y0: float, y1: float) -> None:
    """Slanting strokes: no joint here."""
    at = x0
    while at < x1:
        ink.line(at, y1, min(at + 1.4, x1), y0, HAIR)
        at += 1.8
    ink.line(x0, y1, x1, y1, HAIR)
