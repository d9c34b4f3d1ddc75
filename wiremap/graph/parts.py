"""What the graph is made of: points, conductors, joints, bonds with ohms, nets, misfits."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from wiremap.base import Place
from wiremap.model import Address, Cavity, End, Extra, Span, Wire


class PointKind(StrEnum):
    """What a probe or a wire can name."""

    CAVITY = "cavity"
    LEG = "leg"
    STUD = "stud"
    CHASSIS = "chassis"


class Reach(StrEnum):
    """Where a probe finds a point; a joint only before its sleeve is shrunk."""

    FACE = "face"
    JOINT = "joint"
    HOLDER = "holder"
    FAR_END = "far-end"
    NONE = "none"


class BondOrigin(StrEnum):
    """What a bond is."""

    RESISTOR = "resistor"
    DIODE = "diode"
    INSIDE = "inside"  # of a unit
    BEHIND = "behind"  # a machine's loom
    SWITCH = "switch"  # of a unit


class ConductorOrigin(StrEnum):
    """Where a conductor comes from, and so whether somebody cuts it."""

    TAIL = "tail"  # comes with the connector
    NEW = "new"  # to be cut
    LEAD = "lead"  # of a resistor or diode
    DIRECT = "direct"  # no length of its own: the joint sits on a wire that stays in service


class LinkKind(StrEnum):
    """What an edge of the graph is; a bond's edge has the word of its origin."""

    CONDUCTOR = "conductor"
    FUSE = "fuse"
    BOLT = "bolt"
    BRIDGE = "bridge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A place that a probe or a wire can name: a cavity, an extra's leg, a stud, or the chassis."""

    address: Address
    kind: PointKind
    owner: str  # end or extra
    cavity: Cavity | None = None
    end: End | None = None
    extra: Extra | None = None

    @property
    def function(self) -> str:
        """The slug of its signal; `unknown` for what carries none of its own."""
        return self.cavity.reading.function if self.cavity else "unknown"

    @property
    def place(self) -> Place | None:
        """Where it is described."""
        owner = self.cavity or self.extra or self.end
        return owner.place if owner else None

    @property
    def brings_lead(self) -> bool:
        """Whether a conductor of its own comes with it: a tail's contact, a part's leg."""
        if self.end is not None:
            return self.end.has_tail
        return self.extra is not None and self.extra.kind in ("resistor", "diode")

    @property
    def is_tap(self) -> bool:
        """Whether it is a wire that stays in service and gets a T."""
        return self.end is not None and self.end.is_tap

    @property
    def is_machine(self) -> bool:
        """Whether it belongs to an end on the machine's side."""
        return self.end is not None and self.end.is_machine

    @property
    def is_stud(self) -> bool:
        """Whether a ring is bolted on here."""
        return self.kind == PointKind.STUD


@dataclass(frozen=True, slots=True, kw_only=True)
class Conductor:
    """One piece of wire between two nodes (points or joints)."""

    id: str
    circuit: str
    a: str
    b: str
    wire: Wire | None
    length_mm: float | None
    origin: ConductorOrigin
    point: Address | None = None  # the contact it belongs to, if one: `a` is that contact

    @property
    def is_tail(self) -> bool:
        """Whether it comes with a connector."""
        return self.origin == ConductorOrigin.TAIL

    @property
    def is_new(self) -> bool:
        """Whether somebody cuts it to length."""
        return self.origin == ConductorOrigin.NEW

    @property
    def is_lead(self) -> bool:
        """Whether it is a lead of a resistor or diode."""
        return self.origin == ConductorOrigin.LEAD

    @property
    def has_length(self) -> bool:
        """Whether its length counts: that of a part's lead and of a direct one is none."""
        return self.origin not in (ConductorOrigin.LEAD, ConductorOrigin.DIRECT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A splice: where the conductors of one circuit are made one."""

    id: str
    circuit: str
    node: str
    kind: str | None  # butt-crimp, open-barrel, lap-solder, solder-sleeve
    conductors: tuple[str, ...]  # ids
    points: tuple[Address, ...]  # the contacts whose wires meet here
    at_mm: float | None
    supported: bool
    tap: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Bond:
    """A connection with ohms, which is no metal: a resistor, a diode, a unit's inside, a load.

    A diode conducts from `a` to `b`.  `end` owns an inside, behind or switch; `state` of a switch
    is on, off or None (nobody has answered).
    """

    a: str
    b: str
    ohms: Span
    origin: BondOrigin
    name: str = ""
    end: str | None = None
    when: str | None = None
    state: str | None = None
    place: Place | None


@dataclass(frozen=True, slots=True)
class Net:
    """Points that are one: metal, section or intent."""

    name: str
    points: tuple[str, ...]  # addresses, sorted; no joints
    circuits: tuple[str, ...]  # ids, sorted

    @property
    def first(self) -> str:
        """The first of its points, which stands for all."""
        first, *_ = self.points
        return first

    @property
    def fingerprint(self) -> str:
        """First 12 hex digits of SHA-256 over the sorted addresses."""
        return fingerprint(self.points)

    def __contains__(self, address: object) -> bool:
        return address in self.points


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """Something a circuit asks for that cannot be built as written.

    `kind`: unknown-point, used-twice, wire-needed, one-point.
    """

    kind: str
    circuit: str
    address: str = ""
    place: Place | None = None
    other: Place | None = None  # used-twice: where the point is named first,
    other_circuit: str = ""  # and by which circuit
    near: tuple[str, ...] = ()  # unknown-point: addresses spelled like it


def fingerprint(addresses: Iterable[str]) -> str:
    """First 12 hex digits of SHA-256 over the sorted addresses, one a line."""
    return _short_digest("\n".join(sorted(addresses)))


def cavity_fingerprint(cavity: Cavity) -> str:
    """The fingerprint of what an entry about one cavity rests on: function, volts, wire colour.

    The size of the wire says nothing of which contact it is, nor does the spelling of its colour.
    """
    colour = cavity.wire.colour if cavity.wire else None
    return _cavity_digest(cavity, colour.canonical if colour else "")


def cavity_fingerprints(cavity: Cavity) -> frozenset[str]:
    """Every fingerprint under which an entry speaks of the cavity as it stands.

    Volts or a wire that were stated after the entry was written do not make it void; and its
    fingerprint may hold the wire's colour in any spelling, with the wire's size or without.
    """
    without_volts = cavity if cavity.volts is None else replace(cavity, volts=None)
    spellings = _wire_spellings(cavity.wire)
    return frozenset(
        _cavity_digest(each, wire) for each in (cavity, without_volts) for wire in spellings
    )


def _wire_spellings(wire: Wire | None) -> frozenset[str]:
    if wire is None:
        return frozenset({""})
    colour = wire.colour
    if colour is None:
        return frozenset({"", wire.written})
    return frozenset({"", wire.written, colour.written, colour.canonical, colour.word, colour.iec})


def _cavity_digest(cavity: Cavity, wire: str) -> str:
    return _short_digest(f"{cavity.function}\n{cavity.volts or ''}\n{wire}")


def _short_digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:12]
