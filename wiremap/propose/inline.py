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

MODULE, FEED = "module", "feed"  # names of its end, and of the end of a tap that feeds it
FUSE, STUD = "F1", "G1"  # names of the fuse before it and of its ground stud
TERMINATOR_OHMS = 120  # at each end of a CAN bus: ISO 11898-2


class CanPair(NamedTuple):
    """The two contacts of a CAN pair."""

    high: Address
    low: Address

    @property
    def typed(self) -> str:
        """The pair as a person types it: `loom.3/loom.4`."""
        return f"{self.high}/{self.low}"


class OwnFuse(NamedTuple):
    """The fuse before the module: its form, its amps if they are told."""

    form: str
    amps: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class InlineModule:
    """What somebody tells of a module that is cut into a pair; None or empty: not known.

    `has_leads`: it comes with wires of its own, not a plug. `cut` is the machine's pair that it is
    cut into, `to_unit` the unit's pair that this goes on to. `ports` are its pair towards the
    machine and that towards the unit, in this order only if `ports_told`. `feed` is the contact
    that feeds it, `tap` that contact's end where it is none of the plugs; `to_fuse` and `from_fuse`
    are the wires before and behind its fuse. `ground` is a thread (M6) or a contact of the machine.
    `resistors` are the sides on which a resistor of 120 ohm comes across the pair.
    """

    pinout: Pinout
    has_leads: bool
    cut: CanPair | None
    to_unit: CanPair | None
    ports: tuple[CanPair, CanPair] | None
    ports_told: bool
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
    pairs = []
    for group in groups(contacts):
        if group.kind == "can":
            by_role = dict(zip(group.roles, group.addresses, strict=True))
            pairs.append(CanPair(by_role["high"], by_role["low"]))
    place = {point: number for number, point in enumerate(contacts)}
    return tuple(sorted(pairs, key=lambda pair: place[pair.high]))


def of_class(end: str, pinout: Pinout, electrical_class: str) -> tuple[Address, ...]:
    """The contacts of an end that are of a class, as `supply` or `ground`."""
    return tuple(
        Address(end, name)
        for name, cavity in pinout.cavities.items()
        if electrical(cavity) == electrical_class and not cavity.unused
    )


def joined_through(module: InlineModule) -> tuple[tuple[Address, ...], ...]:
    """Each contact of the machine with that of the unit which it meets through the module, so that
    nobody else is proposed for them; empty while any of the three pairs is unknown.
    """
    if module.cut is None or module.to_unit is None or module.ports is None:
        return ()
    return tuple(zip(module.cut, module.to_unit, strict=True))


def left_open(module: InlineModule) -> tuple[str, ...]:
    """What of the module is not joined yet, as nobody has told it."""
    open_yet = {
        "which pair it is cut into": not joined_through(module),
        "what feeds it": module.feed is None,
        "where it is grounded": not module.ground,
    }
    return tuple(words for words, is_open in open_yet.items() if is_open)


def with_inline(job: Job, module: InlineModule) -> Job:
    """The job with the module in it; it was proposed with what is `joined_through` it settled."""
    draft = _Draft(job, module)
    draft.cut_in()
    draft.feed()
    draft.ground()
    draft.leave_empty()
    return draft.job()


