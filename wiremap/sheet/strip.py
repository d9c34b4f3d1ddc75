"""Joint places at true scale, with a bar of 100 mm to measure the print by."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wiremap.content.pieces import NAME_LETTERS, Strip, StripJoint
from wiremap.content.words import number
from wiremap.sheet.elements import FIRM, HAIR, LINE, SMALL_LINE, THIN, WIDE, Piece
from wiremap.sheet.ink import SMALL, STRONG, Ink, width, wrap

MARGIN = 6.0
WINDOW = WIDE - 2 * MARGIN  # mm of run on one strip
BAR_MM = 100.0
BAR_WORDS = "Measure this bar: 100 mm. Otherwise print again at 100 %."
LANE = 6.1
BELOW = 1.7  # under a strip: the words of its last lane reach below it
APART = 3.0  # between strips, that no figure of a scale is read with the words above it
MOST_LANES = 28
MOST_WHOLE_MM = 200.0  # a strip that fits on a page is not parted over two
GAP_MM = 60.0  # a longer stretch without a joint is left out
LEAD_MM = 60.0  # the ends of a run are drawn where the joints lie that near
SCALE_MM, FIGURE_MM = 10, 50  # a stroke, a stroke with its figure


@dataclass(frozen=True, slots=True)
class _Part:
    """A stretch of the run that fits the paper; the next begins at `until`."""

    start: float
    stop: float
    until: float
    marks: tuple[str, str]  # match marks at its ends; empty where nothing goes on
    words: tuple[str, str]  # how far the ends of the run lie off its ends

    def holds(self, spot: StripJoint) -> bool:
        """Whether a joint is drawn on it."""
        return self.start <= spot.left_mm < self.until


@dataclass(frozen=True, slots=True)
class _Placed:
    """A joint on its lane, and the middle of its words."""

    spot: StripJoint
    lane: int
    middle: float


def strip_pieces(block: Strip) -> list[Piece]:
    """The bar, then the run in as many strips as it needs, with match marks where it goes on."""
    out = [_bar()]
    if not block.spots:
        return out
    for part in _parts(block):
        placed = _lanes([spot for spot in block.spots if part.holds(spot)], part.start)
        deepest = max((p.lane for p in placed), default=0)
        for low in range(0, deepest + 1, MOST_LANES):
            lanes = [replace(p, lane=p.lane - low) for p in placed]
            lanes = [p for p in lanes if 0 <= p.lane < MOST_LANES]
            out.append(_stretch(block, part, lanes))
    out = [out[0], *(replace(piece, height=piece.height + BELOW + APART) for piece in out[1:])]
    out[-1] = replace(out[-1], height=out[-1].height - APART)
    if sum(piece.height for piece in out) > MOST_WHOLE_MM:
        return out
    return [replace(piece, keep=True) for piece in out[:-1]] + out[-1:]


def _bar() -> Piece:
    made = wrap(BAR_WORDS, WIDE - BAR_MM - 4, SMALL)

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.across(x, y + 2.6, BAR_MM, FIRM)
        for i in range(11):
            at = x + i * BAR_MM / 10
            if i in (0, 10):
                ink.down(at, y + 0.6, 4.0, FIRM)
            else:
                ink.down(at, y + 1.6, 1.0, THIN)
        ink.lines(x + BAR_MM + 4, y, made, SMALL)

    return Piece(max(5.4, len(made) * SMALL_LINE + 1.5), draw, keep=True)


def _parts(block: Strip) -> Iterator[_Part]:
    """The stretches of a run, each with its match marks and where the ends of the run lie."""
    stretches = _stretches(block)
    begins = ""
    for k, (start, stop) in enumerate(stretches):
        until, ends, left, right = math.inf, "", "", ""
        if k == 0 and start > 0:
            left = f"0 lies {number(start)} mm further left"
        if k + 1 < len(stretches):
            until = stretches[k + 1][0]
            ends = _mark(k) if until == stop else ""
        elif block.run_mm > stop:
            right = f"{number(block.run_mm)}: {number(block.run_mm - stop)} mm further"
        yield _Part(start, stop, until, (begins, ends), (left, right))
        begins = ends


def _mark(n: int) -> str:
    """Match marks: A to Z, then A2, B2 and on."""
    turn, letter = divmod(n, 26)
    return f"{chr(ord('A') + letter)}{turn + 1 if turn else ''}"


def _stretches(block: Strip) -> list[tuple[float, float]]:
    """From where to where each strip runs [mm]: no sleeve is cut, long empty ones are left out."""
    spots = sorted(block.spots, key=lambda spot: spot.left_mm)
    first = spots[0].left_mm
    start = min(0.0, first)
    if first > LEAD_MM:
        start = max(0.0, 10.0 * int((first - 3) // 10))  # a stroke, that the sleeve shows whole
    found = []
    for spot in spots:
        before = spot.left_mm - 2
        if spot.right_mm > start + WINDOW and before > start:
            stop = min(before, start + WINDOW)
            found.append((start, stop))
            start = stop if before - stop < GAP_MM else before
    last = max(spot.right_mm for spot in spots)
    stop = max(last, min(block.run_mm, last + 4))
    if last < block.run_mm <= last + LEAD_MM:
        stop = block.run_mm
    if stop > start + WINDOW:
        found.append((start, start + WINDOW))
        start += WINDOW
    found.append((start, stop))
    return found


def _lanes(spots: Sequence[StripJoint], start_mm: float) -> list[_Placed]:
    """Each joint on the first lane where neither its sleeve nor its words meet another's."""
    ends: list[float] = []
    out = []
    for spot in sorted(spots, key=lambda spot: (spot.at_mm, spot.n)):
        x, half = MARGIN + spot.at_mm - start_mm, width(_label(spot)) / 2
        sleeve = spot.sleeve_mm / 2
        middle = min(max(x, half), WIDE - half)
        left, right = min(x - sleeve, middle - half), max(x + sleeve, middle + half)
        free = [i for i, end in enumerate(ends) if end + 1.6 <= left]
        if not free:
            free = [len(ends)]
            ends.append(0.0)
        ends[free[0]] = right
        out.append(_Placed(spot, free[0], middle))
    return out


