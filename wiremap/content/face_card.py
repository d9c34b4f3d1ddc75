"""A connector's front with one contact pointed at, for a screen: shapes and a sentence."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.content.drawing import Shape, rough_width
from wiremap.content.face_drawing import drawn_views
from wiremap.content.face_pieces import FaceView, Hole
from wiremap.content.faces import colour_words, first_cavity, wire_in
from wiremap.graph import Harness
from wiremap.model import Address, Connector, End

ANY_ROOM = 10_000.0  # a screen shows a front in one piece
LEAST_WIDE = 60.0  # so that a small front is not drawn larger than a large one


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceCard:
    """The front as its paper draws it; lengths in millimetres of the drawing."""

    said: str
    wide: float
    high: float
    shapes: tuple[Shape, ...]


def face_card(harness: Harness, address: str, *, at_machine: bool = False) -> FaceCard | None:
    """The front that bears a contact; None where nobody has told how it looks.

    With `at_machine` the machine's own half is drawn, though the job works on its mate.
    """
    point = harness.points.get(Address.read(address))
    if point is None or point.end is None or point.cavity is None:
        return None
    connector = point.end.pinout.connector if at_machine else point.end.connector
    face = connector.face
    if face is None or point.cavity.name not in face.names:
        return None
    view = _view(harness, point.end, connector, point.cavity.name)
    (drawn,) = drawn_views([view], ANY_ROOM, rough_width)
    keyway = f", keyway {face.key}" if face.key else ""
    said = f"{point.end.name}, {side_words(face.view)}{keyway}: cavity {point.cavity.name}"
    front = drawn.front
    shapes = (*drawn.sign, *front.moved(0, drawn.caption.high))
    high = drawn.caption.high + front.high
    return FaceCard(said=said, wide=max(front.wide, LEAST_WIDE), high=high, shapes=shapes)


def _view(harness: Harness, end: End, connector: Connector, name: str) -> FaceView:
    """The face with one flag, which names the pointed contact and its wire."""
    face = connector.face
    assert face is not None
    wire = wire_in(harness, Address(end.name, name))
    flag = colour_words(wire) if wire is not None else "here"
    first = first_cavity(face)
    rows = []
    for row in face.padded():
        rows.append(tuple(_hole(cell, name, first, flag) for cell in row))
    return FaceView(
        view=face.view,
        rows=tuple(rows),
        key=face.key,
        key_shape=face.key_shape,
        key_by=face.key_by or "",
        contacts=connector.contacts,
    )


def _hole(cell: str | None, name: str, first: str, flag: str) -> Hole | None:
    if cell is None:
        return None
    here = cell == name
    return Hole(name=cell, flag=flag if here else "", first=cell == first, here=here)


def side_words(view: str) -> str:
    """Which way one looks at a face."""
    if view == "mating":
        return "looking into the front (mating face)"
    return "looking at the back, where the wires go in"
