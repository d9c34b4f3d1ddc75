"""What is done beside a joint's boxes: a wire in service proved, far ends into contacts."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.joint_work import TO_WRITE, UNCUT, joint_kind, tube_cut, tube_length
from wiremap.content.reaches import to_twist, twisted_together
from wiremap.content.steps import Slot, Step, Want
from wiremap.content.words import DEAD, listed, number, wire_words
from wiremap.graph import Conductor, Joint
from wiremap.model import CHASSIS

CONTACTS = (
    "Each contact: wire seal on first if sealed, stripped as the contact's maker says, crimped, "
    "tugged, shown to the second (copper all in, insulation held); then into its cavity till it "
    "clicks."
)
DIGITS = "moulded digits read aloud, wire-entry side, before the first crimp"
CUT = (
    "cut at its mark; its half to the face beeps at this contact, breakout lead in its mating "
    "face; silent: another wire, joined again as it was"
)
BARED = (
    "bared at its mark; there it beeps at this contact, breakout lead in its mating face; silent: "
    "another wire, sealed again, nothing joined to it"
)
TRIMMED = "trimmed there so that the contact crimps on bare wire"


def service_proved(given: Given, joint: Joint) -> Iterator[Step]:
    """A wire in service, opened at its mark, beeps to its contact before it is joined to anything.

    With the battery off every wire is dead; that its fuse feeds it was read while it was on.
    """
    for address in tapped(given, joint):
        cavity = given.harness.points[address].cavity
        wire = wire_words(cavity.wire if cavity is not None else None)
        still = f"{out} still out" if (out := fuses_before(given, address)) else ""
        parted = BARED if joint_kind(given, joint) in UNCUT else CUT
        yield Step(
            at=address,
            text=f"{listed(wire, still)}: {parted}",
            want=Want.BEEP,
            reading=True,
        )


def tapped(given: Given, joint: Joint) -> list[str]:
    """The wires in service that a joint taps."""
    points = joint.points if joint.tap else ()
    return [address for address in points if given.harness.points[address].is_tap]


def fuses_before(given: Given, address: str) -> str:
    """The fuses before a wire, as they were found."""
    return listed(*(fuse.out for fuse in given.fuses_out if address in fuse.feeds))


def dead_reading(address: str, text: str) -> Step:
    """A wire that must show no volts to the frame."""
    return Step(
        at=f"{address} – {CHASSIS}",
        text=text,
        want=DEAD,
        slot=Slot.BLANK,
        unit="V",
        reading=True,
    )


def end_steps(given: Given, joint: Joint) -> Iterator[Step]:
    """The far ends of a joint's new wires: in a contact, a holder, a ring."""
    for conductor in given.conductors(joint):
        if conductor.is_new:
            yield from wire_end_steps(given, conductor)


def digits_read(given: Given) -> Iterator[Step]:
    """The cavities' own digits, before a contact goes into any of them."""
    if given.crimped_into:
        yield Step(at=listed(*given.crimped_into), text=DIGITS)


def wire_end_steps(given: Given, conductor: Conductor) -> Iterator[Step]:
    """Each end of a new wire that meets no joint: the first says how long to cut it."""
    which = _length(given, conductor)
    for node in given.loose_ends(conductor):
        wire = wire_words(conductor.wire)
        yield Step(
            at=node, text=listed(wire, which, conductor.circuit, into(given, conductor, node))
        )
        which = "its other end"


def _length(given: Given, conductor: Conductor) -> str:
    """How long a wire is cut; one that is twisted with another is trimmed after that."""
    cut = given.cut(conductor.id)
    if cut is None:
        return f"cut {TO_WRITE} mm"
    if conductor.circuit in twisted_together(given):
        return f"cut {number(to_twist(cut.mm))} mm, to be twisted"
    return f"cut {cut.mm:.0f} mm"


def tube_first(given: Given, conductor: Conductor) -> str:
    """How long the tube over a new bare wire is cut, with what twisting the wire will take up."""
    length_mm = tube_length(given, conductor)
    if length_mm is None or conductor.circuit not in twisted_together(given):
        return tube_cut(given, conductor)
    return f"{number(to_twist(length_mm))} mm"


def into(given: Given, conductor: Conductor, address: str) -> str:
    """What is done where a new wire ends besides what `CONTACTS` says: a ring, a tube on bare
    wire.  A bare wire's tube goes on at the first of its ends and is trimmed at the other.
    """
    point = given.harness.points[address]
    if point.is_stud:
        return "ring crimped, tug; not bolted yet"
    bare = conductor.wire is not None and conductor.wire.bare
    if not bare or point.end is None:
        return ""
    nodes = (node for node in (conductor.a, conductor.b) if not given.harness.is_joint(node))
    if address != next(nodes):
        return f"its tube {TRIMMED}"
    seal = ", into the seal" if point.end.connector.sealed else ""
    return f"tube of {tube_first(given, conductor)} on first{seal}, {TRIMMED}"
