"""A connector's front as shapes: shell, keyway, cavities, word flags, and which way one looks.

On the mating face sockets are holes and pins stand out; on the wire-entry side a wire leaves every
cavity that has one.  Lengths are millimetres, chosen by eye on printed sheets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, pairwise
from typing import NamedTuple

from wiremap.content import face_signs
from wiremap.content.drawing import (
    Align,
    Drawing,
    DrawnLine,
    Lettering,
    Measure,
    Ring,
    Shape,
    Spot,
    Words,
    fitted,
)
from wiremap.content.face_layout import (
    BODY,
    FLAG_GAP,
    MARK_MM,
    NUMBER_GAP,
    RADIUS,
    RADIUS_LARGE,
    SMALL,
    STRONG,
    TIGHT_FLAGS_PITCH,
    FaceLayout,
    Placed,
    common_pitch,
    parts,
)
from wiremap.content.face_pieces import FaceView, Hole, Look
from wiremap.model import Contacts

BASE_OFF = 1.2  # of an upright text's baseline from the middle of its lead
THIN, RING, RING_LARGE = 0.2, 0.22, 0.4
CAPTION_MAX = 46.0
BETWEEN = 2.0  # two views of a connector
LONG_NAME = 3  # characters; a longer name asks for a larger ring


class DrawnView(NamedTuple):
    """One view: the eye and the side in words, and the front below them."""

    caption: Drawing
    front: Drawing

    @property
    def sign(self) -> list[Shape]:
        """The eye without the words beside it."""
        return [shape for shape in self.caption.shapes if not isinstance(shape, Words)]

    @property
    def wide(self) -> float:
        """How wide the two are together."""
        return max(self.caption.wide, self.front.wide)


def drawn_views(views: Sequence[FaceView], room: float, measure: Measure) -> list[DrawnView]:
    """Every view of a connector, all at one pitch, those wider than the room [mm] in parts.

    Flags stand closer where that lets all views stand beside each other, each the mirror of the
    next one.
    """
    wide = _drawn_at(views, common_pitch(views, measure), room, measure)
    if _abreast_mm(wide) <= room:
        return wide
    tight = _drawn_at(views, common_pitch(views, measure, TIGHT_FLAGS_PITCH), room, measure)
    return tight if _abreast_mm(tight) <= room else wide


def _abreast_mm(views: Sequence[DrawnView]) -> float:
    return sum(view.wide for view in views) + BETWEEN * (len(views) - 1)


def _drawn_at(
    views: Sequence[FaceView], pitch: float, room: float, measure: Measure
) -> list[DrawnView]:
    drawn = []
    for view in views:
        for part in parts(view, pitch, room):
            layout = FaceLayout(part, pitch, measure)
            drawn.append(DrawnView(_caption(layout), _front(layout)))
    return drawn


def _caption(layout: FaceLayout) -> Drawing:
    """The eye before the connector, and the side in words."""
    left = face_signs.SIGN_WIDE + 0.6
    more = fitted(layout.view.where, max(layout.wide, CAPTION_MAX) - left, BODY, layout.measure)
    side = layout.view.side
    shapes = face_signs.looking(layout.view.view, layout.view.contacts)
    base = 3.0 if more else 4.6
    shapes.append(Words(at=Spot(left, base), text=side, lettering=STRONG))
    if more:
        shapes.append(Words(at=Spot(left, base + 3.7), text=more, lettering=BODY))
    words_mm = max(layout.measure(side, STRONG), layout.measure(more, BODY))
    return Drawing(left + words_mm, face_signs.SIGN_HIGH + 1.0, tuple(shapes))


def _front(layout: FaceLayout) -> Drawing:
    """The front; its level is the top of the shell."""
    layers = [_leads(layout), _shell(layout)]  # hair lines pass behind the keyway
    if layout.from_behind:  # wires come towards the eye
        layers.reverse()
    shapes = chain(*layers, _holes(layout), _flags(layout))
    return Drawing(layout.wide, layout.high, tuple(shapes), level=layout.top)


def _shell(layout: FaceLayout) -> Iterator[Shape]:
    """The outline, the keyway, the pennant at contact 1."""
    yield face_signs.shell(Spot(layout.left, layout.top), layout.shell_wide, layout.shell_high)
    if layout.view.key is not None:
        key = layout.key(layout.view.key)
        yield from face_signs.keyway(key.at, key.half, layout.view.key, layout.view.key_shape)
    for cavity in layout.placed():
        if cavity.hole.first:
            yield _pennant(layout, layout.spot(cavity.row, cavity.column).y)


def _pennant(layout: FaceLayout, level: float) -> Shape:
    if layout.first_on_right:
        return face_signs.pennant(
            Spot(layout.left + layout.shell_wide + layout.clear, level), to_right=False
        )
    return face_signs.pennant(Spot(layout.left - layout.clear, level), to_right=True)


# -- cavities -------------------------------------------------------------------------------------


def _holes(layout: FaceLayout) -> Iterator[Shape]:
    for cavity in layout.placed():
        yield from _hole(layout, layout.spot(cavity.row, cavity.column), cavity.hole)


def _hole(layout: FaceLayout, middle: Spot, hole: Hole) -> Iterator[Shape]:
    """A cavity: its ring, what one sees in it, how it is treated, its name."""
    ring, weight = RADIUS, RING
    if hole.large:
        ring, weight = RADIUS_LARGE, RING_LARGE
    named = layout.measure(hole.name, BODY)
    radius = ring
    if len(hole.name) > LONG_NAME:
        radius = max(ring, min(named / 2 + 0.5, layout.pitch / 2 - 0.2))
    yield Ring(middle=middle, radius=radius, weight=weight, filled=hole.here)
    if hole.look is Look.BLANK:
        yield Ring(middle=middle, radius=ring - 0.55, weight=0.12)
    elif not layout.from_behind:
        yield from _seen_in(layout.view.contacts, middle, radius)
    if hole.look is Look.OUT:
        yield from _strokes(middle, ring)
    lettering = BODY if named <= layout.pitch - 1 else SMALL
    yield Words(
        at=Spot(middle.x, middle.y + 1.25),
        text=fitted(hole.name, layout.pitch - 0.6, lettering, layout.measure),
        lettering=lettering,
        align=Align.MIDDLE,
        white=hole.here,
    )


def _seen_in(contacts: Contacts | None, middle: Spot, radius: float) -> Iterator[Shape]:
    """A socket is a hole, a pin stands out."""
    if contacts is Contacts.SOCKET:
        yield face_signs.hole_shade(middle, radius)
    elif contacts is Contacts.PIN:
        yield face_signs.pin_shade(middle, radius)


def _strokes(middle: Spot, ring: float) -> Iterator[DrawnLine]:
    """Two strokes beside the number of a cavity whose wire is tied back."""
    for sign in (-1, 1):
        near, far = sign * ring * 0.52, sign * ring * 1.12
        spots = (Spot(middle.x + near, middle.y - near), Spot(middle.x + far, middle.y - far))
        yield DrawnLine(spots=spots, weight=0.5)


# -- flags ----------------------------------------------------------------------------------------


def _flagged(layout: FaceLayout) -> Iterator[Placed]:
    """The cavities with a flag."""
    return (cavity for cavity in layout.placed() if cavity.hole.flag)


def _leads(layout: FaceLayout) -> Iterator[Shape]:
    """Hair lines to the flags, or the wires themselves."""
    for cavity in _flagged(layout):
        way = tuple(layout.way(cavity))
        if layout.from_behind and cavity.hole.has_wire:
            yield from face_signs.wire(way)
            continue
        for ends in pairwise(way):
            yield DrawnLine(spots=ends, weight=THIN)


def _flags(layout: FaceLayout) -> Iterator[Shape]:
    """Number next to the shell, words beyond it; all climb, so that one turn reads them."""
    for cavity in _flagged(layout):
        hole, up = cavity.hole, layout.is_up(cavity)
        *_, end = layout.way(cavity)
        away = FLAG_GAP
        if hole.alike:
            step = -1 if up else 1
            yield face_signs.diamond(Spot(end.x, end.y + step * (away + 0.9)))
            away += MARK_MM
        for text, lettering in ((hole.name, STRONG), (layout.flag_text(hole), BODY)):
            long = layout.measure(text, lettering)
            yield _upright(end, text, lettering, below=away + long if not up else -away)
            away += long + NUMBER_GAP


def _upright(end: Spot, text: str, lettering: Lettering, *, below: float) -> Words:
    """A text that climbs from so far below a lead's end."""
    at = Spot(end.x + BASE_OFF, end.y + below)
    return Words(at=at, text=text, lettering=lettering, upright=True)
