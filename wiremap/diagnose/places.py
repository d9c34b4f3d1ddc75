"""Where a point of the harness is found by whoever holds the probe."""

from __future__ import annotations

from wiremap.evidence.probe_points import SPLICE_IN
from wiremap.graph import Harness, Reach

AT_JOINT = "at its joint, before the sleeve is shrunk"
AT_LEG = "at its lead"
PART_PLACES = {
    Reach.HOLDER: "in the empty fuse holder",
    Reach.JOINT: AT_JOINT,
    Reach.FAR_END: "at its ring",
}


def is_at_joint(harness: Harness, kind: str, address: str) -> bool:
    """Whether a ring-out of this kind reaches the point at its joint alone."""
    return kind == SPLICE_IN and harness.reach(address) == Reach.JOINT


def words_at(harness: Harness, address: str) -> tuple[str, ...]:
    """What a point carries and the colour of its wire; of a part the place of its leg."""
    cavity = harness.points[address].cavity
    if cavity is None:
        return (PART_PLACES.get(harness.reach(address), AT_LEG),)
    wire = wire_at(harness, address)
    words = (cavity.signal, f"wire {wire}" if wire else "")
    return tuple(word for word in words if word)


def wire_at(harness: Harness, address: str) -> str:
    """The colour of the wire that is fitted at a contact; a new one where the job has one cut."""
    cavity = harness.points[address].cavity
    conductors = [
        conductor
        for circuit in harness.circuits_at(address)
        for conductor in harness.conductors_by_circuit.get(circuit, ())
        if address in (conductor.a, conductor.b)
    ]
    own = conductors[0].wire if conductors else None
    wire = own or (cavity.wire if cavity is not None else None)
    if wire is None or wire.colour is None:
        return ""
    is_new = bool(conductors) and conductors[0].is_new
    return f"new {wire.colour.word}" if is_new else wire.colour.word
