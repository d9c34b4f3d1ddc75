"""A proposal made anew for a job already begun: what was settled stays, what changes is told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from wiremap.evidence.confirmed import confirmed_circuits
from wiremap.evidence.left_out import is_own_reason
from wiremap.evidence.partners import denial_of, denied
from wiremap.evidence.reasons import other_reasons, settled_before, settlement, without_doubts
from wiremap.evidence.settle import settle
from wiremap.model import (
    Address,
    Circuit,
    Confirmed,
    End,
    EndKind,
    Job,
    Notebook,
    NotJoined,
    Pinout,
    Side,
    frozen,
)
from wiremap.propose.chosen import (
    ChosenPartners,
    chosen_partners,
    new_pairs,
    settled_pairs,
    with_joining,
)
from wiremap.propose.mapping import propose
from wiremap.propose.ports_turned import with_ports_turned
from wiremap.propose.result import Proposal, as_job
from wiremap.propose.sides import NamedPinouts

MAPPED_KINDS = (EndKind.CUT_TAIL, EndKind.PIGTAIL, EndKind.MATE)  # a tap only feeds


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedAgain:
    """The proposal over what is not settled, the job that it comes to, and what that changes.

    `kept` are the circuits that stay as they are; `changes` are sentences for a person.
    """

    proposal: Proposal
    job: Job
    kept: tuple[Circuit, ...]
    changes: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """As plain data: the proposal, and what stays and changes."""
        kept = [{"id": circuit.id, "join": list(circuit.join)} for circuit in self.kept]
        return {**self.proposal.as_dict(), "kept": kept, "changes": list(self.changes)}


def sides_of(job: Job) -> tuple[NamedPinouts, NamedPinouts]:
    """The ends of a job that a proposal maps onto each other: the machine's, the unit's."""
    sides: dict[Side, list[tuple[str, Pinout]]] = {Side.MACHINE: [], Side.UNIT: []}
    for name, end in job.ends.items():
        if end.kind in MAPPED_KINDS and end.side in sides:
            sides[end.side].append((name, end.pinout))
    return sides[Side.MACHINE], sides[Side.UNIT]


def is_adapter(job: Job) -> bool:
    """Whether nothing of the machine is cut."""
    return all(end.kind is not EndKind.CUT_TAIL for end in job.ends.values())


def propose_again(
    job: Job,
    old: NamedPinouts,
    new: NamedPinouts,
    notebooks: Sequence[Notebook],
    named: Sequence[Notebook],
    *,
    path: str,
) -> ProposedAgain:
    """Propose anew what nobody has settled.

    A circuit stays if a named person has confirmed it, if it bears no grade (it was made by hand),
    or if it joins what is not mapped (an in-line unit, a tap, an extra), and nobody has said no to
    it or told another partner.  `old` and `new` may bring newer papers for ends of the job.
    `notebooks` are those whose answers count, `named` those that the new job names, `path` is where
    it will lie.
    """
    ends = _ends_with_papers(job, old, new)
    before = job.circuits
    job = with_ports_turned(job, settle(replace(job, notebooks=tuple(notebooks))))
    answered = settle(replace(job, ends=frozen(ends), notebooks=tuple(notebooks)))
    choices = chosen_partners(answered, ends)
    pairs = new_pairs(choices, answered)
    kept = tuple(c for c in _kept(job, ends, answered) if not choices.breaks_up(c))
    settled = [*(circuit.join for circuit in kept), *choices.settled_joins()]
    proposal = propose(old, new, notebooks, settled=settled)
    made = as_job(proposal, old, new, title=job.title, adapter=is_adapter(job))
    fresh = tuple(_carried_on(circuit, job.circuits) for circuit in made.circuits)
    confirmed = confirmed_circuits(answered)
    circuits, confirmations = with_joining(choices, (*kept, *pairs, *fresh), answered, confirmed)
    confirmations += settled_pairs(choices, pairs)
    rejoined = _with_circuits(job, _in_order(circuits, job.circuits), confirmations)
    whole = replace(
        rejoined,
        path=path,
        ends=frozen(ends),
        not_joined=frozen(_left_out(job, _newly_out(job, made, choices), rejoined.circuits)),
        notebooks=tuple(named),
        replaced=(),
    )
    changes = (*_changes(before, whole.circuits), *_dropped_with_circuits(job, whole))
    return ProposedAgain(proposal=proposal, job=whole, kept=kept, changes=changes)


def _with_circuits(
    job: Job, circuits: tuple[Circuit, ...], confirmations: Iterable[Confirmed]
) -> Job:
    """The job with other circuits: a confirmation or a twist of one that is gone is dropped."""
    ids = {circuit.id for circuit in circuits}
    twists = {name: twist for name, twist in job.twists.items() if ids.issuperset(twist.circuits)}
    return replace(
        job,
        circuits=circuits,
        confirmed=(*(entry for entry in job.confirmed if entry.circuit in ids), *confirmations),
        twists=frozen(twists),
    )


def _ends_with_papers(job: Job, old: NamedPinouts, new: NamedPinouts) -> dict[str, End]:
    """The ends of the job, each with the pinout that is given for it."""
    ends = dict(job.ends)
    for name, pinout in (*old, *new):
        if name in ends:
            ends[name] = replace(ends[name], pinout=pinout)
    return ends


def _kept(job: Job, ends: Mapping[str, End], answered: Job) -> tuple[Circuit, ...]:
    """The circuits that stay, those that were settled told as settled."""
    settled = confirmed_circuits(answered)
    denials = denied(answered)
    kept = []
    for circuit in job.circuits:
        if denial_of(circuit, denials) is not None:
            continue
        by_hand = circuit.grade is None or circuit.id in settled
        mapped = all(_is_mapped(point, ends) for point in circuit.join)
        there = all(_exists(point, job, ends) for point in circuit.join)
        if there and (by_hand or not mapped):
            kept.append(_as_settled(circuit, answered) if circuit.id in settled else circuit)
    return tuple(kept)


def _as_settled(circuit: Circuit, job: Job) -> Circuit:
    """A settled circuit: what was open about it gives way to who settled it, and how."""
    confirmations = [entry for entry in job.confirmed if entry.circuit == circuit.id]
    closed = without_doubts(other_reasons(circuit))
    *_, last = confirmations
    return replace(circuit, because=(*closed, settlement(last)))


def _is_mapped(point: Address, ends: Mapping[str, End]) -> bool:
    end = ends.get(point.end)
    return end is not None and end.kind in MAPPED_KINDS and end.side is not Side.BETWEEN


def _exists(point: Address, job: Job, ends: Mapping[str, End]) -> bool:
    """Whether a newer paper still has the contact; a part of the job has no paper."""
    end = ends.get(point.end)
    return point.end in job.extras or (end is not None and point.cavity in end.pinout.cavities)


def _carried_on(circuit: Circuit, former: Iterable[Circuit]) -> Circuit:
    """A circuit that was there before keeps its name, wire, lengths and joint."""
    for before in former:
        if set(before.join) == set(circuit.join):
            return replace(before, grade=circuit.grade, because=circuit.because)
    return circuit


def _in_order(circuits: Iterable[Circuit], former: Sequence[Circuit]) -> tuple[Circuit, ...]:
    """The circuits in the order that they had, the new ones behind."""
    place = {circuit.id: number for number, circuit in enumerate(former)}
    return tuple(sorted(circuits, key=lambda circuit: place.get(circuit.id, len(place))))


def _newly_out(job: Job, made: Job, choices: ChosenPartners) -> dict[Address, NotJoined]:
    """What the proposal (`made`) and the chosen partners leave out, each with its own reason."""
    left_out = {**made.not_joined, **choices.alone}
    for point, why in choices.left_behind(job.circuits):
        if point in left_out:
            left_out[point] = replace(left_out[point], why=why)
    return left_out


def _left_out(
    job: Job, made: Mapping[Address, NotJoined], circuits: Iterable[Circuit]
) -> dict[Address, NotJoined]:
    """What stays out: with the reason that a person gave, else with that of `made`."""
    joined = {point for circuit in circuits for point in circuit.join}
    still_out = {}
    for point, left in job.not_joined.items():
        if point not in joined:
            fresh = made.get(point, left)
            why = fresh.why if is_own_reason(left.why) else left.why
            still_out[point] = replace(left, why=why)
    for point, left in made.items():
        if point not in joined:
            still_out.setdefault(point, left)
    return still_out


def _changes(before: Sequence[Circuit], after: Sequence[Circuit]) -> Iterator[str]:
    """What became of each circuit that is not as it was."""
    old = {frozenset(circuit.join): circuit for circuit in before}
    new = {frozenset(circuit.join): circuit for circuit in after}
    for points, circuit in old.items():
        if points not in new:
            yield f"no longer proposed: {_join_words(circuit)}"
        elif new[points].grade != circuit.grade:
            yield f"{_join_words(circuit)} is now {new[points].grade}, was {circuit.grade}"
    for points, circuit in new.items():
        if points not in old:
            yield f"new: {_join_words(circuit)} ({_how_settled(circuit)})"


def _how_settled(circuit: Circuit) -> str:
    if settled_before(circuit):
        return "settled by name"
    return circuit.grade or "a part made by hand is in it"


def _join_words(circuit: Circuit) -> str:
    return " - ".join(circuit.join)


def _dropped_with_circuits(before: Job, after: Job) -> Iterator[str]:
    """The confirmations and twists that were dropped because their circuit is gone."""
    for entry in before.confirmed:
        if entry not in after.confirmed:
            yield f"the confirmation of {entry.circuit} by {entry.by} went with its circuit"
    for name in before.twists:
        if name not in after.twists:
            yield f"twist {name} went with one of its circuits: write it again"
