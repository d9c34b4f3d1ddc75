"""Partners that named persons have chosen, brought into the circuits of a job proposed anew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from wiremap.base import only
from wiremap.evidence.confirmed import confirmed_circuits
from wiremap.evidence.left_out import LOST_PARTNER
from wiremap.evidence.partners import Partner, denial_of, denied, far_legs, partners, through_parts
from wiremap.evidence.reasons import as_doubt, other_reasons, settlement
from wiremap.graph import fingerprint
from wiremap.model import Address, Circuit, Confirmed, End, Grade, Job, NotJoined, Side, says_what
from wiremap.propose.result import left_over
from wiremap.trade.functions import FUNCTIONS

SHARED = frozenset({"supply", "ground"})  # classes of which several contacts lie on one circuit


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenPartners:
    """What answers about partners make of a job.

    `pairs` make a circuit of their own each, the contacts of `joining` come into a circuit that is
    there, and those of `alone` a named person has told to have no partner.
    """

    pairs: tuple[Partner, ...]
    joining: tuple[Partner, ...]
    alone: Mapping[Address, NotJoined]

    def breaks_up(self, circuit: Circuit) -> bool:
        """Whether a named person has sent a contact of a circuit elsewhere, or nowhere."""
        for partner in self.pairs:
            ends = {partner.point, partner.goes_with}
            if ends & {*circuit.join} and not ends <= {*circuit.join}:
                return True
        return not self.alone.keys().isdisjoint(circuit.join)

    def left_behind(self, circuits: Iterable[Circuit]) -> Iterator[tuple[Address, str]]:
        """The contacts whose partner a named person has sent elsewhere, each with the reason."""
        for circuit in circuits:
            for partner in self.pairs:
                ends = {partner.point, partner.goes_with}
                gone = ends & {*circuit.join}
                if only(gone) is not None:
                    reason = f"{LOST_PARTNER}{_pair_words(partner)}"
                    yield from ((point, reason) for point in circuit.join if point not in gone)

    def settled_joins(self) -> list[tuple[Address, ...]]:
        """Joins whose contacts are proposed to nobody, as `propose` takes them in `settled`."""
        pairs = [_points(partner) for partner in self.pairs]
        return [
            *pairs,
            *((partner.point,) for partner in self.joining),
            *((point,) for point in self.alone),
        ]


def chosen_partners(job: Job, ends: Mapping[str, End]) -> ChosenPartners:
    """The partners that answers of a settled job have chosen."""
    pairs: list[Partner] = []
    joining: list[Partner] = []
    alone = {}
    for point, partner in partners(job).items():
        if partner.goes_with is None:
            reason = f"left alone: {_source_words(partner)}"
            alone[point] = left_over(point, ends[point.end].pinout, reason)
        elif not _is_joined(job, partner):
            if _may_share(job, partner):
                joining.append(partner)
            else:
                pairs.append(partner)
    return ChosenPartners(pairs=tuple(pairs), joining=tuple(joining), alone=alone)


def new_pairs(choices: ChosenPartners, job: Job) -> list[Circuit]:
    """The circuits of chosen partners, settled by whoever chose them."""
    return [_pair(partner, job) for partner in choices.pairs]


def with_joining(
    choices: ChosenPartners, circuits: Iterable[Circuit], job: Job, settled: frozenset[str]
) -> tuple[list[Circuit], list[Confirmed]]:
    """The circuits with the contacts that come into them, and who has settled that.

    A circuit that nobody has settled stays a question with its new contact in it.
    """
    whole = list(circuits)
    confirmations = []
    for partner in choices.joining:
        place = _index_of_circuit(partner, job, whole)
        if place is None:
            whole.append(_pair(partner, job))
            confirmations += settled_pairs(replace(choices, pairs=(partner,)), whole[-1:])
            continue
        widened = _widened(whole[place], partner)
        if widened.id in settled and says_what(partner.entry.how):
            entry = _confirmed(widened, partner)
            widened = replace(widened, because=(*other_reasons(widened), settlement(entry)))
            confirmations = [former for former in confirmations if former.circuit != widened.id]
            confirmations.append(entry)
        whole[place] = widened
    return whole, confirmations


def settled_pairs(choices: ChosenPartners, pairs: Sequence[Circuit]) -> list[Confirmed]:
    """Who has settled each of the new pairs."""
    chosen_for = zip(pairs, choices.pairs, strict=True)
    return [_confirmed(pair, each) for pair, each in chosen_for if says_what(each.entry.how)]


def _is_joined(job: Job, partner: Partner) -> bool:
    return partner.goes_with in through_parts(job, partner.point)


def _pair_words(partner: Partner) -> str:
    return f"{partner.point} with {partner.goes_with}, {_source_words(partner)}"


def _may_share(job: Job, partner: Partner) -> bool:
    """Whether a contact comes into its partner's circuit.

    Both are supplies or both grounds, both sensor returns or sensor supplies, or one wakes a unit
    and the other is a supply; and either that circuit is settled or the contact was left out of
    every one.
    """
    assert partner.goes_with is not None
    if not _are_alike(_function(job, partner.point), _function(job, partner.goes_with)):
        return False
    denials, settled = denied(job), confirmed_circuits(job)
    left_out = not any(partner.point in circuit.join for circuit in job.circuits)
    return any(
        partner.goes_with in circuit.join
        and denial_of(circuit, denials) is None
        and (left_out or circuit.grade is None or circuit.id in settled)
        for circuit in job.circuits
    )


def _are_alike(one: str, other: str) -> bool:
    classes = {FUNCTIONS[one].electrical, FUNCTIONS[other].electrical}
    if classes == {"reference"}:
        return one == other
    if "wake" in (one, other):
        return "supply" in classes
    return only(classes) in SHARED


def _function(job: Job, point: Address) -> str:
    return job.ends[point.end].pinout.cavities[point.cavity].function


def _index_of_circuit(partner: Partner, job: Job, circuits: Sequence[Circuit]) -> int | None:
    """The index of the circuit that a contact comes into; None if its partner is in none.

    Where another circuit, behind a fuse or part of that one, joins a like contact of the same
    side already, it is that: the new contact gets the same protection.
    """
    assert partner.goes_with is not None
    place = _index_with(partner.goes_with, circuits)
    if place is None:
        return None
    for leg in circuits[place].join:
        for far in sorted(far_legs(job, leg)):
            behind = _index_with(far, circuits)
            if behind is not None and _has_like(circuits[behind], partner.point, job):
                return behind
    return place


def _index_with(point: Address, circuits: Sequence[Circuit]) -> int | None:
    return next((i for i, circuit in enumerate(circuits) if point in circuit.join), None)


def _has_like(circuit: Circuit, point: Address, job: Job) -> bool:
    """Whether a circuit joins a contact of the side that a contact is on, and of its kind."""
    like = [other for other in circuit.join if other.end in job.ends]
    side, function = job.ends[point.end].side, _function(job, point)
    return any(
        job.ends[other.end].side is side and _are_alike(function, _function(job, other))
        for other in like
    )


def _widened(circuit: Circuit, partner: Partner) -> Circuit:
    reason = f"{partner.point} joined to it by {_source_words(partner)}"
    return replace(circuit, join=(*circuit.join, partner.point), because=(*circuit.because, reason))


def _pair(partner: Partner, job: Job) -> Circuit:
    first, *_ = join = _points(partner)
    if job.ends[first.end].side is Side.UNIT:
        first, *_ = join = tuple(reversed(join))
    bare = Circuit(id=first, join=join, grade=Grade.ASK)
    if not says_what(partner.entry.how):
        doubt = as_doubt(f"{partner.entry.by} chose it, and not how it was found")
        return replace(bare, because=(doubt,))
    return replace(bare, because=(settlement(_confirmed(bare, partner)),))


def _points(partner: Partner) -> tuple[Address, ...]:
    assert partner.goes_with is not None
    return (partner.point, partner.goes_with)


def _confirmed(circuit: Circuit, partner: Partner) -> Confirmed:
    entry = partner.entry
    how = f"{partner.point} goes with {partner.goes_with}"
    return Confirmed(
        circuit=circuit.id,
        by=entry.by,
        date=entry.date,
        how=f"{how}: {entry.how}" if entry.how else how,
        of=fingerprint(circuit.join),
    )


def _source_words(partner: Partner) -> str:
    entry = partner.entry
    told = f"{entry.by}, {entry.date}"
    return f"{told}: {entry.how}" if entry.how else told
