"""What is done beside a joint's boxes: a wire in service proved dead, far ends into contacts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from wiremap.content.given import Given
from wiremap.content.joint_work import loose_ends
from wiremap.content.steps import Slot, Step
from wiremap.content.words import DEAD, listed, wire_words
from wiremap.graph import Joint
from wiremap.model import CHASSIS

CONTACTS = (
    "Each contact: its wire seal on first where it is sealed, crimped, into its cavity until it "
    "clicks, tug."
)


def dead_first(given: Given, joint: Joint) -> Iterator[Step]:
    """A wire in service is proved dead by itself: it has a fuse and a source of its own."""
    for address in joint.points if joint.tap else ():
        if not given.harness.points[address].is_tap:
            continue
        out = [fuse.out for fuse in given.fuses_out if address in fuse.feeds]
        yield Step(
            at=f"{address} – {CHASSIS}",
            text=listed(f"{listed(*out)} out" if out else "", "this wire dead before it is cut"),
            want=DEAD,
            slot=Slot.BLANK,
            unit="V",
            reading=True,
        )


def end_steps(given: Given, numbers: Mapping[str, int], joint: Joint) -> Iterator[Step]:
    """The far ends of a joint's new wires: in a contact, a holder, a ring."""
    for conductor in given.conductors(joint):
        if conductor.origin != "new":
            continue
        for node in loose_ends(given, conductor):
            wire = f"{wire_words(conductor.wire)}, new wire of J{numbers[joint.id]}"
            yield Step(at=node, text=listed(wire, into(given, node)))


def into(given: Given, address: str) -> str:
    """What else is done than `CONTACTS` says where a wire ends: at a stud its ring."""
    on_stud = given.harness.points[address].kind == "stud"
    return "ring crimped, tug; not bolted yet" if on_stud else ""
