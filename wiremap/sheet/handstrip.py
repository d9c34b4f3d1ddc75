"""The cut pair with an in-line module, as numbered things in the order of the hands."""

from __future__ import annotations

from wiremap.content.pieces import HandStrip, Leg
from wiremap.sheet.elements import FIRM, LINE, THIN, WIDE, Piece, tick
from wiremap.sheet.ink import SMALL, STRONG, Ink, wrap

BOX_W, HIGH = 52.0, 58.0
LEFT = (WIDE - BOX_W) / 2  # of the module's box
RIGHT = LEFT + BOX_W
LEG_LEVELS = (17.0, 24.0)
JOINTS = (0.45, 0.62)  # where on its leg each joint lies
FOOT_MM = 86.0  # room for the words of ground and feed


def hand_strip(block: HandStrip) -> list[Piece]:
    """The drawing, then its numbered sentences with boxes to tick."""

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.box(x + LEFT, y + 6, (BOX_W, 24), FIRM, round=1.5)
        ink.lines(x + LEFT + 4, y + 8, wrap(block.module, BOX_W - 8, STRONG), STRONG)
        for k, (left, right) in enumerate(zip(block.left, block.right, strict=True)):
            _leg(ink, (x + 2, x + LEFT), y, left, k)
            _leg(ink, (x + WIDE - 2, x + RIGHT), y, right, k)
        _number(ink, x + LEFT * 0.55, y + 9, "1")
        _number(ink, x + RIGHT + LEFT * 0.45, y + 9, "2")
        _ground(ink, x + LEFT + 14, y)
        _words(ink, x, y, block.ground, "left")
        _fused_feed(ink, x + RIGHT - 14, y)
        _words(ink, x + WIDE, y, block.feed, "right")

    sentences = [_sentence(n, text) for n, text in enumerate(block.sentences, 1)]
    return [Piece(HIGH + 2, draw, keep=True), *sentences]


def _sentence(n: int, text: str) -> Piece:
    made = wrap(text, WIDE - 16)

    def draw(ink: Ink, x: float, y: float) -> None:
        tick(ink, x, y + 0.3)
        ink.text(x + 7.5, y + LINE, str(n), STRONG)
        ink.lines(x + 13, y + 0.8, made)

    return Piece(max(6.4, len(made) * LINE + 1.8), draw)


def _leg(ink: Ink, span: tuple[float, float], y: float, leg: Leg, k: int) -> None:
    """One wire of the pair: the cut end, a joint, then the port's contact, from either side."""
    start, stop = span
    level, long = y + LEG_LEVELS[k], stop - start
    align, inside = ("left", 2) if long > 0 else ("right", -2)
    ink.across(start, level, long, FIRM)
    ink.box(start + long * JOINTS[k] - 4, level - 1, (8, 2), THIN, round=1, fill=True)
    ink.text(start, level - 1.6, wrap(leg.far, LEFT - 4, SMALL)[0], SMALL, align=align)
    ink.text(stop + inside, level + 1.2, leg.port, SMALL, align=align)


def _ground(ink: Ink, x: float, y: float) -> None:
    """The module's ground: a lead to a bolt."""
    ink.down(x, y + 30, 14, FIRM)
    _number(ink, x + 4.5, y + 35, "3")
    for inset in (0.0, 1.2, 2.4):
        ink.across(x - 4 + inset, y + 44 + inset, 8 - 2 * inset, FIRM)


def _fused_feed(ink: Ink, x: float, y: float) -> None:
    """The module's feed: a lead with its fuse."""
    ink.down(x, y + 30, 14, FIRM)
    _number(ink, x + 4.5, y + 35, "4")
    ink.box(x - 1.6, y + 38, (3.2, 6), FIRM)


def _words(ink: Ink, x: float, y: float, text: str, align: str) -> None:
    first, *rest = wrap(text, FOOT_MM)
    ink.text(x, y + 50, first, align=align)
    for second in rest[:1]:
        ink.text(x, y + 50 + LINE, second, align=align)


def _number(ink: Ink, x: float, y: float, text: str) -> None:
    ink.circle(x, y, 2.4, THIN)
    ink.text(x, y + 1.25, text, STRONG, align="centre")
