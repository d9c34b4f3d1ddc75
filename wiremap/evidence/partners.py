"""What named persons have said of partners: what is no one signal, what a contact goes with."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.evidence.allowed import NO
from wiremap.evidence.answers import answers
from wiremap.evidence.confirmed import LEFT_ALONE, asks_partner_of, joint_points
from wiremap.model import Address, Circuit, Entry, Job

Points = frozenset[Address]


@dataclass(frozen=True, slots=True, kw_only=True)
class Partner:
    """The contact that another one goes with, by a named answer; None: it is left alone."""

    point: Address
    goes_with: Address | None
    entry: Entry


def denied(job: Job) -> dict[Points, Entry]:
    """The sets of contacts that are not one signal, with the last named answer that says so.

    A later answer that two of them are partners takes it back.
    """
    by_id = {circuit.id: circuit.join for circuit in job.circuits}
    found: dict[Points, Entry] = {}
    for about, entry in answers(job).items():
        point = asks_partner_of(about)
        if point is not None and entry.by.strip():
            found.pop(frozenset((point, Address.read(entry.answer.strip()))), None)
        if not entry.by.strip() or entry.answer.strip().casefold() not in NO:
            continue
        points = joint_points(job, about) or by_id.get(about, ())
        if points:
            found[frozenset(points)] = entry
    return found


def denial_of(circuit: Circuit, said: dict[Points, Entry]) -> Entry | None:
    """The answer against a circuit: two of its contacts, or all of them, are not one signal."""
    joined = frozenset(circuit.join)
    for points, entry in said.items():
        if points == joined or (len(points) == 2 and points < joined):
            return entry
    return None


def partners(job: Job) -> dict[Address, Partner]:
    """Whom each contact goes with of which a named person has said it."""
    found = {}
    for about, entry in answers(job).items():
        point, said = asks_partner_of(about), entry.answer.strip()
        if point is None or not entry.by.strip():
            continue
        other = None if said == LEFT_ALONE else Address.read(said)
        found[point] = Partner(point=point, goes_with=other, entry=entry)
    return found


def not_yet_joined(job: Job) -> Iterator[Entry]:
    """The answers about partners that the circuits of the job do not show yet."""
    said = denied(job)
    for circuit in job.circuits:
        entry = denial_of(circuit, said)
        if entry is not None:
            yield entry
    for point, partner in partners(job).items():
        joined = any(point in circuit.join for circuit in job.circuits)
        if partner.goes_with is None and joined:
            yield partner.entry
        if partner.goes_with is not None and partner.goes_with not in through_parts(job, point):
            yield partner.entry


def through_parts(job: Job, point: Address) -> frozenset[Address]:
    """All that a point is joined with, through the fuses and other parts of the job as well."""
    found: set[Address] = set()
    waiting = [point]
    while waiting:
        here = waiting.pop()
        beside = {p for circuit in job.circuits if here in circuit.join for p in circuit.join}
        beside |= far_legs(job, here)
        waiting += beside - found
        found |= beside
    return frozenset(found)


def far_legs(job: Job, leg: Address) -> set[Address]:
    """The legs on the other side of the part that a leg belongs to; none of a point of an end."""
    if leg.end not in job.extras:
        return set()
    joined = {point for circuit in job.circuits for point in circuit.join}
    return {point for point in joined if point.end == leg.end and point != leg}
