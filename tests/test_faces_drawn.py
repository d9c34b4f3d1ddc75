"""The drawn front of a connector: which way one looks, what is in each cavity, flags that lie over nothing."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from sheet_cases import demo_given, given_from, straight
from test_sheet import HARD

from wiremap.content.drawing import DrawnLine, Lettering, Ring, Spot, Words, fitted
from wiremap.content.face_drawing import DrawnView, drawn_views
from wiremap.content.face_layout import FLAGS_PITCH, RADIUS, RADIUS_LARGE, FaceLayout, Placed
from wiremap.content.face_pieces import FaceBlock, FaceView, Hole
from wiremap.content.face_signs import WIRE, diamond, hole_shade, keyway, pin_shade
from wiremap.content.faces import face_blocks
from wiremap.model import Contacts, KeyAt, KeyShape, LookedAt
from wiremap.sheet.shapes import measured

ROOM = 190.0
Box = tuple[float, float, float, float]


def blocks() -> dict[str, FaceBlock]:
    """The demo's connectors by name."""
    return {block.name: block for block in face_blocks(demo_given().harness)}


def drawn(block: FaceBlock) -> list[DrawnView]:
    """A connector's views, drawn."""
    return drawn_views(block.views, ROOM, measured)


def words_box(words: Words) -> Box:
    """The body of a text: a little less than its line, so that neighbours may touch."""
    long = measured(words.text, words.lettering)
    high = words.lettering.points * 0.25
    x, y = words.at
    if words.upright:
        return (x - high, y - long, x, y)
    left = x - long / 2 if words.align == "middle" else x
    return (left, y - high, left + long, y)


def apart(one: Box, two: Box) -> bool:
    """Whether two boxes lie clear of each other."""
    return one[2] <= two[0] or two[2] <= one[0] or one[3] <= two[1] or two[3] <= one[1]


def every_view() -> list[tuple[FaceView, DrawnView]]:
    """The demo's views, as data and drawn."""
    found = []
    for block in blocks().values():
        found += list(zip(block.views, drawn(block), strict=True))
    return found


def test_no_words_lie_over_words() -> None:
    """Numbers in cavities, numbers at flags, flags and captions are clear of each other, inside the drawing."""
    for _, view in every_view():
        boxes = [words_box(s) for s in view.front.shapes if isinstance(s, Words)]
        assert all(apart(one, two) for one, two in combinations(boxes, 2))
        for left, top, right, foot in boxes:
            assert 0 <= left and 0 <= top and right <= view.front.wide and foot <= view.front.high


@pytest.mark.parametrize("name", [name for name, (_, face) in HARD.items() if face])
def test_hard_fronts(name: str, tmp_path: Path) -> None:
    """Four rows, gaps and very wide faces: nothing over anything, the cavity's number at its flag."""
    count, face = HARD[name]
    for block in face_blocks(straight(tmp_path, count, face).harness):
        for view in drawn(block):
            words = [s for s in view.front.shapes if isinstance(s, Words)]
            boxes = [words_box(s) for s in words]
            assert all(apart(one, two) for one, two in combinations(boxes, 2))
            assert view.wide <= ROOM
            flags = [s for s in words if s.upright]
            numbers = {s.text for s in words if not s.upright}
            assert {s.text for s in flags if s.lettering.strong} == (numbers if flags else set())


def test_sockets_are_holes_and_wires_are_stubs() -> None:
    """Every socket is a dark-edged hole on the mating face only; a wire leaves every wired cavity behind."""
    for view, picture in every_view():
        shapes = picture.front.shapes
        rings = [s for s in shapes if isinstance(s, Ring) and s.radius in (RADIUS, RADIUS_LARGE)]
        shades = {hole_shade(ring.middle, ring.radius) for ring in rings}
        wires = [s for s in shapes if isinstance(s, DrawnLine) and s.weight == WIRE]
        plugged = [hole for hole in view.holes if hole.look == "blank"]
        if view.view == "mating":
            assert len(shades.intersection(shapes)) == len(rings) - len(plugged)
            assert wires == []
        else:
            assert shades.isdisjoint(shapes)
            assert len(wires) == sum(hole.has_wire for hole in view.holes)


