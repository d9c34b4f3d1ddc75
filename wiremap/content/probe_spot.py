"""Where a probe goes once the machine's wires are cut: at a face that is drawn, or at a joint."""

from __future__ import annotations

from wiremap.content.cards import CardSpot
from wiremap.content.face_card import face_card
from wiremap.diagnose.places import AT_JOINT, is_at_joint, words_at
from wiremap.graph import Harness
from wiremap.model import CHASSIS


def probe_spot(harness: Harness, kind: str, colour: str, address: str) -> CardSpot:
    """In words and, where its face is known and within reach, as a drawing."""
    if address == CHASSIS:
        where = "bare metal of the machine"
        return CardSpot(probe=colour, address=address, where=where, face=None)
    at_joint = is_at_joint(harness, kind, address)
    words = words_at(harness, address)
    if at_joint and harness.points[address].cavity is not None:
        words = (*words, AT_JOINT)
    return CardSpot(
        probe=colour,
        address=address,
        where=", ".join(words),
        face=None if at_joint else face_card(harness, address),
    )


def cut_spot(harness: Harness, colour: str, address: str) -> CardSpot:
    """At the bare end of a wire that was cut, on the side of its connector."""
    where = ", ".join((*words_at(harness, address), "at the end that was cut"))
    return CardSpot(probe=colour, address=address, where=where, face=None)


def own_spot(harness: Harness, colour: str, address: str) -> CardSpot:
    """At the face of the connector in service that a wire was tapped behind."""
    where = ", ".join((*words_at(harness, address), "at its own face, breakout lead in"))
    return CardSpot(probe=colour, address=address, where=where, face=face_card(harness, address))
