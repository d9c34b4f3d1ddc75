"""Signs on a drawn face that no word replaces: the eye, the keyway, a hole, a wire's stub.

Lengths and weights of lines are millimetres, chosen by eye on printed sheets.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from wiremap.content.drawing import DrawnLine, Ring, Shape, Spot, across, box
from wiremap.model import Contacts, KeyAt, KeyShape, LookedAt

SHELL = 0.45  # weight of the shell's line
THIN, FIRM = 0.2, 0.35
SIGN_WIDE, SIGN_HIGH = 13.6, 6.4
EYE_HALF, EYE_RISE = 2.3, 1.4
SIGHT = (5.0, 5.8)  # where the dashed line of sight begins and ends
BODY_AT = 6.0  # where the connector begins
BODY_WIDE, BODY_HIGH = 3.3, 5.0
CONTACT_MM, STUB_MM = 1.3, 2.6
WIRE_STEP = 0.8  # from wire to wire
LEVELS = (-1.5, 0.0, 1.5)  # of the three contacts or wires that stand for all
ARC_STEPS = 12
CRESCENT = 0.5  # how thick a shade is in its middle
CRESCENT_DEGREES = 150.0
WIRE, BORE = 1.3, 0.75  # outside of a drawn wire, and the white within
ROUND = 1.8  # corners of a shell
KEY_OUT, KEY_LONG = 1.5, 5.2
NOTCH = 0.85
DIAMOND = 0.95


def looking(view: LookedAt, contacts: Contacts | None) -> list[Shape]:
    """An eye before the connector, seen from its side: contacts or wires are what it meets first.

    The sign is SIGN_WIDE by SIGN_HIGH, its upper left corner at (0, 0).
    """
    middle = SIGN_HIGH / 2
    shapes: list[Shape] = [*_eye(Spot(EYE_HALF + 0.2, middle))]
    sight = (Spot(SIGHT[0], middle), Spot(SIGHT[1], middle))
    shapes.append(DrawnLine(spots=sight, weight=THIN, dash=(0.5, 0.4)))
    if view == LookedAt.MATING:
        return [*shapes, *_from_front(BODY_AT, middle, contacts)]
    return [*shapes, *_from_behind(BODY_AT, middle)]


def _from_front(left: float, middle: float, contacts: Contacts | None) -> Iterator[Shape]:
    """The connector with its contacts towards the eye: holes go in, pins stand out."""
    body = left
    if contacts is Contacts.PIN:
        body += CONTACT_MM
    yield box(Spot(body, middle - BODY_HIGH / 2), BODY_WIDE, BODY_HIGH, FIRM)
    start = body
    if contacts is Contacts.PIN:
        start -= CONTACT_MM
    for level in LEVELS if contacts is not None else ():
        yield across(Spot(start, middle + level), CONTACT_MM, 0.6)
    yield from _bent_wires(Spot(body + BODY_WIDE, middle), 1)


def _from_behind(left: float, middle: float) -> Iterator[Shape]:
    """The connector with its wires towards the eye."""
    body = left + STUB_MM
    yield box(Spot(body, middle - BODY_HIGH / 2), BODY_WIDE, BODY_HIGH, FIRM)
    yield from _bent_wires(Spot(body, middle), -1)


def _bent_wires(edge: Spot, step: int) -> Iterator[Shape]:
    """Wires that leave the connector to one side (1: right, -1: left) and hang down."""
    for n, level in enumerate(LEVELS):
        out = edge.x + step * (STUB_MM - n * WIRE_STEP)
        start = Spot(edge.x, edge.y + level)
        yield DrawnLine(
            spots=(start, Spot(out, start.y), Spot(out, edge.y + SIGN_HIGH / 2)), weight=FIRM
        )


def _eye(middle: Spot) -> Iterator[Shape]:
    """Two lids and a pupil."""
    lid = [_on_lid(middle, k / ARC_STEPS, -EYE_RISE) for k in range(ARC_STEPS + 1)]
    lower = [_on_lid(middle, k / ARC_STEPS, EYE_RISE) for k in range(ARC_STEPS, -1, -1)]
    yield DrawnLine(spots=(*lid, *lower[1:-1]), weight=FIRM, closed=True)
    yield Ring(middle=middle, radius=0.7, weight=THIN, filled=True)


def _on_lid(middle: Spot, share: float, rise: float) -> Spot:
    x = middle.x - EYE_HALF + 2 * EYE_HALF * share
    return Spot(x, middle.y + rise * math.sin(math.pi * share))


def hole_shade(middle: Spot, radius: float) -> DrawnLine:
    """The dark upper left edge of a hole: one looks into a socket."""
    return _crescent(middle, radius, from_degrees=60.0, thick=-CRESCENT)


def pin_shade(middle: Spot, radius: float) -> DrawnLine:
    """The shadow at the lower right of what stands out: one looks at a pin."""
    return _crescent(middle, radius, from_degrees=-120.0, thick=CRESCENT)


def _crescent(middle: Spot, radius: float, *, from_degrees: float, thick: float) -> DrawnLine:
    """A part of a circle that is thick in its middle, outwards or (below 0) inwards, and runs out
    at both ends; angles against the clock from the right.
    """
    edge: list[Spot] = []
    back: list[Spot] = []
    for k in range(ARC_STEPS + 1):
        share = k / ARC_STEPS
        angle = math.radians(from_degrees + CRESCENT_DEGREES * share)
        edge.append(_polar(middle, radius, angle))
        back.append(_polar(middle, radius + thick * math.sin(math.pi * share), angle))
    return DrawnLine(spots=(*edge, *back[::-1]), weight=0.05, closed=True, filled=True)


def _polar(middle: Spot, radius: float, angle: float) -> Spot:
    return Spot(middle.x + radius * math.cos(angle), middle.y - radius * math.sin(angle))


def wire(way: Sequence[Spot]) -> Iterator[DrawnLine]:
    """A wire along a way: two edges with white between."""
    spots = tuple(way)
    yield DrawnLine(spots=spots, weight=WIRE)
    yield DrawnLine(spots=spots, weight=BORE, white=True)


def diamond(middle: Spot) -> DrawnLine:
    """The mark at a flag whose colour comes again in the connector."""
    x, y = middle
    spots = (Spot(x, y - DIAMOND), Spot(x + DIAMOND, y), Spot(x, y + DIAMOND), Spot(x - DIAMOND, y))
    return DrawnLine(spots=spots, weight=0.1, closed=True, filled=True)


def pennant(tip: Spot, *, to_right: bool) -> DrawnLine:
    """A small flag that points at contact 1; `to_right` if it comes from the left."""
    tail = tip.x + 4.0
    if to_right:
        tail = tip.x - 4.0
    spots = (tip, Spot(tail, tip.y - 1.7), Spot(tail, tip.y + 1.7))
    return DrawnLine(spots=spots, weight=THIN, closed=True, filled=True)


def shell(corner: Spot, wide: float, high: float) -> DrawnLine:
    """The front's outline with round corners."""
    left, top = corner
    right, foot = left + wide, top + high
    corners = (
        (Spot(right - ROUND, top + ROUND), 90.0),
        (Spot(right - ROUND, foot - ROUND), 0.0),
        (Spot(left + ROUND, foot - ROUND), -90.0),
        (Spot(left + ROUND, top + ROUND), -180.0),
    )
    spots: list[Spot] = []
    for middle, start in corners:
        turns = [math.radians(start - 22.5 * k) for k in range(5)]
        spots += [_polar(middle, ROUND, turn) for turn in turns]
    return DrawnLine(spots=tuple(spots), weight=SHELL, closed=True)


