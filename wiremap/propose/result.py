"""What a proposal says."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from wiremap.evidence.left_out import NOT_GUESSED, NOTHING_THERE
from wiremap.evidence.reasons import as_doubt
from wiremap.model import (
    Address,
    Circuit,
    End,
    EndKind,
    Grade,
    Job,
    Notebook,
    NotJoined,
    Pinout,
    Side,
    Span,
    Supply,
    Treat,
    Wire,
    frozen,
)
from wiremap.propose.doubt import Doubt
from wiremap.propose.sides import NamedPinouts
from wiremap.trade.functions import FUNCTIONS, called

GRADES = (Grade.CERTAIN, Grade.LIKELY, Grade.ASK)  # best first


def worse(one: Grade, two: Grade) -> Grade:
    """The worse of two grades."""
    return max(one, two, key=GRADES.index)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposed:
    """One circuit: its points (old first), its grade, what speaks for it and what is open."""

    join: tuple[Address, ...]
    grade: Grade
    reasons: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()

    @property
    def because(self) -> tuple[str, ...]:
        """Why it has this grade, in sentences."""
        return (*self.reasons, *(as_doubt(doubt.words) for doubt in self.doubts))

    def as_dict(self) -> dict[str, Any]:
        """As plain data."""
        return {"join": list(self.join), "grade": self.grade, "because": list(self.because)}


@dataclass(frozen=True, slots=True, kw_only=True)
class NoHome:
    """A contact without a partner: why, and the nearest candidate that was refused."""

    point: Address
    why: str
    nearest: Address | None = None

    def as_dict(self) -> dict[str, Any]:
        """As plain data."""
        return {"point": self.point, "why": self.why, "nearest": self.nearest}


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedsLogic:
    """Contacts whose signal cannot be carried over by a splice."""

    points: tuple[Address, ...]
    why: str

    def as_dict(self) -> dict[str, Any]:
        """As plain data."""
        return {"points": list(self.points), "why": self.why}


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """The whole proposal; the same contacts stand in `no_home` for a person and in `not_joined` for
    the job's file, which also has those that need logic, are refused or hold nothing.
    """

    circuits: tuple[Proposed, ...]
    no_home: tuple[NoHome, ...]
    needs_logic: tuple[NeedsLogic, ...]
    not_joined: tuple[NotJoined, ...]

    @property
    def asks(self) -> bool:
        """Whether a person has to settle something."""
        return bool(self.needs_logic) or any(c.grade is Grade.ASK for c in self.circuits)

    def as_dict(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "circuits": [circuit.as_dict() for circuit in self.circuits],
            "no_home": [lost.as_dict() for lost in self.no_home],
            "needs_logic": [need.as_dict() for need in self.needs_logic],
        }


def joined_points(circuits: Iterable[Proposed]) -> set[Address]:
    """Every point that takes part in one of the circuits."""
    return {point for circuit in circuits for point in circuit.join}


def as_job(
    proposal: Proposal,
    old: NamedPinouts,
    new: NamedPinouts,
    *,
    title: str,
    path: str = "job.yaml",
    notebooks: tuple[Notebook, ...] = (),
    adapter: bool = False,
) -> Job:
    """The job that a proposal comes to: old ends on the machine's side, new ones on the unit's.

    Old ends are cut tails and new ones pigtails; of an `adapter` both are mated, so that each
    circuit takes a wire of its own, and has its section where both papers tell the same.
    """
    both = (EndKind.MATE, EndKind.MATE) if adapter else (EndKind.CUT_TAIL, EndKind.PIGTAIL)
    of_machine, of_unit = both
    ends = {}
    for name, pinout in old:
        ends[name] = End(name=name, pinout=pinout, kind=of_machine, side=Side.MACHINE)
    for name, pinout in new:
        ends[name] = End(name=name, pinout=pinout, kind=of_unit, side=Side.UNIT)
    circuits = []
    for proposed in proposal.circuits:
        wire = _new_wire(proposed.join, ends) if adapter else None
        circuits.append(
            Circuit(
                id=proposed.join[0],
                join=proposed.join,
                grade=proposed.grade,
                because=proposed.because,
                wire=wire,
            )
        )
    not_joined = {left.point: left for left in proposal.not_joined}
    if adapter:
        not_joined = {point: _left_empty(left, ends) for point, left in not_joined.items()}
    return Job(
        title=title,
        path=path,
        ends=frozen(ends),
        circuits=tuple(circuits),
        not_joined=frozen(not_joined),
        notebooks=notebooks,
        supply=_supply_of(old),
    )


def _supply_of(old: NamedPinouts) -> Supply:
    """The machine's supply, where its papers tell one voltage for all that it feeds."""
    spans = {volts for _, volts in _supplied(old)}
    if len(spans) != 1:
        return Supply()
    (volts,) = spans
    return Supply(volts=volts.low) if volts.exact else Supply()


def _supplied(old: NamedPinouts) -> Iterator[tuple[Address, Span]]:
    """The supplies of the machine whose volts its papers tell."""
    for name, pinout in old:
        for cavity in pinout.cavities.values():
            if FUNCTIONS[cavity.function].electrical == "supply" and cavity.volts is not None:
                yield Address(name, cavity.name), cavity.volts


def assumed_supply(old: NamedPinouts) -> str:
    """What was assumed of the machine's supply: volts that only wordings tell; empty if nothing."""
    supply = _supply_of(old)
    papers = dict(old)
    worded = []
    for point, _ in _supplied(old):
        cavity = papers[point.end].cavities[point.cavity]
        if "volts" in cavity.places:
            return ""
        worded.append(f"{point} is called `{cavity.signal}`")
    if supply.volts is None:
        return ""
    return f"the supply is {supply.volts:g} V, for {worded[0]}; mend `supply` if it is not so"


def _left_empty(left: NotJoined, ends: dict[str, End]) -> NotJoined:
    """A mate's contact that stays out has no wire to cap: its cavity is left empty where the
    connector is known to need no seal, else plugged.
    """
    sealed = ends[left.point.end].pinout.connector.sealed
    return replace(left, treat=Treat.LEAVE if sealed is False else Treat.BLANK)


def _new_wire(join: tuple[Address, ...], ends: dict[str, End]) -> Wire | None:
    """A wire of the cross-section that both papers of a circuit tell alike; None where they do not.

    It has no colour: whoever makes the wire picks one.
    """
    if len(join) != 2:
        return None
    sections = set()
    for point in join:
        wire = ends[point.end].pinout.cavities[point.cavity].wire
        sections.add(wire.csa_mm2 if wire else None)
    section = sections.pop()
    if sections or section is None:
        return None
    return Wire(f"{section:g}", section)


def left_over(point: Address, pinout: Pinout, why: str) -> NotJoined:
    """The entry of a contact that stays out, with the treatment that its cavity needs.

    An empty `why` stands for the usual reason.
    """
    cavity = pinout.cavities[point.cavity]
    is_bare = cavity.wire is None or cavity.as_found == "empty"
    if is_bare and (cavity.unused or cavity.as_found == "empty"):
        return NotJoined(point=point, why=why or NOTHING_THERE, treat=Treat.BLANK)
    function = FUNCTIONS[cavity.function]
    reason = why or f"{called(function.slug)}: {NOT_GUESSED}"
    return NotJoined(point=point, why=reason, treat=Treat.CAP)
