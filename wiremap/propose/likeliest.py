"""Which contacts of the other side one may go with, the likeliest first."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.evidence.not_partners import not_partners
from wiremap.evidence.partners import denied
from wiremap.model import Address, Cavity, End, Job, Side
from wiremap.propose.compare import compare, offered
from wiremap.trade.functions import FUNCTIONS

MOST_LISTED = 4
SHARED_CLASSES = ("supply", "ground")  # several contacts of these lie on one circuit
POWER_GROUNDS = frozenset({"power-ground", "frame-ground"})
RETURNS = frozenset({"sensor-return", "signal-ground", "restricted-ground", "bus-ground"})
FACING = {  # an in-line module takes its supply and ground from the machine
    Side.MACHINE: Side.UNIT,
    Side.UNIT: Side.MACHINE,
    Side.BETWEEN: Side.MACHINE,
}


def likeliest(job: Job, point: Address) -> tuple[Address, ...]:
    """The contacts that a contact of a settled job may go with, the likeliest first.

    Those that a named person has denied are left out; those that have a circuit already come last.
    """
    mine = job.ends[point.end]
    cavity = mine.pinout.cavities[point.cavity]
    denials = denied(job)
    weighed = []
    for position, (other, far) in enumerate(_facing(job, mine)):
        pair = (cavity, far) if mine.is_machine else (far, cavity)
        comparison = compare(*pair)
        if (
            comparison.refused
            or frozenset((point, other)) in denials
            or _meets_twice(job, pair, other)
        ):
            continue
        if not_partners(job, point, other):
            continue
        taken = _is_taken(job, other, far)
        weighed.append((taken, -comparison.weight, position, other))
    return tuple(other for *_, other in sorted(weighed)[:MOST_LISTED])


def _facing(job: Job, mine: End) -> Iterator[tuple[Address, Cavity]]:
    for end in job.ends.values():
        if end.side is FACING.get(mine.side) and not end.is_tap:
            for name, cavity in end.pinout.cavities.items():
                if offered(cavity):
                    yield Address(end.name, name), cavity


def _meets_twice(job: Job, pair: tuple[Cavity, Cavity], partner: Address) -> bool:
    """Whether a return would come onto a power ground that joins another contact already.

    The load current of the other would then shift the return's level.
    """
    functions = {cavity.function for cavity in pair}
    if not functions & POWER_GROUNDS or not functions & RETURNS:
        return False
    return any(partner in circuit.join for circuit in job.circuits)


def _is_taken(job: Job, point: Address, cavity: Cavity) -> bool:
    """Whether a contact has a circuit already, and is none that several share."""
    if FUNCTIONS[cavity.function].electrical in SHARED_CLASSES:
        return False
    return any(point in circuit.join for circuit in job.circuits)
