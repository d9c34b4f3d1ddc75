"""The fewest probes that prove a harness, in the order in which they settle the most harm.

Counts:  T - m through-probes (T points within reach, m nets with fuses out), then apart-probes by
method:  `near` (side by side on a face, or dangerous together), `rest` (m - 1), `all` (m(m-1)/2),
`ganged` (combs on both probes, ceil(log2 m)), `clips` (a comb that grows net by net).  `near` and
`all` put the dangerous pairs right behind the through-probes of their nets; the combs of the others
hold those pairs already.

Order: each probe that need not move stays where it is.  The work is how often a probe is set and a
clip is put on or taken off; its bound is what no order can beat.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from typing import Any

from wiremap.evidence import kind_of
from wiremap.evidence.equipment import Equipment, equipment_of
from wiremap.evidence.probe_points import HarnessKind
from wiremap.graph import Harness
from wiremap.mistakes.beeper import Beeper, beeper_of
from wiremap.mistakes.drawn import drawn_of
from wiremap.model import Entry
from wiremap.ringout.clips import LEAST_COMB, GrowingComb
from wiremap.ringout.combs import each_from_the_rest, ganged
from wiremap.ringout.coverage import Coverage, cover
from wiremap.ringout.gaps import Unproven, gaps, unread_when_closed
from wiremap.ringout.held import Held
from wiremap.ringout.order import HandWork, in_order, numbered, work_of
from wiremap.ringout.planner import Planner, spanning
from wiremap.ringout.probe import Probe
from wiremap.ringout.second import second_ringout
from wiremap.ringout.values import bands, fuses, met_outside

OBJECTIVE = "dangerous circuits first, then as few probe moves as can be"
EVERYTHING = Equipment(halves=True, clips=None)  # what is supposed where nobody has told it
MOST_NETS = 3000  # beyond, a plan takes minutes, and no person reads it
NOT_STATED = (
    "equipment not stated: with a mating half or insulated clips fewer readings prove more; "
    "answer about `equipment`"
)


class TooLarge(ValueError):
    """A harness of more circuits than a ring-out is planned for; `fix` says what to do."""

    fix = "part the job into several, each with its own ends"

    def __init__(self, nets: int) -> None:
        super().__init__(f"{nets} circuits: a ring-out is planned for at most {MOST_NETS}")


class Method(StrEnum):
    """Which nets are read apart from which."""

    NEAR = "near"
    REST = "rest"
    ALL = "all"
    GANGED = "ganged"
    CLIPS = "clips"


METHODS = tuple(str(m) for m in Method)
KINDS = tuple(sorted(HarnessKind))


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """All probes of a ring-out, what they find, and what they cannot."""

    kind: str
    method: str
    probes: tuple[Probe, ...]
    coverage: Coverage
    not_proven: tuple[Unproven, ...]
    points: int  # how many are within reach
    nets: int  # how many have such a point
    work: HandWork
    beeper: Beeper
    equipment: Equipment | None  # None: nobody has told it
    second: tuple[Probe, ...]  # after the sleeves are shrunk, numbered by itself
    held: Held
    chosen: bool  # somebody chose the method, whatever the equipment

    def as_dict(self) -> dict[str, Any]:
        """The plan as plain data, in the documented shape."""
        return {
            "kind": self.kind,
            "method": self.method,
            "points": self.points,
            "nets": self.nets,
            "probes": [probe.as_dict() for probe in self.probes],
            "coverage": self.coverage.as_dict(),
            "not_proven": [gap.as_dict() for gap in self.not_proven],
            "beeper_ohms": self.beeper.limit_ohms,
            "equipment": self.equipment.told if self.equipment else None,
            "second": [probe.as_dict() for probe in self.second],
            "order": {
                "objective": OBJECTIVE,
                "moves": self.work.sets,
                "clips": self.work.clips,
                "work": self.work.total,
                "bound": self.work.bound,
            },
        }

    @property
    def bounds(self) -> str:
        """What no plan and no order of this one can beat, in words."""
        through, apart = self.points - self.nets, max(0, self.nets - 1)
        return (
            f"{through} beeps join every point, {apart} readings part every circuit with the "
            f"others clipped together; no order needs fewer than {self.work.bound} moves"
        )

    @property
    def assumed(self) -> tuple[str, ...]:
        """What the plan takes for granted of meter and equipment, in words."""
        equipment = NOT_STATED if self.equipment is None else f"equipment: {self.equipment.told}"
        return self.beeper.told, equipment

    @property
    def conditions(self) -> str:
        """With what its readings are taken, in few words: a verdict holds under these alone."""
        held = self.equipment.told if self.equipment else "no equipment stated"
        return f"with {held}; {self.beeper.brief}"


def plan(
    harness: Harness,
    method: str | None = None,
    kind: str | None = None,
    *,
    beeper_ohms: float | None = None,
    equipment: Equipment | None = None,
) -> Plan:
    """The ring-out of a settled job.

    `method` left out is the one that the equipment allows: `clips`, or `near` without any.
    `equipment` and `beeper_ohms` (what the beeper at hand sounds up to) left out are what a
    notebook of the job answers about `equipment` and `beeper`, else none and 50 ohm.  Raises
    ValueError for a method or kind that does not exist, TooLarge beyond MOST_NETS circuits.
    """
    kind = kind or kind_of(harness)
    told = equipment or equipment_of(harness.job.entries)
    chosen = method is not None
    method = method or _method_for(told)
    if method not in METHODS or kind not in KINDS:
        wanted = f"method is one of {', '.join(METHODS)}, kind one of {', '.join(KINDS)}"
        raise ValueError(f"{wanted} (got {method!r}, {kind!r})")
    drawn = drawn_of(harness, kind, _beeper(harness, beeper_ohms))
    if len(drawn.reached) > MOST_NETS:
        raise TooLarge(len(drawn.reached))
    held = Held(drawn)
    growing = GrowingComb(drawn, told or EVERYTHING, held)
    if method == Method.CLIPS and growing.holds < LEAST_COMB:
        method = Method.NEAR  # this equipment holds no two nets of this harness
    if method == Method.CLIPS:
        asked = growing.probes()
    else:
        asked = _one_by_one(Planner(drawn, spanning(drawn, held), drawn.touched), method)
    together = growing.holds if method == Method.CLIPS else 0
    probes = in_order(held.left_of(asked))
    coverage = cover(drawn, probes)
    second = numbered(held.left_of(second_ringout(drawn, together)))
    return Plan(
        kind=kind,
        method=method,
        probes=probes,
        coverage=coverage,
        not_proven=(*gaps(drawn, probes, coverage), *unread_when_closed(drawn, second)),
        points=len(drawn.reach),
        nets=len(drawn.reached),
        work=work_of(probes),
        beeper=drawn.beeper,
        equipment=told,
        second=second,
        held=held,
        chosen=chosen,
    )


def replanned(harness: Harness, planned: Plan, entries: Iterable[Entry]) -> Plan:
    """The plan with what these entries say of the bench; a method that was chosen stays.

    Raises TooLarge as `plan` does.
    """
    known = tuple(entries)
    beeper = beeper_of(known)
    return plan(
        harness,
        planned.method if planned.chosen else None,
        planned.kind,
        equipment=equipment_of(known),
        beeper_ohms=beeper.limit_ohms if beeper.stated else None,
    )


def _method_for(equipment: Equipment | None) -> Method:
    if equipment is not None and equipment.holds:
        return Method.CLIPS
    return Method.NEAR


def _beeper(harness: Harness, ohms: float | None) -> Beeper:
    if ohms is not None:
        return Beeper(ohms, stated=True)
    return beeper_of(harness.job.entries)


def _one_by_one(planner: Planner, method: str) -> Iterator[Probe]:
    """Sentinels, dangerous nets, the other through-probes, the other apart-probes, bands."""
    yield from planner.sentinels()
    if method in (Method.NEAR, Method.ALL):
        yield from planner.dangerous()
    for net in planner.by_place():
        yield from planner.through(net)
    match method:
        case Method.NEAR:
            yield from planner.apart_in_turn((pair.one, pair.other) for pair in planner.near)
        case Method.ALL:
            yield from planner.apart_in_turn(combinations(planner.reached, 2))
        case Method.REST:
            yield from each_from_the_rest(planner)
        case _:
            yield from ganged(planner)
    yield from bands(planner)
    yield from fuses(planner)
    yield from met_outside(planner)
