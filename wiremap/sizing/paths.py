"""The way of a current through the graph, and the volts it loses on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.graph import Bond, BondOrigin, Conductor, Harness, Point
from wiremap.model import Extra, Fed
from wiremap.sizing.conductor import Cable
from wiremap.sizing.fuse_limits import rating_row
from wiremap.sizing.heat import running_temperature_C
from wiremap.sizing.load import Loads, cable_of
from wiremap.sizing.series import DIODE, RESISTOR, diode_volts
from wiremap.sizing.sized import OutOfRange
from wiremap.trade.tables import figure

NO_OHMS = 0.0  # of what nobody states or no table has
GROUNDS = ("power-ground", "frame-ground")


@dataclass(frozen=True, slots=True)
class PathPart:
    """One part of a way: what it is, its current, its resistance at 20 C and in service."""

    name: str
    kind: str  # source, loom, conductor, contact, joint, fuse, upstream fuse, stud, diode, resistor
    amps: float
    ohms_20C: float
    ohms_hot: float
    cable: Cable | None = None

    @property
    def volts_20C(self) -> float:
        """What it loses with the copper at 20 C [V]."""
        return self.amps * self.ohms_20C

    @property
    def volts_hot(self) -> float:
        """What it loses in service [V]."""
        return self.amps * self.ohms_hot


def milliohm(part: str, which: str = "most") -> float:
    """Resistance of a contact, joint or stud [mohm], the least or the most expected.

    Raises KeyError for another part.  Sources: a drive manual (read), common practice.
    """
    return figure("drop.toml", "parts", part, f"{which}_milliohm")


def part_ohms(part: str) -> float:
    """Most resistance expected of a contact, joint or stud [ohm]; raises KeyError."""
    return milliohm(part) / 1000


class MeasuredWays:
    """Ways of a job with their resistances, at one ambient."""

    def __init__(self, harness: Harness, loads: Loads, ambient_C: float, limit_C: float) -> None:
        self.harness = harness
        self.loads = loads
        self.ambient_C = ambient_C
        self.limit_C = limit_C
        self._ways: dict[tuple[str, float], tuple[tuple[PathPart, ...], str]] = {}
        self._backs: dict[tuple[str, float | None, float, bool], tuple[PathPart, ...] | None] = {}

    def hot(self, wire: Cable, amps: float) -> float:
        """Resistance of a metre in service [ohm/m]; at the limit where it would overheat.

        Raises OutOfRange for a limit at which copper's resistance is not known.
        """
        try:
            return wire.ohm_per_m(running_temperature_C(wire, amps, self.ambient_C))
        except OutOfRange:
            return wire.ohm_per_m(self.limit_C)

    def _wire(self, name: str, kind: str, wire: Cable, length_mm: float, amps: float) -> PathPart:
        metres = length_mm / 1000
        cold = metres * wire.ohm_per_m_20C
        return PathPart(name, kind, amps, cold, metres * self.hot(wire, amps), wire)

    def along(self, a: str, b: str, amps: float, *, skip_tail_of: str = "") -> Iterator[PathPart]:
        """The parts of the way from one point to another, joints counted, end contacts not.

        The tail of `skip_tail_of` is left out, where it was counted already as the machine's loom.
        Raises OutOfRange with the reason when a conductor's size or length is not known or no
        way exists.
        """
        way = self.harness.way(a, b, self.loads.series)
        if way is None:
            raise OutOfRange(f"no way of metal from {a} to {b}")
        for step in way:
            part = step.part
            if isinstance(part, Conductor):
                yield from self._joints(part, amps)
                if part.has_length and part.point != skip_tail_of:
                    yield self.conductor(part, amps)
            elif step.kind == "fuse" and isinstance(part, Extra):
                yield self.fuse(part.name, part.amps, amps)
            elif step.kind == "bolt":
                yield _plain("stud", "stud", amps, part_ohms("stud"))
            elif isinstance(part, Bond):
                yield self._part(part, amps)

    def _part(self, part: Bond, amps: float) -> PathPart:
        """A diode by its forward volts, a resistor by its ohms."""
        if part.origin == BondOrigin.DIODE:
            return _plain(part.name, DIODE, amps, diode_volts() / amps if amps else NO_OHMS)
        return _plain(part.name, RESISTOR, amps, part.ohms.high)

    def _joints(self, part: Conductor, amps: float) -> Iterator[PathPart]:
        """Half of each joint that a conductor ends in: the other half is its neighbour's."""
        if part.is_new:
            return
        for node in (part.a, part.b):
            if self.harness.is_joint(node):
                yield _plain(node[1:], "joint", amps, part_ohms("joint") / 2)

    def conductor(self, part: Conductor, amps: float) -> PathPart:
        """One conductor with its own current, or `amps` where that is not known.

        Raises OutOfRange when its size or length is not known.
        """
        wire = self.loads.cables.get(part.id)
        subject = part.point or part.circuit
        if wire is None:
            raise OutOfRange(f"the wire's size of {subject} is not known")
        if part.length_mm is None:
            raise OutOfRange(f"the wire's length of {subject} is not known")
        own = self.loads.amps.get(part.id)
        carried = amps if own is None else own
        return self._wire(subject, "conductor", wire, part.length_mm, carried)

    def fuse(self, name: str, rating: float | None, amps: float, *, kind: str = "fuse") -> PathPart:
        """A fuse by its drop at rated current; nothing for a rating that no table has."""
        row = rating_row(rating) if rating else None
        ohms = row["drop_millivolts"] / 1000 / row["amps"] if row is not None else NO_OHMS
        return _plain(name, kind, amps, ohms)

    def source(self, point: Point, fed: Fed, amps: float) -> Iterator[PathPart]:
        """Battery and its cable before the upstream fuse; nothing where no ohms are stated."""
        if fed.milliohm:
            yield _plain(f"source of {point.address}", "source", amps, fed.milliohm / 1000)

    def upstream(self, point: Point, fed: Fed, amps: float) -> Iterator[PathPart]:
        """The loom between the upstream fuse and the interface, of the contact's own wire.

        Raises OutOfRange when its length or size is not stated.
        """
        if fed.length_mm is None:
            raise OutOfRange(f"the length of the feed to {point.address} is not stated")
        yield self._loom(point, fed.length_mm, amps)

    def _loom(self, point: Point, length_mm: float, amps: float) -> PathPart:
        name = f"loom of {point.address}"
        return self._wire(name, "loom", cable_at(point), length_mm, amps)

    def contact(self, point: Point, amps: float) -> PathPart:
        """One mated contact, at the most expected."""
        return _plain(point.address, "contact", amps, part_ohms("contact"))

    def back(
        self, load: Point, fed: Fed, amps: float, *, by_ohms: bool = False
    ) -> tuple[PathPart, ...] | None:
        """The way back from a load's end to a machine ground or a stud.

        The one that loses most, or has most ohms.  None when the end has no joined power ground
        or a size on the way is not known.
        """
        if load.end is None:
            return None
        key = (load.end.name, fed.length_mm, amps, by_ohms)
        if key not in self._backs:
            self._backs[key] = self._back(load, fed, amps, by_ohms=by_ohms)
        return self._backs[key]

    def _back(
        self, load: Point, fed: Fed, amps: float, *, by_ohms: bool
    ) -> tuple[PathPart, ...] | None:
        ways: list[tuple[PathPart, ...]] = []
        for point in self.grounds(load):
            try:
                ways.append(tuple(self._return(point, fed, amps)))
            except OutOfRange:  # a size or length on it is not known
                continue

        def weight(way: tuple[PathPart, ...]) -> float:
            return sum(part.ohms_20C if by_ohms else part.volts_hot for part in way)

        return max(ways, key=weight, default=None)

    def grounds(self, load: Point) -> Iterator[Point]:
        """Every joined power or frame ground of a load's end."""
        for point in self.harness.points.values():
            if point.end is not load.end or point.function not in GROUNDS:
                continue
            if self.harness.circuits_at(point.address):
                yield point

    def _return(self, ground: Point, fed: Fed, amps: float) -> Iterator[PathPart]:
        """From one ground contact of a unit to battery minus, carrying at most its own amps."""
        own = ground.cavity.amps if ground.cavity else None
        carried = min(own, amps) if own else amps
        way, address = self._to_machine(ground, carried)
        yield from way
        if address and fed.length_mm is not None:
            share = self.loads.net_amps(self.loads.bench.of(address)) or amps
            yield self._loom(self.harness.points[address], fed.length_mm, share)

    def _to_machine(self, ground: Point, amps: float) -> tuple[tuple[PathPart, ...], str]:
        """The way from a unit's ground contact to the machine's, whose address goes with it.

        The address is "" for a stud.  Worked out once.
        """
        key = (ground.address, amps)
        if key not in self._ways:
            self._ways[key] = self._find_machine(ground, amps)
        return self._ways[key]

    def _find_machine(self, ground: Point, amps: float) -> tuple[tuple[PathPart, ...], str]:
        contact = self.contact(ground, amps)
        for address in self.loads.bench.of(ground.address).points:
            point = self.harness.points[address]
            if point.is_machine:
                way = self.along(ground.address, address, amps, skip_tail_of=address)
                return (contact, *way), address
            if point.is_stud:
                way = self.along(ground.address, address, amps)
                stud = _plain(address, "stud", amps, part_ohms("stud"))
                return (contact, *way, stud), ""
        raise OutOfRange(f"{ground.address} leads to no machine ground and no stud")


def _plain(name: str, kind: str, amps: float, ohms: float) -> PathPart:
    """A contact, joint, stud or fuse: as many ohms warm as cold."""
    return PathPart(name, kind, amps, ohms, ohms)


def cable_at(point: Point) -> Cable:
    """The cable of a contact's own wire; raises OutOfRange when it is not known."""
    if point.cavity is None or point.cavity.wire is None:
        raise OutOfRange(f"the wire's size of {point.address} is not known")
    return cable_of(point.cavity.wire)
