"""The way of a current through the graph, and the volts it loses on it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass

from wiremap.graph import Conductor, Harness, Net, Point, resistance_ohms
from wiremap.model import Extra, Fed
from wiremap.sizing.ampacity import running_temperature_C
from wiremap.sizing.conductor import Cable
from wiremap.sizing.fuse import rating_row
from wiremap.sizing.load import Loads, cable_of, is_machine
from wiremap.sizing.sized import OutOfRange, rule_row


@dataclass(frozen=True, slots=True)
class Stretch:
    """One part of a way: what it is, its current, its resistance at 20 C and in service."""

    name: str
    kind: str  # loom, conductor, contact, joint, fuse, stud
    amps: float
    ohms_20C: float
    ohms_hot: float
    cable: Cable | None = None

    @property
    def volts_20C(self) -> float:
        """What it loses with the copper at 20 C."""
        return self.amps * self.ohms_20C

    @property
    def volts_hot(self) -> float:
        """What it loses in service."""
        return self.amps * self.ohms_hot


def milliohm(part: str, which: str = "most") -> float:
    """Resistance of a contact, joint or stud [mohm], the least or the most expected."""
    return float(rule_row("drop.toml", "parts", part)[f"{which}_milliohm"])


class Ways:
    """Ways of a job with their resistances, at one ambient."""

    def __init__(self, harness: Harness, loads: Loads, ambient_C: float, limit_C: float) -> None:
        self.harness, self.loads, self.ambient_C, self.limit_C = harness, loads, ambient_C, limit_C
        self._ways: dict[tuple[str, float], tuple[tuple[Stretch, ...], str]] = {}
        self._backs: dict[tuple[str, float | None, float, bool], tuple[Stretch, ...] | None] = {}
        self._exits: dict[
            tuple[str, str], tuple[list[tuple[str, str, float]], list[tuple[str, str]], float]
        ] = {}

    def hot(self, wire: Cable, amps: float) -> float:
        """Resistance of a metre in service [ohm/m]; at the insulation's limit where the current would overheat it."""
        try:
            at = running_temperature_C(wire, amps, self.ambient_C)
        except OutOfRange:
            at = self.limit_C
        return wire.ohm_per_m(at)

    def wire(self, name: str, kind: str, wire: Cable, length_mm: float, amps: float) -> Stretch:
        """A stretch of one cable."""
        metres = length_mm / 1000
        return Stretch(
            name, kind, amps, metres * wire.ohm_per_m_20C, metres * self.hot(wire, amps), wire
        )

    def plain(self, name: str, kind: str, amps: float, ohms: float) -> Stretch:
        """A contact, joint, stud or fuse."""
        return Stretch(name, kind, amps, ohms, ohms)

    def along(self, a: str, b: str, amps: float, *, skip_tail_of: str = "") -> Iterator[Stretch]:
        """The stretches of the way from one point to another, joints counted, the end contacts not.

        Raises OutOfRange with the reason when a conductor's size or length is not known or no way exists.
        """
        way = self.harness.way(a, b)
        if way is None:
            raise OutOfRange(f"no way of metal from {a} to {b}")
        for _, kind, part in way:
            if isinstance(part, Conductor):
                for node in (part.a, part.b):
                    if self.harness.is_joint(node) and part.origin != "new":
                        yield self.plain(node[1:], "joint", amps, milliohm("joint") / 2000)
                if part.origin == "direct" or part.point == skip_tail_of:
                    continue
                yield self._conductor(part, amps)
            elif kind == "fuse" and isinstance(part, Extra):
                yield self.fuse(part.name, part.amps, amps)
            elif kind == "bolt":
                yield self.plain("stud", "stud", amps, milliohm("stud") / 1000)

    def _conductor(self, part: Conductor, amps: float) -> Stretch:
        wire = self.loads.cables.get(part.id)
        subject = part.point or part.circuit
        if wire is None:
            raise OutOfRange(f"the wire's size of {subject} is not known")
        if part.length_mm is None:
            raise OutOfRange(f"the wire's length of {subject} is not known")
        own = self.loads.amps.get(part.id)
        return self.wire(
            subject, "conductor", wire, part.length_mm, own if own is not None else amps
        )

    def fuse(self, name: str, rating: float | None, amps: float) -> Stretch:
        """A fuse by its drop at rated current; nothing for a rating that no table has."""
        row = rating_row(rating) if rating else None
        ohms = row["drop_millivolts"] / 1000 / row["amps"] if row else 0.0
        return self.plain(name, "fuse", amps, ohms)

    def upstream(self, point: Point, fed: Fed, amps: float) -> Iterator[Stretch]:
        """The loom between the upstream fuse and the interface, by the machine-side contact's own wire."""
        if fed.length_mm is None:
            raise OutOfRange(f"length_mm of {point.address} under `fed` is not stated")
        yield self.wire(
            f"loom of {point.address}", "loom", self.cable_at(point), fed.length_mm, amps
        )

    def cable_at(self, point: Point) -> Cable:
        """The cable of a contact's own wire; raises OutOfRange when it is not known."""
        if point.cavity is None or point.cavity.wire is None:
            raise OutOfRange(f"the wire's size of {point.address} is not known")
        return cable_of(point.cavity.wire)

    def contact(self, point: Point, amps: float) -> Stretch:
        """One mated contact, at the most expected."""
        return self.plain(point.address, "contact", amps, milliohm("contact") / 1000)

    def back(
        self, load: Point, fed: Fed, amps: float, *, by_ohms: bool = False
    ) -> tuple[Stretch, ...] | None:
        """The way back from a load's end to a machine ground or a stud: the one that loses most, or has most ohms.

        None when the end has no joined power ground or a size on the way is not known.
        """
        if load.end is None:
            return None
        key = (load.end.name, fed.length_mm, amps, by_ohms)
        if key not in self._backs:
            self._backs[key] = self._back(load, fed, amps, by_ohms)
        return self._backs[key]

    def _back(
        self, load: Point, fed: Fed, amps: float, by_ohms: bool
    ) -> tuple[Stretch, ...] | None:
        found: list[tuple[Stretch, ...]] = []
        for point in self._grounds(load):
            try:
                found.append(tuple(self._return(point, fed, amps)))
            except OutOfRange:
                continue
        return max(
            found,
            key=lambda way: sum(s.ohms_20C if by_ohms else s.volts_hot for s in way),
            default=None,
        )

    def parallel_ohms(self, load: Point, fed: Fed) -> float | None:
        """Resistance at 20 C from a load's end to battery minus with all its joined grounds side by side [ohm].

        The unit is taken to tie its grounds together inside; None when no ground of known size is joined.
        """
        nets = {
            self.harness.bench.of(p.address).name: self.harness.bench.of(p.address)
            for p in self._grounds(load)
        }
        siemens = [
            1 / ohms
            for net in nets.values()
            if 0 < (ohms := self._net_ohms(net, load, fed)) < math.inf
        ]
        return 1 / sum(siemens) if siemens else None

    def _net_ohms(self, net: Net, load: Point, fed: Fed) -> float:
        """Resistance of one ground net from the contacts of the load's end to battery minus [ohm]."""
        assert load.end is not None
        key = (net.name, load.end.name)
        if key not in self._exits:
            self._exits[key] = self._exit_ohms(net, load)
        exits = self._exits[key]
        out = [(address, self._out_ohms(address, fed)) for _, address in exits[1]]
        if len(out) == 1:
            return exits[2] + out[0][1]
        edges = [
            *exits[0],
            *((node, "battery", ohms) for (node, _), (_, ohms) in zip(exits[1], out, strict=True)),
        ]
        return resistance_ohms(edges, "unit", "battery")

    def _exit_ohms(
        self, net: Net, load: Point
    ) -> tuple[list[tuple[str, str, float]], list[tuple[str, str]], float]:
        """The net's own edges, where it leaves for the machine (node, address), and the ohms up to a single exit."""
        edges: list[tuple[str, str, float]] = []
        exits: list[tuple[str, str]] = []
        for circuit in net.circuits:
            for part in self.harness.conductors_by_circuit.get(circuit, ()):
                tail = self.harness.points.get(part.point or "")
                if tail is None or not is_machine(tail):
                    with suppress(OutOfRange):
                        edges.append((part.a, part.b, self._conductor(part, 0.0).ohms_20C))
        for address in net.points:
            point = self.harness.points[address]
            if point.end is load.end:
                edges.append(("unit", address, self.contact(point, 0.0).ohms_20C))
            elif is_machine(point):
                exits.append(
                    (next((j.node for j in self.harness.joints_at(address)), address), address)
                )
            elif point.kind == "stud":
                exits.append((address, address))
        return (
            edges,
            exits,
            resistance_ohms(edges, "unit", exits[0][0]) if len(exits) == 1 else math.inf,
        )

    def _out_ohms(self, address: str, fed: Fed) -> float:
        """From where a ground net leaves to battery minus: a stud, or a joint and the loom [ohm]."""
        point = self.harness.points[address]
        if point.kind == "stud":
            return milliohm("stud") / 1000
        try:
            loom = self.cable_at(point).ohm_per_m_20C * (fed.length_mm or 0.0) / 1000
        except OutOfRange:
            return math.inf
        return loom + milliohm("joint") / 1000

    def _grounds(self, load: Point) -> Iterator[Point]:
        for point in self.harness.points.values():
            if (
                point.end is load.end
                and point.function in ("power-ground", "frame-ground")
                and self.harness.circuits_at(point.address)
            ):
                yield point

    def _return(self, ground: Point, fed: Fed, amps: float) -> Iterator[Stretch]:
        own = ground.cavity.amps if ground.cavity and ground.cavity.amps is not None else amps
        way, address = self._to_machine(ground, min(own, amps) if own else amps)
        yield from way
        if address and fed.length_mm is not None:
            share = self.loads.net_amps(self.harness.bench.of(address)) or amps
            point = self.harness.points[address]
            yield self.wire(
                f"loom of {address}", "loom", self.cable_at(point), fed.length_mm, share
            )

    def _to_machine(self, ground: Point, amps: float) -> tuple[tuple[Stretch, ...], str]:
        """The way from a unit's ground contact to the machine's (its address, or "" for a stud); worked out once."""
        key = (ground.address, amps)
        if key not in self._ways:
            self._ways[key] = self._find_machine(ground, amps)
        return self._ways[key]

    def _find_machine(self, ground: Point, amps: float) -> tuple[tuple[Stretch, ...], str]:
        for address in self.harness.bench.of(ground.address).points:
            point = self.harness.points[address]
            if is_machine(point):
                way = self.along(ground.address, address, amps, skip_tail_of=address)
                return (self.contact(ground, amps), *way), address
            if point.kind == "stud":
                way = self.along(ground.address, address, amps)
                return (
                    self.contact(ground, amps),
                    *way,
                    self.plain(address, "stud", amps, milliohm("stud") / 1000),
                ), ""
        raise OutOfRange(f"{ground.address} leads to no machine ground and no stud")
