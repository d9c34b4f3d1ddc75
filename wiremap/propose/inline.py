"""An in-line module as somebody tells of it, brought into a proposed job: cut into a pair, fed
through a fuse of its own, grounded.

What is not told stays open, and is asked or held like all else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from wiremap.evidence.expected import electrical
from wiremap.evidence.new_wires import ToldWire
from wiremap.evidence.reasons import PORT_REASONS
from wiremap.files.wires import UNTOLD
from wiremap.model import (
    FORM_UNTOLD,
    Address,
    Circuit,
    End,
    EndKind,
    Extra,
    ExtraKind,
    Grade,
    Job,
    Leg,
    Pinout,
    Side,
    frozen,
)
from wiremap.propose.groups import groups
from wiremap.propose.result import left_over
from wiremap.propose.sides import Generations, NamedPinouts

MODULE, FEED = "module", "feed"
FUSE, STUD = "F1", "G1"
TERMINATOR_OHMS = 120  # at each end of a CAN bus: ISO 11898-2


class CanPair(NamedTuple):
    """The two contacts of a CAN pair."""

    high: Address
    low: Address

    @property
    def called(self) -> str:
        """As it is typed."""
        return f"{self.high}/{self.low}"


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnFuse:
    """The fuse before the module: its form, its amps if they are told."""

    form: str
    amps: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class InlineModule:
    """What somebody tells of a module that is cut into a pair; None and nothing: not known.

    `ports` are the pair towards the machine and the one towards the unit, in this order only if
    `port_told`. `ground` is a thread (M6) or a contact of the machine. `tap` is the end that feeds
    it where that is none of the plugs. `resistors` are the pairs that get one of 120 ohm.
    """

    pinout: Pinout
    has_leads: bool
    cut: CanPair | None
    to_unit: CanPair | None
    ports: tuple[CanPair, CanPair] | None
    port_told: bool
    feed: Address | None
    tap: End | None
    fuse: OwnFuse | None = None
    to_fuse: ToldWire | None = None
    from_fuse: ToldWire | None = None
    ground: str = ""
    to_ground: ToldWire | None = None
    resistors: tuple[Side, ...] = ()


def can_pairs(side: NamedPinouts) -> tuple[CanPair, ...]:
    """The CAN pairs that papers tell whole, in their order."""
    contacts = Generations.of(side, ()).old
    found = []
    for group in groups(contacts):
        if group.kind == "can":
            by_role = dict(zip(group.roles, group.addresses, strict=True))
            found.append(CanPair(by_role["high"], by_role["low"]))
    place = {point: number for number, point in enumerate(contacts)}
    return tuple(sorted(found, key=lambda pair: place[pair.high]))


def of_class(end: str, pinout: Pinout, electrical_class: str) -> tuple[Address, ...]:
    """The contacts of an end that are of a class, as `supply` or `ground`."""
    return tuple(
        Address(end, name)
        for name, cavity in pinout.cavities.items()
        if electrical(cavity) == electrical_class and not cavity.unused
    )


def stands(told: InlineModule) -> tuple[tuple[Address, ...], ...]:
    """What goes with what through the module: nobody else is to be proposed for these contacts."""
    if told.cut is None or told.to_unit is None or told.ports is None:
        return ()
    return tuple(zip(told.cut, told.to_unit, strict=True))


def left_open(told: InlineModule) -> tuple[str, ...]:
    """What of the module is not joined yet, as nobody has told it."""
    open_yet = {
        "which pair it is cut into": not stands(told),
        "what feeds it": told.feed is None,
        "where it is grounded": not told.ground,
    }
    return tuple(words for words, is_open in open_yet.items() if is_open)


def with_inline(job: Job, told: InlineModule) -> Job:
    """The job with the module in it, proposed with what `stands` through it."""
    draft = _Draft(job, told)
    draft.cut_in()
    draft.feed()
    draft.ground()
    draft.leave_empty()
    return draft.job()


class _Draft:
    """The job while the module goes in."""

    def __init__(self, job: Job, told: InlineModule) -> None:
        self.before = job
        self.told = told
        self.circuits = list(job.circuits)
        self.extras = dict(job.extras)
        self.not_joined = dict(job.not_joined)
        self.wire = None if told.has_leads else UNTOLD  # what its contacts are joined with

    def job(self) -> Job:
        """The job as it has become."""
        kind = EndKind.PIGTAIL if self.told.has_leads else EndKind.MATE
        ends = dict(self.before.ends)
        ends[MODULE] = End(name=MODULE, pinout=self.told.pinout, kind=kind, side=Side.BETWEEN)
        if self.told.tap is not None:
            ends[self.told.tap.name] = self.told.tap
        joined = {point for circuit in self.circuits for point in circuit.join}
        left = {point: each for point, each in self.not_joined.items() if point not in joined}
        return replace(
            self.before,
            ends=frozen(ends),
            circuits=tuple(self.circuits),
            extras=frozen(self.extras),
            not_joined=frozen(left),
        )

    def cut_in(self) -> None:
        """Join each half of the pair with its port, a resistor across it on wish."""
        told = self.told
        if told.cut is None or told.to_unit is None or told.ports is None:
            return
        near, far = told.ports
        self._halves(told.cut, near, Side.MACHINE)
        self._halves(far, told.to_unit, Side.UNIT)

    def _halves(self, one: CanPair, other: CanPair, side: Side) -> None:
        resistor = self._resistor() if side in self.told.resistors else None
        for number, (a, b) in enumerate(zip(one, other, strict=True)):
            across = () if resistor is None else (resistor.legs[number],)
            circuit = Circuit(id=a, join=(a, b, *across), wire=self.wire)
            if not self.told.port_told:
                circuit = replace(circuit, grade=Grade.ASK, because=PORT_REASONS)
            self.circuits.append(circuit)

    def _resistor(self) -> Extra:
        count = sum(extra.kind is ExtraKind.RESISTOR for extra in self.extras.values())
        made = Extra(name=f"R{count + 1}", kind=ExtraKind.RESISTOR, ohms=TERMINATOR_OHMS)
        self.extras[made.name] = made
        return made

    def feed(self) -> None:
        """The feed through a fuse of its own to every supply of the module."""
        told = self.told
        supplies = of_class(MODULE, told.pinout, "supply")
        if told.feed is None or not supplies:
            return
        amps = told.fuse.amps if told.fuse else None
        form = told.fuse.form if told.fuse else FORM_UNTOLD
        fuse = Extra(
            name=FUSE, kind=ExtraKind.FUSE, detail=form, amps=amps, size_wanted=amps is None
        )
        self.extras[FUSE] = fuse
        before, behind = fuse.legs
        self._join_to(told.feed, [before], told.to_fuse)
        self._add(behind, supplies, told.from_fuse)

    def ground(self) -> None:
        """The grounds of the module, to a stud of its own or to a ground of the machine."""
        told = self.told
        grounds = of_class(MODULE, told.pinout, "ground")
        if not told.ground or not grounds:
            return
        if "." in told.ground:
            self._join_to(Address.read(told.ground), grounds, told.to_ground)
            return
        self.extras[STUD] = Extra(name=STUD, kind=ExtraKind.STUD, detail=told.ground)
        self._add(grounds[0], (*grounds[1:], Address(STUD)), told.to_ground)

    def _add(self, first: Address, others: Sequence[Address], told: ToldWire | None) -> None:
        """A circuit of its own."""
        length = None if told is None else told.length_mm
        wire = told.wire if told else self.wire
        self.circuits.append(Circuit(id=first, join=(first, *others), wire=wire, length_mm=length))

    def _join_to(self, point: Address, others: Sequence[Address], told: ToldWire | None) -> None:
        """Bring contacts to a point, into the circuit that it is in already if there is one."""
        for number, circuit in enumerate(self.circuits):
            if point in circuit.join:
                self.circuits[number] = _grown(circuit, others, told)
                return
        self._add(point, others, told or ToldWire(UNTOLD, None))

    def leave_empty(self) -> None:
        """Cavities of the module in which nothing is."""
        for name, cavity in self.told.pinout.cavities.items():
            if cavity.unused:
                point = Address(MODULE, name)
                self.not_joined[point] = left_over(point, self.told.pinout, "")


def _grown(circuit: Circuit, others: Iterable[Address], told: ToldWire | None) -> Circuit:
    """A circuit with more points; where their wire is not told, it is asked for the circuit."""
    points = tuple(others)
    grown = replace(circuit, join=(*circuit.join, *points))
    if told is None:
        return replace(grown, wire=circuit.wire or UNTOLD)
    leg = Leg(wire=told.wire, length_mm=told.length_mm)
    return replace(grown, legs=frozen({**circuit.legs, **dict.fromkeys(points, leg)}))
