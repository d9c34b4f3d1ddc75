"""Which circuits a named person has settled, and how circuits and partners are spoken of."""

from __future__ import annotations

from wiremap.evidence.reasons import is_of_port
from wiremap.evidence.resistors import as_filed
from wiremap.graph import fingerprint
from wiremap.model import Address, Circuit, Confirmed, Grade, Job, Side, says_what

BETWEEN_POINTS = " - "  # in words about a circuit that is told by its points
PARTNER = ".partner"  # an answer about `old.3.partner` names the contact that old.3 goes with
LEFT_ALONE = "left alone"


def asks_partner_of(about: str) -> Address | None:
    """The contact whose partner an answer names; None where it is about something else."""
    if not about.endswith(PARTNER):
        return None
    return Address.read(about.removesuffix(PARTNER))


def circuit_at(job: Job, about: str) -> Circuit | None:
    """The circuit that is spoken of by its points as they now stand (`loom.1 - donor.3`)."""
    for circuit in job.circuits:
        if about in (BETWEEN_POINTS.join(circuit.join), called_by(job, circuit)):
            return circuit
    return None


def called_by(job: Job, circuit: Circuit) -> str:
    """The points by which a circuit is spoken of: those that its file joins."""
    return BETWEEN_POINTS.join(as_filed(job, circuit))


def one_port_answer(job: Job, circuit: Circuit) -> tuple[Circuit, ...]:
    """The circuits that one yes settles: all of a module's ports, if which is which was open.

    A pair of ports goes in one way round or the other, never half and half.
    """
    modules = {point.end for point in circuit.join if _is_between(job, point)}
    if not modules or not _is_of_port(circuit):
        return (circuit,)
    return tuple(
        each
        for each in job.circuits
        if _is_of_port(each) and any(point.end in modules for point in each.join)
    )


def _is_of_port(circuit: Circuit) -> bool:
    """Whether a circuit was proposed at a port of a module while nobody had said which port."""
    if circuit.grade is not Grade.ASK:
        return False
    return is_of_port(circuit.because)


def _is_between(job: Job, point: Address) -> bool:
    end = job.ends.get(point.end)
    return end is not None and end.side is Side.BETWEEN


def joint_points(job: Job, about: str) -> tuple[Address, ...]:
    """The contacts of the job that an answer speaks of as one circuit; none if it does not."""
    points = tuple(map(Address.read, about.split(BETWEEN_POINTS)))
    if len(points) < 2 or not all(is_contact(job, point) for point in points):
        return ()
    return points


def is_contact(job: Job, address: Address) -> bool:
    """Whether an end of the job has that contact."""
    end = job.ends.get(address.end)
    return end is not None and address.cavity in end.pinout.cavities


def confirmed_circuits(job: Job) -> frozenset[str]:
    """Ids of the circuits that a named person has settled for the points as they now stand."""
    circuits = {circuit.id: circuit for circuit in reversed(job.circuits)}
    settled = set()
    for entry in job.confirmed:
        circuit = circuits.get(entry.circuit)
        if circuit is not None and _counts(entry, circuit):
            settled.add(entry.circuit)
    return frozenset(settled)


def _counts(entry: Confirmed, circuit: Circuit) -> bool:
    """Whether a settlement says who, when and how, and speaks of the points as they now stand."""
    if not (entry.by.strip() and entry.date.strip() and says_what(entry.how)):
        return False
    return entry.of is None or entry.of == fingerprint(circuit.join)
