"""The way of a current through the graph, and the volts it loses on it."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass

from wiremap.graph import Conductor, Harness, Point, resistance_ohms
from wiremap.model import Extra, Fed
from wiremap.sizing.ampacity import running_temperature_C
from wiremap.sizing.conductor import Cable
from wiremap.sizing.fuse import rating_row
from wiremap.sizing.load import Loads, cable_of, is_machine
from wiremap.sizing.sized import OutOfRange, rule_row

WAY = frozenset({"conductor", "fuse", "bolt"})


@dataclass(frozen=True, slots=True)
class Stretch:
    """One part of a way: what it is, its current, its resistance at 20 C and in service."""

    name: str
    kind: str                 # loom, conductor, contact, joint, fuse, stud
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


def route(harness: Harness, a: str, b: str) -> list[tuple[str, object]] | None:
    """The shortest way of metal between two points as (kind, part); None when there is none."""
    seen: dict[str, tuple[str, str, object] | None] = {a: None}
    queue = deque([a])
    while queue:
        node = queue.popleft()
        if node == b:
            break
        for other, edges in harness.graph.adj[node].items():
            if other in seen or (other == "chassis" and b != "chassis"):
                continue
            for data in edges.values():
                if data["kind"] in WAY:
                    seen[other] = (node, data["kind"], data["part"])
                    queue.append(other)
                    break
    if b not in seen:
        return None
    way: list[tuple[str, object]] = []
    at = b
    while (step := seen[at]) is not None:
        at, kind, part = step
        way.append((kind, part))
    return way[::-1]


def milliohm(part: str, which: str = "most") -> float:
    """Resistance of a contact, joint or stud [mohm], the least or the most expected."""
    return float(rule_row("drop.toml", "parts", part)[f"{which}_milliohm"])


class Ways:
    """Ways of a job with their resistances, at one ambient."""

    def __init__(self, harness: Harness, loads: Loads, ambient_C: float, limit_C: float) -> None:
        self.harness, self.loads, self.ambient_C, self.limit_C = harness, loads, ambient_C, limit_C

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
        return Stretch(name, kind, amps, metres * wire.ohm_per_m_20C, metres * self.hot(wire, amps), wire)

    def plain(self, name: str, kind: str, amps: float, ohms: float) -> Stretch:
        """A contact, joint, stud or fuse."""
        return Stretch(name, kind, amps, ohms, ohms)

    def along(self, a: str, b: str, amps: float, *, skip_tail_of: str = "") -> Iterator[Stretch]:
        """The stretches of the way from one point to another, joints counted, the end contacts not.

        Raises OutOfRange with the reason when a conductor's size or length is not known or no way exists.
        """
        way = route(self.harness, a, b)
        if way is None:
            raise OutOfRange(f"no way of metal from {a} to {b}")
        for kind, part in way:
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
        return self.wire(subject, "conductor", wire, part.length_mm, own if own is not None else amps)

    def fuse(self, name: str, rating: float | None, amps: float) -> Stretch:
        """A fuse by its drop at rated current; nothing for a rating that no table has."""
        row = rating_row(rating) if rating else None
        ohms = row["drop_millivolts"] / 1000 / row["amps"] if row else 0.0
        return self.plain(name, "fuse", amps, ohms)

    def upstream(self, point: Point, fed: Fed, amps: float) -> Iterator[Stretch]:
        """The loom between the upstream fuse and the interface, by the machine-side contact's own wire."""
        if fed.length_mm is None:
            raise OutOfRange(f"length_mm of {point.address} under `fed` is not stated")
        yield self.wire(f"loom of {point.address}", "loom", self.cable_at(point), fed.length_mm, amps)

    def cable_at(self, point: Point) -> Cable:
        """The cable of a contact's own wire; raises OutOfRange when it is not known."""
        if point.cavity is None or point.cavity.wire is None:
            raise OutOfRange(f"the wire's size of {point.address} is not known")
        return cable_of(point.cavity.wire)

    def contact(self, point: Point, amps: float) -> Stretch:
        """One mated contact, at the most expected."""
        return self.plain(point.address, "contact", amps, milliohm("contact") / 1000)

    def back(self, load: Point, fed: Fed, amps: float, *, by_ohms: bool = False) -> tuple[Stretch, ...] | None:
        """The way back from a load's end to a machine ground or a stud: the one that loses most, or has most ohms.

        None when the end has no joined power ground or a size on the way is not known.
        """
        found: list[tuple[Stretch, ...]] = []
        for point in self._grounds(load) if load.end else ():
            try:
                found.append(tuple(self._return(point, fed, amps)))
            except OutOfRange:
                continue
        return max(found, key=lambda way: sum(s.ohms_20C if by_ohms else s.volts_hot for s in way), default=None)

    def parallel_ohms(self, load: Point, fed: Fed, amps: float) -> float | None:
        """Resistance at 20 C from a load's end to battery minus with all its joined grounds side by side [ohm].

        The unit is taken to tie its grounds together inside; None when no ground of known size is joined.
        """
        edges: list[tuple[str, str, float]] = []
        machine: set[str] = set()
        for point in self._grounds(load):
            net = self.harness.bench.of(point.address)
            edges.append(("unit", point.address, self.contact(point, amps).ohms_20C))
            for circuit in net.circuits:
                for part in self.harness.conductors_by_circuit.get(circuit, ()):
                    tail = self.harness.points.get(part.point or "")
                    if tail is not None and is_machine(tail):
                        continue
                    with suppress(OutOfRange):
                        edges.append((part.a, part.b, self._conductor(part, amps).ohms_20C))
            machine |= set(net.points)
        for address in sorted(machine):
            point = self.harness.points[address]
            if is_machine(point):
                node = next((n for j in self.harness.joints_at(address) for n in (j.node,)), address)
                with suppress(OutOfRange):
                    loom = self.wire(address, "loom", self.cable_at(point), fed.length_mm or 0.0, amps).ohms_20C
                    edges.append((node, "battery", loom + milliohm("joint") / 1000))
            elif point.kind == "stud":
                edges.append((address, "battery", milliohm("stud") / 1000))
        ohms = resistance_ohms(dict.fromkeys(edges), "unit", "battery")
        return ohms if math.isfinite(ohms) else None

    def _grounds(self, load: Point) -> Iterator[Point]:
        for point in self.harness.points.values():
            if point.end is load.end and point.function in ("power-ground", "frame-ground") \
                    and self.harness.circuits_at(point.address):
                yield point

    def _return(self, ground: Point, fed: Fed, amps: float) -> Iterator[Stretch]:
        own = ground.cavity.amps if ground.cavity and ground.cavity.amps is not None else amps
        yield self.contact(ground, min(own, amps) if own else amps)
        net = self.harness.bench.of(ground.address)
        for address in net.points:
            point = self.harness.points[address]
            if is_machine(point):
                share = self.loads.net_amps(net) or amps
                yield from self.along(ground.address, address, amps, skip_tail_of=address)
                if fed.length_mm is not None:
                    yield self.wire(f"loom of {address}", "loom", self.cable_at(point), fed.length_mm, share)
                return
            if point.kind == "stud":
                yield from self.along(ground.address, address, amps)
                yield self.plain(address, "stud", amps, milliohm("stud") / 1000)
                return
        raise OutOfRange(f"{ground.address} leads to no machine ground and no stud")
