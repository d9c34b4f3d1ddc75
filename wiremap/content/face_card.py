"""A connector's front with one contact pointed at, for a screen: shapes and a sentence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from wiremap.content.drawing import (
    Align,
    DrawnLine,
    Lettering,
    Ring,
    Shape,
    Spot,
    Words,
    rough_width,
)
from wiremap.content.face_drawing import drawn_views
from wiremap.content.face_pieces import FaceView, Hole
from wiremap.content.faces import first_cavity
from wiremap.graph import Harness
from wiremap.model import Address, Contacts, Face

MOST_KEPT = 256  # drawn fronts: the contacts of a few large connectors
ANY_ROOM = 10_000.0  # a screen shows a front in one piece
LEAST_WIDE = 60.0  # so that a small front is not drawn larger than a large one
NUMBER = Lettering(20.0, strong=True)
FLAG_HIGH, FLAG_TIP, FLAG_AIR = 8.0, 3.0, 1.5  # the arrow flag: its box, its point, beside a number
MARGIN = 0.5
BASE = 0.72  # of a flag's height, from its top to the foot of its number


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceCard:
    """The front of a connector; lengths in millimetres of the drawing."""

    said: str  # what the drawing shows, for who cannot see it
    wide: float
    high: float
    shapes: tuple[Shape, ...]


def face_card(
    harness: Harness, address: str, *, at_machine: bool = False, at_unit: bool = False
) -> FaceCard | None:
    """The front that bears a contact, as a probe meets it; None where nobody has told how it looks.

    With `at_machine` the machine's own half is drawn, though the job works on the half that mates
    with it; with `at_unit` the unit's own half, which the one on its paper goes into.
    """
    point = harness.points.get(Address.read(address))
    if point is None or point.end is None or point.cavity is None:
        return None
    connector = point.end.pinout.connector if at_machine else point.end.connector
    if at_unit:
        connector = connector.other_half()
    face = connector.face
    name = point.cavity.name
    if face is None or name not in face.names:
        return None
    return _pictured(point.end.name, face.probed, connector.contacts, name)


@lru_cache(maxsize=MOST_KEPT)
def _pictured(owner: str, face: Face, contacts: Contacts | None, name: str) -> FaceCard:
    """One cavity of a face, drawn once however often it is shown."""
    (drawn,) = drawn_views([_view(face, contacts, name)], ANY_ROOM, rough_width)
    front = [*drawn.front.shapes, *arrow_flag(drawn.front.shapes, name)]
    left, top, right, foot = extent(front)
    below = drawn.caption.high + MARGIN - top
    shapes = [*drawn.sign, *(shape.moved(MARGIN - left, below) for shape in front)]
    keyway = f", keyway {face.key}" if face.key else ""
    return FaceCard(
        said=f"{owner}, {side_words(face.view)}{keyway}: cavity {name}",
        wide=max(right - left + 2 * MARGIN, LEAST_WIDE),
        high=foot + below + MARGIN,
        shapes=tuple(shapes),
    )


def _view(face: Face, contacts: Contacts | None, name: str) -> FaceView:
    """The face without words, the pointed contact filled."""
    first = first_cavity(face)
    rows = []
    for row in face.padded():
        rows.append(tuple(_hole(cell, name, first) for cell in row))
    return FaceView(
        view=face.view,
        rows=tuple(rows),
        key=face.key,
        key_shape=face.key_shape,
        key_by=face.key_by or "",
        contacts=contacts,
    )


def _hole(cell: str | None, name: str, first: str) -> Hole | None:
    if cell is None:
        return None
    return Hole(name=cell, first=cell == first, here=cell == name)


def arrow_flag(front: Iterable[Shape], name: str) -> Iterator[Shape]:
    """A flag with the number of the filled contact, its point at the shell, a line from there."""
    shapes = list(front)
    ring = next(shape for shape in shapes if isinstance(shape, Ring) and shape.filled)
    _, top, _, foot = extent(shapes)
    x, y = ring.middle
    up = y <= (top + foot) / 2
    shell, away = (top, -1) if up else (foot, 1)
    half = max(rough_width(name, NUMBER) / 2 + FLAG_AIR, FLAG_TIP)
    near, far = shell + away * FLAG_TIP, shell + away * (FLAG_TIP + FLAG_HIGH)
    outline = ((x, shell), (x + half, near), (x + half, far), (x - half, far), (x - half, near))
    yield DrawnLine(spots=(Spot(x, y + away * ring.radius), Spot(x, shell)), weight=0.6)
    yield DrawnLine(
        spots=tuple(Spot(*spot) for spot in outline), weight=0.5, closed=True, filled=True
    )
    base = min(near, far) + BASE * FLAG_HIGH
    yield Words(at=Spot(x, base), text=name, lettering=NUMBER, align=Align.MIDDLE, white=True)


def extent(shapes: Iterable[Shape]) -> tuple[float, float, float, float]:
    """The left, top, right and lower edge of lines and rings."""
    spots: list[Spot] = []
    for shape in shapes:
        if isinstance(shape, DrawnLine):
            spots += shape.spots
        elif isinstance(shape, Ring):
            (x, y), far = shape.middle, shape.radius
            spots += [Spot(x - far, y - far), Spot(x + far, y + far)]
    wide = [spot.x for spot in spots]
    high = [spot.y for spot in spots]
    return min(wide), min(high), max(wide), max(high)


def side_words(view: str) -> str:
    """Which way one looks at a face."""
    if view == "mating":
        return "looking into the front (mating face)"
    return "looking at the back, where the wires go in"
