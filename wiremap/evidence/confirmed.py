"""Which circuits a named person has settled."""

from __future__ import annotations

from wiremap.graph import fingerprint
from wiremap.model import Circuit, Confirmed, Job

JOINT = " - "  # between the points of a circuit, where a circuit is spoken of by its points


def circuit_at(job: Job, about: str) -> Circuit | None:
    """The circuit that is spoken of by its points as they now stand (`loom.1 - donor.3`)."""
    for circuit in job.circuits:
        if JOINT.join(circuit.join) == about:
            return circuit
    return None


def confirmed_circuits(job: Job) -> frozenset[str]:
    """Ids of the circuits that a named person has settled for the points as they now stand."""
    circuits = {circuit.id: circuit for circuit in reversed(job.circuits)}
    good = set()
    for entry in job.confirmed:
        circuit = circuits.get(entry.circuit)
        if circuit is not None and _counts(entry, circuit):
            good.add(entry.circuit)
    return frozenset(good)


def _counts(entry: Confirmed, circuit: Circuit) -> bool:
    """Whether a settlement says who, when and how, and speaks of the points as they now stand."""
    if not all(word.strip() for word in (entry.by, entry.date, entry.how)):
        return False
    return entry.of is None or entry.of == fingerprint(circuit.join)