def test_pins_stand_out(tmp_path: Path) -> None:
    """A pin throws its shadow outwards, and is no hole."""
    table = (
        "title: t\nhalf: wired\nconnector: {contacts: pin, face: {view: mating, rows: [[1]]}}\n"
        "cavities: {1: {signal: Lamp, function: lamp-feed, wire: 0.5 RD}}\n"
    )
    job = (
        "title: pins\nends:\n  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
        "  new: {pinout: old.yaml, is: pigtail, side: unit}\ncircuits: [old.1 - new.1]\n"
    )
    block = next(face_blocks(given_from(tmp_path, job, old=table).harness))
    mating, behind = drawn(block)
    (ring,) = (s for s in mating.front.shapes if isinstance(s, Ring))
    assert pin_shade(ring.middle, ring.radius) in mating.front.shapes
    assert hole_shade(ring.middle, ring.radius) not in mating.front.shapes
    assert mating.caption.shapes != behind.caption.shapes


def test_the_eye_meets_wires_or_contacts_first() -> None:
    """The sign tells the sides apart without a word."""
    mating, behind = drawn(blocks()["loom"])
    signs = [{s for s in v.caption.shapes if not isinstance(s, Words)} for v in (mating, behind)]
    assert signs[0] != signs[1]


def test_colours_stand_at_the_wires() -> None:
    """Letters and word at the wire-entry side, the circuit at the mating face, and what becomes of what is left."""
    front, back = blocks()["loom"].views
    assert {h.name: h.flag for h in front.holes}["5"] == "conveyor"
    assert {h.name: h.flag for h in front.holes}["14"] == "tied back"
    colours = {h.name: h.flag for h in back.holes}
    assert colours["5"] == "WH/GN white/green"
    assert colours["11"] == "RDBU red + blue"
    assert colours["14"] == "VT/GN violet/green"
    gateway = {h.name: h.flag for h in blocks()["gateway"].views[1].holes}
    assert (gateway["1"], gateway["5"], gateway["6"]) == ("YE yellow", "bare", "plug")


def test_like_colours_are_marked() -> None:
    """A diamond at each wire whose colour comes again, and a line that names the groups."""
    block = blocks()["loom"]
    front, back = block.views
    assert {h.name for h in back.holes if h.alike} == {"1", "2", "3", "5", "8", "9", "10"}
    assert not any(h.alike for h in front.holes)
    size = len(diamond(Spot(0, 0)).spots)
    marks = [
        s
        for s in drawn(block)[1].front.shapes
        if isinstance(s, DrawnLine) and s.filled and len(s.spots) == size and s.weight == 0.1
        if not s.white
    ]
    assert len(marks) == 7
    assert "9 + 10 blue" in block.alike


def test_the_number_of_a_tied_back_wire_stays_clear() -> None:
    """Two strokes beside the number of loom.14, none across it."""
    front = drawn(blocks()["loom"])[0].front
    (number,) = (
        s for s in front.shapes if isinstance(s, Words) and s.text == "14" and not s.upright
    )
    strokes = [s for s in front.shapes if isinstance(s, DrawnLine) and s.weight == 0.5]
    assert len(strokes) == 2
    left, top, right, foot = words_box(number)
    for stroke in strokes:
        (x, y), (u, v) = stroke.spots
        assert apart((left, top, right, foot), (min(x, u), min(y, v), max(x, u), max(y, v)))


def test_a_keyway_is_drawn_as_it_is() -> None:
    """Rib, groove, latch and the untold one differ; a groove goes in and opens the shell, a rib out."""
    at = Spot(10, 10)
    forms = [tuple(keyway(at, 2.0, KeyAt.TOP, form)) for form in (None, *KeyShape)]
    assert len(set(forms)) == len(forms)
    heights = {
        form: [y for s in keyway(at, 2.0, KeyAt.TOP, form) for _, y in s.spots] for form in KeyShape
    }
    assert min(heights[KeyShape.RIB]) < 10 <= min(heights[KeyShape.GROOVE])
    across = [s for s in forms[1 + list(KeyShape).index(KeyShape.GROOVE)] if len(s.spots) == 2]
    assert [s.white for s in across if {y for _, y in s.spots} == {10}] == [True]


def test_an_off_centre_keyway_keeps_its_cavity(tmp_path: Path) -> None:
    """It sits over the same cavity in both views; on the unit's own header a rib is a groove."""
    face = "{view: mating, key: top, key_shape: groove, key_by: 1, rows: [[1, 2, 3, 4]]}"
    given = straight(tmp_path, 4, face)
    for block in face_blocks(given.harness):
        for view, picture in zip(block.views, drawn(block), strict=True):
            assert (view.key_shape, view.key_by) == (KeyShape.GROOVE, "1")
            ring = next(
                s
                for s, hole in zip(
                    [s for s in picture.front.shapes if isinstance(s, Ring)],
                    view.holes,
                    strict=True,
                )
                if hole.name == "1"
            )
            tabs = [
                s for s in picture.front.shapes if isinstance(s, DrawnLine) and s.white and s.filled
            ]
            middle = sum(x for x, _ in tabs[0].spots) / 4
            assert abs(middle - ring.middle.x) < 0.01


