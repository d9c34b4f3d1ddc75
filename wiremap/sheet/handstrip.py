"""An in-line unit as the hand finds it: machine left, unit right, ground and feed below."""

from __future__ import annotations

from wiremap.content.pieces import CutLeg, HandStrip
from wiremap.sheet.elements import FIRM, THIN, WIDE, Piece
from wiremap.sheet.ink import SMALL, STRONG, Ink, shorten, width

BOX_MM = 52.0
BOX_HIGH_MM = 22.0
TOP_MM = 0.5
LEFT_MM = (WIDE - BOX_MM) / 2  # of the unit's box
RIGHT_MM = LEFT_MM + BOX_MM
LEGS_MM = (8.5, 16.5)  # from the top, the two legs of a port
FEET_MM = (14.0, 38.0)  # from the box's left side, ground and feed
SHIELD_MM = 20.5  # from the top
HIGH_MM = 36.5
PART_MM = (5.0, 2.4)  # a resistor's or a fuse's body


def hand_strip(block: HandStrip) -> list[Piece]:
    """The sketch as one piece."""

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.box(x + LEFT_MM, y + TOP_MM, (BOX_MM, BOX_HIGH_MM), FIRM, round=1.5)
        name = shorten(block.unit, BOX_MM - 6, STRONG)
        ink.text(x + LEFT_MM + BOX_MM / 2, y + TOP_MM + 5.0, name, STRONG, align="centre")
        for down, left, right in zip(LEGS_MM, block.left, block.right, strict=True):
            _leg(ink, x, y + down, left, right=False)
            _leg(ink, x, y + down, right, right=True)
        _across(ink, x + LEFT_MM * 0.55, y, block.across_left)
        _across(ink, x + RIGHT_MM + LEFT_MM * 0.45, y, block.across_right)
        _ground(ink, x, y, block.ground)
        _feed(ink, x, y, block.feed)
        _shield(ink, x, y, block.shield)

    return [Piece(HIGH_MM, draw)]


def _leg(ink: Ink, x: float, y: float, leg: CutLeg, *, right: bool) -> None:
    """One wire of the cut pair: its far end, the line, the port's contact within the box."""
    room = BOX_MM / 2 - 3
    words = shorten(leg.port, room, SMALL)
    if right:
        ink.across(x + RIGHT_MM, y, LEFT_MM - width(leg.far, STRONG) - 2, FIRM)
        ink.text(x + WIDE, y + 1.2, leg.far, STRONG, align="right")
        ink.text(x + RIGHT_MM - 1.5, y + 1.2, words, SMALL, align="right")
        return
    start = width(leg.far, STRONG) + 2
    ink.text(x, y + 1.2, leg.far, STRONG)
    ink.across(x + start, y, LEFT_MM - start, FIRM)
    ink.text(x + LEFT_MM + 1.5, y + 1.2, words, SMALL)


def _across(ink: Ink, x: float, y: float, words: str) -> None:
    """A resistor across both legs of a port."""
    if not words:
        return
    top, foot = LEGS_MM
    high, wide = PART_MM
    middle = y + (top + foot) / 2
    ink.down(x, y + top, middle - high / 2 - y - top, THIN)
    ink.box(x - wide / 2, middle - high / 2, (wide, high), THIN)
    ink.down(x, middle + high / 2, y + foot - middle - high / 2, THIN)
    ink.text(x + wide, middle + 1.2, words, SMALL)


def _ground(ink: Ink, x: float, y: float, words: str) -> None:
    """The ground lead, from the box down to three strokes."""
    at = x + LEFT_MM + FEET_MM[0]
    foot = y + TOP_MM + BOX_HIGH_MM
    ink.down(at, foot, 6.0, FIRM)
    for k, half in enumerate((3.0, 2.0, 1.0)):
        ink.across(at - half, foot + 6.0 + k * 1.2, 2 * half, FIRM)
    ink.text(at + 4.0, foot + 13.0, words, SMALL, align="right")


def _feed(ink: Ink, x: float, y: float, words: str) -> None:
    """The feed lead, through its own fuse."""
    at = x + LEFT_MM + FEET_MM[1]
    foot = y + TOP_MM + BOX_HIGH_MM
    high, wide = PART_MM
    ink.down(at, foot, 2.0, FIRM)
    ink.box(at - wide / 2, foot + 2.0, (wide, high), THIN)
    ink.down(at, foot + 2.0, high + 2.5, THIN)
    ink.text(at - 4.0, foot + 13.0, words, SMALL)


def _shield(ink: Ink, x: float, y: float, words: str) -> None:
    """The shield beside the unit's pair, dashed; its words stand where the dashes end."""
    if not words:
        return
    ink.across(x + RIGHT_MM, y + SHIELD_MM, LEFT_MM * 0.6, FIRM, dash=(1.5, 1.0))
    ink.text(x + RIGHT_MM + 2.0, y + SHIELD_MM + 4.2, f"shield: {words}", SMALL)
