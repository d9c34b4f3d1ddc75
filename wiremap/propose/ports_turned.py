"""A module whose other port faces the machine: a no to its port turns both ports round."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from wiremap.evidence.confirmed import one_port_answer
from wiremap.evidence.partners import denial_of, denied
from wiremap.evidence.reasons import other_reasons, settlement, without_doubts
from wiremap.model import Address, Circuit, Confirmed, Entry, Job, Side, frozen

TURNED = "the other port of the module faces the machine"


def with_ports_turned(job: Job, answered: Job) -> Job:
    """The job with the ports of its modules as a named person has said, where that was a no.

    `answered` is the job with its answers laid over.
    """
    turned: dict[str, Circuit] = {}
    confirmations: list[Confirmed] = []
    for entry, ports in _denied_ports(answered):
        others = _other_port(job, ports)
        for circuit in ports:
            now = _turned(circuit, others)
            confirmation = Confirmed(circuit=now.id, by=entry.by, date=entry.date, how=_how(entry))
            closed = without_doubts(other_reasons(circuit))
            turned[circuit.id] = replace(now, because=(*closed, settlement(confirmation)))
            confirmations.append(confirmation)
    circuits = tuple(turned.get(circuit.id, circuit) for circuit in job.circuits)
    kept = tuple(entry for entry in job.confirmed if entry.circuit not in turned)
    return replace(job, circuits=circuits, confirmed=(*kept, *confirmations))


def _how(entry: Entry) -> str:
    return f"{TURNED}: {entry.how}" if entry.how.strip() else TURNED


def _denied_ports(answered: Job) -> Iterator[tuple[Entry, tuple[Circuit, ...]]]:
    """Each no to a port, with the circuits of both ports of that module."""
    denials = denied(answered)
    seen: set[str] = set()
    for circuit in answered.circuits:
        entry = denial_of(circuit, denials)
        ports = one_port_answer(answered, circuit)
        if entry is not None and len(ports) > 1 and circuit.id not in seen:
            seen.update(each.id for each in ports)
            yield entry, ports


def _other_port(job: Job, ports: tuple[Circuit, ...]) -> Mapping[Address, Address]:
    """By each contact of the module the one with the same half in its other port."""
    halves: dict[str, list[Address]] = {}
    for circuit in ports:
        for point in circuit.join:
            end = job.ends.get(point.end)
            if end is not None and end.side is Side.BETWEEN:
                halves.setdefault(end.pinout.cavities[point.cavity].function, []).append(point)
    other_of: dict[Address, Address] = {}
    for both in halves.values():
        match both:
            case [one, other]:
                other_of |= {one: other, other: one}
    return other_of


def _turned(circuit: Circuit, others: Mapping[Address, Address]) -> Circuit:
    """A circuit at the other port of the module."""
    first, *_ = circuit.join
    join = tuple(others.get(point, point) for point in circuit.join)
    other, *_ = join
    return replace(
        circuit,
        id=str(other) if circuit.id == str(first) else circuit.id,
        join=join,
        legs=frozen({others.get(point, point): leg for point, leg in circuit.legs.items()}),
        places=frozen(),
        join_places=(),
    )