def keyway(at: Spot, half: float, side: KeyAt, form: KeyShape | None) -> Iterator[DrawnLine]:
    """The keying feature on its side of the shell, `at` being on the shell's line.

    A rib stands out and is solid, a groove goes in, a latch is an arm with a bar; where its shape
    is not told it is an open tab.
    """
    depth = -NOTCH if form is KeyShape.GROOVE else KEY_OUT
    foot = (-half, 0.0), (half, 0.0)
    tab = [foot[0], (-half, depth), (half, depth), foot[1]]
    spots = tuple(_turned(at, side, along, out) for along, out in tab)
    ends = (spots[0], spots[-1])
    if form is KeyShape.RIB:
        yield DrawnLine(spots=spots, weight=SHELL, closed=True, filled=True)
        return
    yield DrawnLine(spots=spots, weight=0.1, closed=True, filled=True, white=True)
    if form is KeyShape.GROOVE:
        yield DrawnLine(spots=ends, weight=SHELL + 0.3, white=True)
    for start, stop in pairwise(spots):
        yield DrawnLine(spots=(start, stop), weight=SHELL)
    if form is not KeyShape.GROOVE:
        yield DrawnLine(spots=ends, weight=SHELL)
    if form is KeyShape.LATCH:
        bar = [(-half, depth / 2), (half, depth / 2)]
        yield DrawnLine(spots=tuple(_turned(at, side, a, o) for a, o in bar), weight=SHELL)


def _turned(at: Spot, side: KeyAt, along: float, out: float) -> Spot:
    """A spot so far along a side of the shell and so far out of it."""
    match side:
        case KeyAt.TOP:
            return Spot(at.x + along, at.y - out)
        case KeyAt.BOTTOM:
            return Spot(at.x + along, at.y + out)
        case KeyAt.LEFT:
            return Spot(at.x - out, at.y + along)
    return Spot(at.x + out, at.y + along)
