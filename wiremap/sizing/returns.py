"""Resistance back to battery minus with all grounds of a unit side by side."""

from __future__ import annotations

import math
from contextlib import suppress
from typing import NamedTuple

from wiremap.graph import Harness, Net, Point, resistance_ohms
from wiremap.model import Fed
from wiremap.sizing.paths import NO_OHMS, MeasuredWays, cable_at, part_ohms
from wiremap.sizing.sized import OutOfRange

UNIT = "unit"
BATTERY = "battery"
Edge = tuple[str, str, float]


class Exit(NamedTuple):
    """Where a ground net leaves for the machine: its node, and the contact or stud there."""

    node: str
    address: str


class Exits(NamedTuple):
    """A ground net's own edges, where it leaves, and the ohms up to a single exit."""

    edges: list[Edge]
    exits: list[Exit]
    single_ohms: float


class Returns:
    """The ground nets of a job, each looked at once."""

    def __init__(self, harness: Harness, ways: MeasuredWays) -> None:
        self.harness = harness
        self.ways = ways
        self._exits: dict[tuple[str, str], Exits] = {}

    def parallel_ohms(self, load: Point, fed: Fed) -> float | None:
        """Resistance at 20 C from a load's end to battery minus, its joined grounds abreast [ohm].

        The unit is taken to tie its grounds together inside; None when no ground of known size is
        joined.
        """
        nets: dict[str, Net] = {}
        for point in self.ways.grounds(load):
            net = self.ways.loads.bench.of(point.address)
            nets[net.name] = net
        abreast = [self._net_ohms(net, load, fed) for net in nets.values()]
        siemens = sum(1 / ohms for ohms in abreast if ohms)
        return 1 / siemens if siemens else None

    def _net_ohms(self, net: Net, load: Point, fed: Fed) -> float:
        """Resistance of one ground net from the load's contacts to battery minus [ohm]."""
        assert load.end is not None
        key = (net.name, load.end.name)
        if key not in self._exits:
            self._exits[key] = self._leaving(net, load)
        edges, exits, single_ohms = self._exits[key]
        if len(exits) == 1:
            return single_ohms + self._out_ohms(exits[0].address, fed)
        out = [(leaving.node, BATTERY, self._out_ohms(leaving.address, fed)) for leaving in exits]
        return resistance_ohms([*edges, *out], UNIT, BATTERY)

    def _leaving(self, net: Net, load: Point) -> Exits:
        """A ground net as it is seen from a load's end: the unit's contacts, and the ways out."""
        edges = self._wires(net)
        exits: list[Exit] = []
        for address in net.points:
            point = self.harness.points[address]
            if point.end is load.end:
                edges.append((UNIT, address, part_ohms("contact")))
            elif point.is_machine:
                exits.append(Exit(self._node(address), address))
            elif point.is_stud:
                exits.append(Exit(address, address))
        ohms = math.inf
        if len(exits) == 1:
            ohms = resistance_ohms(edges, UNIT, exits[0].node)
        return Exits(edges, exits, ohms)

    def _wires(self, net: Net) -> list[Edge]:
        """The conductors of a net that are of known size; the machine's own tails left out."""
        found: list[Edge] = []
        for circuit in net.circuits:
            for part in self.harness.conductors_by_circuit.get(circuit, ()):
                tail = self.harness.points.get(part.point or "")
                if tail is not None and tail.is_machine:
                    continue
                with suppress(OutOfRange):
                    found.append((part.a, part.b, self.ways.conductor(part, 0.0).ohms_20C))
        for extra in self.ways.loads.series:
            one, two = extra.legs
            if one in net:
                found.append((one, two, extra.ohms or NO_OHMS))
        return found

    def _node(self, address: str) -> str:
        """The joint that a machine's tail ends in, or its contact where there is none."""
        for joint in self.harness.joints_at(address):
            return joint.node
        return address

    def _out_ohms(self, address: str, fed: Fed) -> float:
        """From where a net leaves to battery minus: a stud, or a joint and the loom [ohm]."""
        point = self.harness.points[address]
        if point.is_stud:
            return part_ohms("stud")
        try:
            ohm_per_m = cable_at(point).ohm_per_m_20C
        except OutOfRange:
            return math.inf
        metres = (fed.length_mm or 0.0) / 1000
        return ohm_per_m * metres + part_ohms("joint")