class _Draft:
    """The job while the module goes in."""

    def __init__(self, job: Job, module: InlineModule) -> None:
        self.before = job
        self.module = module
        self.circuits = list(job.circuits)
        self.extras = dict(job.extras)
        self.not_joined = dict(job.not_joined)
        self.wire = None if module.has_leads else UNTOLD  # what its contacts are joined with

    def job(self) -> Job:
        """The job as it has become."""
        kind = EndKind.PIGTAIL if self.module.has_leads else EndKind.MATE
        ends = dict(self.before.ends)
        ends[MODULE] = End(name=MODULE, pinout=self.module.pinout, kind=kind, side=Side.BETWEEN)
        if self.module.tap is not None:
            ends[self.module.tap.name] = self.module.tap
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
        """Join each half of the cut pair with a port of the module."""
        module = self.module
        if module.cut is None or module.to_unit is None or module.ports is None:
            return
        near, far = module.ports
        self._join_pairs(module.cut, near, Side.MACHINE)
        self._join_pairs(far, module.to_unit, Side.UNIT)

    def _join_pairs(self, one: CanPair, other: CanPair, side: Side) -> None:
        """Join two pairs, high with high and low with low, and a resistor across them if wished."""
        resistor = self._new_resistor() if side in self.module.resistors else None
        for number, (a, b) in enumerate(zip(one, other, strict=True)):
            across = () if resistor is None else (resistor.legs[number],)
            circuit = Circuit(id=a, join=(a, b, *across), wire=self.wire)
            if not self.module.ports_told:
                circuit = replace(circuit, grade=Grade.ASK, because=PORT_REASONS)
            self.circuits.append(circuit)

    def _new_resistor(self) -> Extra:
        count = sum(extra.kind is ExtraKind.RESISTOR for extra in self.extras.values())
        made = Extra(name=f"R{count + 1}", kind=ExtraKind.RESISTOR, ohms=TERMINATOR_OHMS)
        self.extras[made.name] = made
        return made

    def feed(self) -> None:
        """The feed through a fuse of its own to every supply of the module."""
        module = self.module
        supplies = of_class(MODULE, module.pinout, "supply")
        if module.feed is None or not supplies:
            return
        amps = module.fuse.amps if module.fuse else None
        form = module.fuse.form if module.fuse else FORM_UNTOLD
        fuse = self.extras[FUSE] = Extra(
            name=FUSE, kind=ExtraKind.FUSE, detail=form, amps=amps, size_wanted=amps is None
        )
        before, behind = fuse.legs
        self._join_to(module.feed, [before], module.to_fuse)
        self._add(behind, supplies, module.from_fuse)

    def ground(self) -> None:
        """The grounds of the module, to a stud of its own or to a ground of the machine."""
        module = self.module
        grounds = of_class(MODULE, module.pinout, "ground")
        if not module.ground or not grounds:
            return
        if "." in module.ground:  # a contact's address; a thread has no dot
            self._join_to(Address.read(module.ground), grounds, module.to_ground)
            return
        self.extras[STUD] = Extra(name=STUD, kind=ExtraKind.STUD, detail=module.ground)
        first, *others = grounds
        self._add(first, (*others, Address(STUD)), module.to_ground)

    def _add(self, first: Address, others: Sequence[Address], wire_told: ToldWire | None) -> None:
        """A circuit of its own."""
        length = None if wire_told is None else wire_told.length_mm
        wire = wire_told.wire if wire_told else self.wire
        self.circuits.append(Circuit(id=first, join=(first, *others), wire=wire, length_mm=length))

    def _join_to(
        self, point: Address, others: Sequence[Address], wire_told: ToldWire | None
    ) -> None:
        """Bring contacts to a point, into the circuit that it is in already if there is one."""
        for number, circuit in enumerate(self.circuits):
            if point in circuit.join:
                self.circuits[number] = _grown(circuit, others, wire_told)
                return
        self._add(point, others, wire_told or ToldWire(UNTOLD, None))

    def leave_empty(self) -> None:
        """Cavities of the module in which nothing is."""
        for name, cavity in self.module.pinout.cavities.items():
            if cavity.unused:
                point = Address(MODULE, name)
                self.not_joined[point] = left_over(point, self.module.pinout, "")


def _grown(circuit: Circuit, others: Iterable[Address], wire_told: ToldWire | None) -> Circuit:
    """A circuit with more points; where their wire is not told, it is asked for the circuit."""
    points = tuple(others)
    grown = replace(circuit, join=(*circuit.join, *points))
    if wire_told is None:
        return replace(grown, wire=circuit.wire or UNTOLD)
    leg = Leg(wire=wire_told.wire, length_mm=wire_told.length_mm)
    return replace(grown, legs=frozen({**circuit.legs, **dict.fromkeys(points, leg)}))
