"""What the graph is made of: points, conductors, joints, bonds with ohms, nets, misfits."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wiremap.base import Place
from wiremap.graph.fingerprints import fingerprint
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