def _label(spot: StripJoint) -> str:
    name = spot.name
    if len(name) > NAME_LETTERS:
        behind = NAME_LETTERS // 2 - 1
        name = f"{name[: NAME_LETTERS - 1 - behind]}…{name[-behind:]}"
    return f"J{spot.n} {name} {spot.at_mm:g}"


def _stretch(block: Strip, part: _Part, placed: Sequence[_Placed]) -> Piece:
    """One strip: its scale, what is hatched, its joints lane by lane, its match marks."""
    depth = max((p.lane for p in placed), default=0) + 1
    raised = _raised_mm(part)
    scale_mm = 5.8 + raised
    lanes_mm = depth * LANE

    def draw(ink: Ink, x: float, y: float) -> None:
        left, base = x + MARGIN - part.start, y + scale_mm
        _scale(ink, left, base, part)
        above = base - 2.8 - raised
        ink.text(x, above, part.words[0], SMALL)
        ink.text(x + WIDE, above, part.words[1], SMALL, align="right")
        for low, high in block.keep_out:
            low, high = max(low, part.start), min(high, part.stop)
            if high > low:
                _hatch(ink, left + low, left + high, base + 0.3)
        for p in placed:
            _joint(ink, left, base, p)
            ink.text(
                x + p.middle,
                base + 4.1 + p.lane * LANE + LINE * 0.82,
                _label(p.spot),
                align="centre",
            )
        for edge, mark in zip((part.start, part.stop), part.marks, strict=True):
            if mark:
                right = left + edge > x + WIDE / 2
                _match_mark(ink, left + edge, base, lanes_mm, mark, right=right)

    return Piece(scale_mm + lanes_mm + 1.2, draw)


def _scale(ink: Ink, left: float, base: float, part: _Part) -> None:
    """The line with its strokes and figures."""
    ink.across(left + part.start, base, part.stop - part.start, THIN)
    for mm in _strokes(part, SCALE_MM):
        tall = mm % FIGURE_MM == 0
        high = 2.2 if tall else 1.2
        ink.down(left + mm, base, -high, THIN)
        if tall:
            ink.text(left + mm, base - 2.8, str(mm), SMALL, align="centre")


def _strokes(part: _Part, step: int) -> range:
    """The whole multiples of a step on a stretch."""
    return range(int(-(-part.start // step) * step), int(part.stop) + 1, step)


def _raised_mm(part: _Part) -> float:
    """A line's height where the scale's figures leave the words at its ends no room beside them."""
    figures = _strokes(part, FIGURE_MM)
    free_left, free_right = WIDE, 0.0
    if figures:
        free_left = MARGIN + (figures[0] - part.start) - 5.0
        free_right = MARGIN + (figures[-1] - part.start) + 5.0
    left, right = (width(words, SMALL) for words in part.words)
    return SMALL_LINE if left > free_left or WIDE - right < free_right else 0.0


def _joint(ink: Ink, left: float, base: float, placed: _Placed) -> None:
    """A joint: its mark on the scale, its sleeve at true length."""
    spot, x = placed.spot, left + placed.spot.at_mm
    y = base + 2.0 + placed.lane * LANE
    ink.down(x, base, 1.8, FIRM)
    if placed.lane == 0:
        ink.line((x, base + 1.8), (x, y + 0.4), HAIR)
    ink.line((x, y - 0.3), (x, y + 2.3), FIRM)
    if spot.sleeve_mm:
        ink.box(left + spot.left_mm, y, (spot.sleeve_mm, 2.0), THIN, round=1.0)


def _match_mark(ink: Ink, x: float, base: float, deep: float, mark: str, *, right: bool) -> None:
    """A dashed line with the letter that stands where the run goes on."""
    ink.line((x, base - 1), (x, base + deep + 1.4), FIRM, dash=(1.6, 0.9))
    if right:
        ink.text(x + 1.0, base + 1.2, mark, STRONG)
    else:
        ink.text(x - 1.0, base + 1.2, mark, STRONG, align="right")


def _hatch(ink: Ink, start: float, stop: float, y: float) -> None:
    """Slanting strokes: no joint here."""
    at = start
    while at < stop:
        ink.line((at, y + 1.4), (min(at + 1.4, stop), y), HAIR)
        at += 1.8
    ink.line((start, y + 1.4), (stop, y + 1.4), HAIR)