def test_a_keyway_beside_no_cavity_is_told(tmp_path: Path) -> None:
    """A cavity that the face does not show is refused with its place."""
    from wiremap.files import load_pinout

    path = tmp_path / "p.yaml"
    path.write_text(
        "wiremap: pinout/1\ntitle: t\nhalf: wired\n"
        "connector: {face: {view: mating, key: top, key_by: 9, rows: [[1]]}}\ncavities: {1: red}\n"
    )
    assert any("`key_by` names 9" in found.message for found in load_pinout(path).findings)


def test_mating_halves_have_rib_and_groove() -> None:
    """The unit's header with a rib is a wired half with a groove."""
    assert [shape.other for shape in KeyShape] == [
        KeyShape.GROOVE,
        KeyShape.RIB,
        KeyShape.LATCH,
    ]
    assert Contacts.PIN.other is Contacts.SOCKET


def test_long_words_are_shortened_in_their_middle() -> None:
    """Both ends of a name stay, and it fits."""
    lettering = Lettering(10.0)
    short = fitted("Left spinner valve of the rear spreading disc", 30.0, lettering, measured)
    assert short.startswith("Left spin") and short.endswith("disc") and "…" in short
    assert measured(short, lettering) <= 30.0
    assert fitted("spinner", 30.0, lettering, measured) == "spinner"


def test_a_screen_shows_the_same_front() -> None:
    """One contact is filled and flagged by its number; the paper's own side is drawn."""
    from wiremap.content.face_card import face_card

    card = face_card(demo_given().harness, "loom.12")
    assert card is not None
    (here,) = [s for s in card.shapes if isinstance(s, Ring) and s.filled and s.radius == RADIUS]
    small, large = [s for s in card.shapes if isinstance(s, Words) and s.white]
    for number in (small, large):
        assert number.text == "12" and abs(number.at.x - here.middle.x) < 0.01
    assert large.lettering.points == 2 * small.lettering.points
    assert large.at.y > here.middle.y + RADIUS
    assert not [s for s in card.shapes if isinstance(s, Words) and s.upright]
    assert card.said == "loom, looking into the front (mating face), keyway top: cavity 12"
    assert face_card(demo_given().harness, "R1.a") is None


def test_the_mark_of_like_colours_is_a_diamond() -> None:
    """Four corners at one distance from its middle, each a quarter of a turn from the last."""
    middle = Spot(20.0, 30.0)
    away = [(spot.x - middle.x, spot.y - middle.y) for spot in diamond(middle).spots]
    (size,) = {round(max(abs(x), abs(y)), 9) for x, y in away}
    assert [(0, -size), (size, 0), (0, size), (-size, 0)] == [
        (round(x, 9), round(y, 9)) for x, y in away
    ]


def test_a_flag_is_led_out_from_the_edge_of_its_cavity() -> None:
    """Not from its middle, where the number stands, nor from beside it; in rows of three the inner one too."""
    holes = tuple(Hole(name=str(n), flag="RD") for n in range(1, 10))
    view = FaceView(view=LookedAt.MATING, rows=(holes[:3], holes[3:6], holes[6:]))
    layout = FaceLayout(view, FLAGS_PITCH, measured)
    for number, hole in enumerate(holes):
        cavity = Placed(number // 3, number % 3, hole)
        (x, y), middle = next(layout.way(cavity)), layout.spot(cavity.row, cavity.column)
        assert math.hypot(x - middle[0], y - middle[1]) == pytest.approx(RADIUS, rel=0.05)


def test_what_a_keyway_looks_like_is_told_in_words() -> None:
    """A rib, a latch and a groove are drawn each in its way; where nobody tells the shape none is named."""
    told = {name: block.views[0].where for name, block in blocks().items() if block.views}
    assert told["loom"] == "keyway top, rib" and told["gateway"] == "keyway top, latch"
    assert told["donor"] == "keyway right, groove"
    view = replace(blocks()["loom"].views[0], key_shape=None)
    assert (view.where, replace(view, key=None).where) == ("keyway top", "")
