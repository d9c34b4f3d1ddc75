"""One rule for which side of a face is drawn: the one that the probe is put to, on a page, in a walk, on paper."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_cases import demo_given

from wiremap.content.drawing import Words
from wiremap.content.face_card import FaceCard, face_card
from wiremap.content.small_faces import small_faces
from wiremap.content.text_face import asked_face
from wiremap.diagnose.turn import Turn
from wiremap.diagnose.turn_words import turn_words
from wiremap.graph import Harness
from wiremap.model import Address, Face, LookedAt
from wiremap.model.connector import PROBED_FROM

FACED = [
    (name, end.connector.face)
    for name, end in demo_given().job.ends.items()
    if end.connector.face is not None
]


def from_behind(face: Face) -> Face:
    """The same connector, drawn by its paper from the side where the wires go in."""
    return face.seen_from(LookedAt.WIRE_ENTRY)


def harness_of(owner: str, face: Face) -> Harness:
    """The demo with one face drawn otherwise in its paper."""
    job = demo_given().job
    end = job.ends[owner]
    connector = replace(end.pinout.connector, face=face)
    pinout = replace(end.pinout, connector=connector)
    return Harness(replace(job, ends={**job.ends, owner: replace(end, pinout=pinout)}))


def numbers(card: FaceCard | None) -> list[tuple[float, float, str]]:
    assert card is not None
    return sorted((w.at.y, w.at.x, w.text) for w in card.shapes if isinstance(w, Words))


@pytest.mark.parametrize(("owner", "face"), FACED, ids=[owner for owner, _ in FACED])
def test_a_card_shows_the_face_that_the_probe_meets(owner: str, face: Face) -> None:
    """Whichever side its paper draws, card, question and walk show one picture."""
    name = face.names[1]
    drawn = []
    for paper in (face, from_behind(face)):
        harness = harness_of(owner, paper)
        address = Address(owner, name)
        card = face_card(harness, address)
        drawn.append((numbers(card), asked_face(harness.job, address)))
        assert card is not None and "mating face" in card.said
    assert drawn[0] == drawn[1]


def test_paper_and_screen_draw_one_side() -> None:
    """Row by row the numbers of the sheet's small faces are those of the text under a question."""
    given = demo_given()
    for block in small_faces(given, [name for name, _ in FACED], PROBED_FROM):
        (view,) = block.views
        on_paper = [[hole.name for hole in row if hole is not None] for row in view.rows]
        lines = asked_face(given.job, Address(block.name, on_paper[0][0]))
        assert [line.replace("[", " ").replace("]", " ").split() for line in lines[1:]] == on_paper


def test_a_units_own_plug_is_the_other_half() -> None:
    """What is read into a unit is read at its header: its first contact stands at the other edge."""
    harness = demo_given().harness
    ours, own = face_card(harness, "donor.1"), face_card(harness, "donor.1", at_unit=True)
    assert numbers(ours) != numbers(own)


@pytest.mark.parametrize(("owner", "face"), FACED, ids=[owner for owner, _ in FACED])
def test_the_walk_shows_the_same(owner: str, face: Face) -> None:
    """The place in words and the drawing under it, whichever side the paper draws."""
    turn = Turn(red=(Address(owner, face.names[0]),), why="a try")
    kind = "adapter"
    told = [turn_words(harness_of(owner, each), kind, turn) for each in (face, from_behind(face))]
    assert told[0] == told[1]
    assert "mating side" in told[0][0] or "at the bare end" in told[0][0]
