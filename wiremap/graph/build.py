"""From the job to the graph: every circuit becomes conductors and joints, every part its edge."""

from __future__ import annotations

import difflib
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import networkx as nx

from wiremap.base import Place
from wiremap.graph.bridges import bridged
from wiremap.graph.parts import (
    Bond,
    BondOrigin,
    Conductor,
    ConductorOrigin,
    Joint,
    LinkKind,
    Misfit,
    Point,
    PointKind,
)
from wiremap.model import (
    CHASSIS,
    Address,
    Circuit,
    End,
    Extra,
    ExtraKind,
    Job,
    Leg,
    Link,
    Span,
    Wire,
)

JOINT = "~"  # first letter of a joint's node: no address begins with it
UNKNOWN_OHMS = Span(0.0, float("inf"))
MOST_NEAR, NEAR = 3, 0.5  # addresses that are told as like a mistyped one, and how like they are
NEAR_POOL = 500  # addresses that a mistyped one is held against
NO_LEG = Leg()  # of which nothing is stated
Stated = TypeVar("Stated")


@dataclass(frozen=True, slots=True)
class Member:
    """A point whose wire ends in a joint, and the conductor that comes from it."""

    point: Point
    conductor: Conductor


class Draft:
    """The graph while it grows; `wiremap.graph.Harness` reads the finished one."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.points: dict[str, Point] = {p.address: p for p in _points(job)}
        self.conductors: dict[str, Conductor] = {}
        self.joints: dict[str, Joint] = {}
        self.bonds: list[Bond] = []
        self.misfits: list[Misfit] = []
        self.circuits_at: dict[str, list[str]] = defaultdict(list)
        self._run_mm = _runs(job)
        for circuit in job.circuits:
            self._circuit(circuit)
        self._part_bonds()
        for end in job.ends.values():
            self._end_bonds(end)
        self.graph = self._graph()

    # -- circuits ---------------------------------------------------------------------------------

    def _circuit(self, circuit: Circuit) -> None:
        present = list(self._present(circuit))
        match present:
            case [] | [_]:
                if len(set(circuit.join)) < 2:
                    self._misfit("one-point", circuit, "".join(point.address for point in present))
            case [one, two] if circuit.wire is None and not circuit.legs:
                self._pair(circuit, one, two)
            case [one, two]:
                self._wired_pair(circuit, one, two)
            case _:
                self._star(circuit, present)

    def _present(self, circuit: Circuit) -> Iterator[Point]:
        """The points of a circuit that the job has, each once; the rest become misfits."""
        seen: set[str] = set()
        for i, address in enumerate(circuit.join):
            place = _join_place(circuit, i)
            point = self.points.get(address)
            if point is None or address == CHASSIS:
                near = self._near(address)
                self._misfit("unknown-point", circuit, address, place=place, near=near)
                continue
            used_by = self.circuits_at[address]
            if used_by or address in seen:
                first = next(iter(used_by), circuit.id)
                where = self._first_place(address)
                self._misfit(
                    "used-twice", circuit, address, place=place, other=where, other_circuit=first
                )
            if address in seen:
                continue
            seen.add(address)
            used_by.append(circuit.id)
            yield point

    def _misfit(self, kind: str, circuit: Circuit, address: str, **facts: Any) -> None:
        """Tell what a circuit asks for that cannot be built as written."""
        known = {"place": circuit.place, **facts}
        self.misfits.append(Misfit(kind=kind, circuit=circuit.id, address=address, **known))

    def _first_place(self, address: str) -> Place | None:
        """Where the first circuit that names a point names it."""
        for circuit in self.job.circuits:
            if address in circuit.join:
                return _join_place(circuit, circuit.join.index(address))
        return None

    def _near(self, address: str) -> tuple[str, ...]:
        """Addresses spelled like one that the job has not, those of its own end if it has that."""
        owner = Address.read(address).end
        pool = [a for a, p in self.points.items() if p.owner == owner] or list(self.points)
        return tuple(difflib.get_close_matches(address, pool[:NEAR_POOL], n=MOST_NEAR, cutoff=NEAR))

    def _pair(self, circuit: Circuit, one: Point, two: Point) -> None:
        """Two points, and no wire of the circuit's own."""
        node = _node(circuit.id)
        if one.brings_lead and two.brings_lead:
            tails = [self._tail(circuit, one, node), self._tail(circuit, two, node)]
            self._join(circuit, circuit.id, tails)
        elif one.brings_lead:
            self._lead_to(circuit, one, two)
        elif two.brings_lead:
            self._lead_to(circuit, two, one)
        elif one.is_tap and two.is_tap:
            both = [_direct(circuit, one, node), _direct(circuit, two, node)]
            self._join(circuit, circuit.id, both)
        else:
            self._wire_needed(circuit, one.address)
            self._new_between(circuit, one.address, two.address)

    def _lead_to(self, circuit: Circuit, lead: Point, other: Point) -> None:
        """One lead to a point without any: crimped straight in, or a joint at a tap."""
        if other.is_tap:
            node = _node(circuit.id)
            both = [self._tail(circuit, lead, node), _direct(circuit, other, node)]
            self._join(circuit, circuit.id, both)
        else:
            self._conduct(self._tail(circuit, lead, other.address).conductor)

    def _wired_pair(self, circuit: Circuit, one: Point, two: Point) -> None:
        """Two points and a new wire between them, with a joint at each lead and each tap."""
        joined = [p for p in (one, two) if p.brings_lead or p.is_tap]
        nodes: list[str] = []
        for point in (one, two):
            if point not in joined:
                nodes.append(point.address)
                continue
            joint_id = circuit.id if joined == [point] else f"{circuit.id}@{point.address}"
            node = _node(joint_id)
            tapped = point.is_tap
            own = _direct(circuit, point, node) if tapped else self._tail(circuit, point, node)
            nodes.append(self._join(circuit, joint_id, [own], also=_new_id(circuit)))
        self._new_between(circuit, *nodes)

    def _star(self, circuit: Circuit, points: Sequence[Point]) -> None:
        """Three points or more: one joint, each leg a conductor."""
        members = [self._leg(circuit, point) for point in points]
        self._join(circuit, circuit.id, members)

    def _leg(self, circuit: Circuit, point: Point) -> Member:
        leg = circuit.legs.get(point.address, NO_LEG)
        node = _node(circuit.id)
        if point.brings_lead:
            return self._tail(circuit, point, node, leg.at_mm)
        wire = leg.wire or circuit.wire
        if wire is None and point.is_tap:
            return _direct(circuit, point, node)
        if wire is None:
            self._wire_needed(circuit, point.address)
        length = _first_stated(leg.length_mm, circuit.length_mm)
        new = ConductorOrigin.NEW
        return _own(circuit, point, node, origin=new, wire=wire, length_mm=length)

    def _new_between(self, circuit: Circuit, a: str, b: str) -> None:
        self._conduct(
            Conductor(
                id=_new_id(circuit),
                circuit=circuit.id,
                a=a,
                b=b,
                wire=_new_wire(circuit),
                length_mm=_new_length(circuit),
                origin=ConductorOrigin.NEW,
            )
        )

    def _wire_needed(self, circuit: Circuit, address: str) -> None:
        """Tell that nothing leads to a point; it is joined all the same, as the intent is clear."""
        self._misfit("wire-needed", circuit, address)

    def _tail(
        self, circuit: Circuit, point: Point, node: str, at_mm: float | None = None
    ) -> Member:
        """The wire that comes with a point, laid to a node."""
        if point.extra is not None:
            return _own(circuit, point, node, origin=ConductorOrigin.LEAD)
        assert point.end is not None and point.cavity is not None
        length = self._tail_mm(circuit, point.end, circuit.at_mm if at_mm is None else at_mm)
        wire, tail = point.cavity.wire, ConductorOrigin.TAIL
        return _own(circuit, point, node, origin=tail, wire=wire, length_mm=length)

    def _tail_mm(self, circuit: Circuit, end: End, at_mm: float | None) -> float | None:
        """How long a tail is once it has been cut for its joint; whole where none is placed.

        With a wire of the circuit's own each tail has a joint of its own, which `at_mm` is not of.
        """
        if at_mm is None or circuit.wire is not None:
            return end.tail_mm
        if end.is_machine:
            return at_mm
        for other in sorted(self._machine_ends(circuit)):
            run = self._run_mm.get(frozenset((other, end.name)))
            if run is not None:
                return run - at_mm
        return end.tail_mm

    def _machine_ends(self, circuit: Circuit) -> set[str]:
        """The names of the machine-side ends that a circuit joins."""
        found = set()
        for address in circuit.join:
            point = self.points.get(address)
            if point is not None and point.end is not None and point.is_machine:
                found.add(point.end.name)
        return found

    def _join(
        self, circuit: Circuit, joint_id: str, members: Sequence[Member], also: str | None = None
    ) -> str:
        """The node of a new joint where members end; `also` is the id of a wire that begins
        there.
        """
        node = _node(joint_id)
        for member in members:
            self._conduct(member.conductor)
        conductors = [member.conductor.id for member in members]
        if also is not None:
            conductors.append(also)
        points = tuple(member.point.address for member in members)
        leg = NO_LEG
        match points:
            case [point]:
                leg = circuit.legs.get(point, NO_LEG)
        self.joints[joint_id] = Joint(
            id=joint_id,
            circuit=circuit.id,
            node=node,
            kind=circuit.joint,
            conductors=tuple(conductors),
            points=points,
            at_mm=_first_stated(leg.at_mm, circuit.at_mm),
            supported=circuit.supported,
            tap=any(member.point.is_tap for member in members),
        )
        return node

    def _conduct(self, conductor: Conductor) -> None:
        self.conductors[conductor.id] = conductor

    # -- parts ------------------------------------------------------------------------------------

    def _part_bonds(self) -> None:
        for extra in self.job.extras.values():
            if extra.kind == ExtraKind.RESISTOR:
                ohms = UNKNOWN_OHMS if extra.ohms is None else Span.of(extra.ohms)
                self.bonds.append(_part_bond(extra, BondOrigin.RESISTOR, ohms))
            elif extra.kind == ExtraKind.DIODE:
                self.bonds.append(_part_bond(extra, BondOrigin.DIODE, UNKNOWN_OHMS))

    def _end_bonds(self, end: End) -> None:
        """What stays behind an end: a machine's loads, otherwise the unit's inside and switches."""
        if end.is_machine:
            for link in (*end.pinout.behind, *end.pinout.found):
                self._link(end, link, BondOrigin.BEHIND)
            return
        for link in (*end.pinout.inside, *end.pinout.found):
            self._link(end, link, BondOrigin.INSIDE)
        for switch in end.pinout.switches.values():
            self._bond(
                Bond(
                    a=Address(end.name, switch.a),
                    b=Address(end.name, switch.b),
                    ohms=Span.of(switch.ohms),
                    origin=BondOrigin.SWITCH,
                    name=switch.name,
                    end=end.name,
                    state=end.switches.get(switch.name),
                    place=switch.place,
                )
            )

    def _link(self, end: End, link: Link, origin: BondOrigin) -> None:
        self._bond(
            Bond(
                a=link_point(end, link.a),
                b=link_point(end, link.b),
                ohms=link.ohms,
                origin=origin,
                end=end.name,
                when=link.when,
                place=link.place,
            )
        )

    def _bond(self, bond: Bond) -> None:
        """Keep a bond whose points the job has."""
        if bond.a in self.points and bond.b in self.points:
            self.bonds.append(bond)

    # -- the graph --------------------------------------------------------------------------------

    def _graph(self) -> nx.MultiGraph[str]:
        graph: nx.MultiGraph[str] = nx.MultiGraph()
        graph.add_nodes_from(self.points)
        graph.add_nodes_from(joint.node for joint in self.joints.values())
        for conductor in self.conductors.values():
            graph.add_edge(conductor.a, conductor.b, kind=LinkKind.CONDUCTOR, part=conductor)
        for extra in self.job.extras.values():
            if extra.is_fuse:
                a, b = extra.legs
                graph.add_edge(a, b, kind=LinkKind.FUSE, part=extra)
            elif extra.is_stud:
                graph.add_edge(extra.name, CHASSIS, kind=LinkKind.BOLT, part=extra)
        for bond in self.bonds:
            graph.add_edge(bond.a, bond.b, kind=bond.origin, part=bond)
        for a, b in bridged(self.job):
            graph.add_edge(a, b, kind=LinkKind.BRIDGE, part=None)
        return graph


def _points(job: Job) -> Iterator[Point]:
    chassis = Address(CHASSIS)
    yield Point(address=chassis, kind=PointKind.CHASSIS, owner=CHASSIS)
    for end in job.ends.values():
        for name, cavity in end.pinout.cavities.items():
            address = Address(end.name, name)
            yield Point(
                address=address, kind=PointKind.CAVITY, owner=end.name, cavity=cavity, end=end
            )
    for extra in job.extras.values():
        kind = PointKind.STUD if extra.is_stud else PointKind.LEG
        for leg in extra.legs:
            yield Point(address=Address.read(leg), kind=kind, owner=extra.name, extra=extra)


def _join_place(circuit: Circuit, i: int) -> Place | None:
    return circuit.join_places[i] if i < len(circuit.join_places) else circuit.place


def _node(joint_id: str) -> str:
    """The node of a joint."""
    return JOINT + joint_id


def _own(
    circuit: Circuit,
    point: Point,
    node: str,
    *,
    origin: ConductorOrigin,
    wire: Wire | None = None,
    length_mm: float | None = None,
) -> Member:
    """A conductor that leads from a point to a node."""
    conductor = Conductor(
        id=f"{circuit.id}:{point.address}",
        circuit=circuit.id,
        a=point.address,
        b=node,
        wire=wire,
        length_mm=length_mm,
        origin=origin,
        point=point.address,
    )
    return Member(point, conductor)


def _direct(circuit: Circuit, point: Point, node: str) -> Member:
    """A point whose joint sits on its own wire, which stays in service."""
    wire = point.cavity.wire if point.cavity else None
    return _own(circuit, point, node, origin=ConductorOrigin.DIRECT, wire=wire, length_mm=0.0)


def _new_id(circuit: Circuit) -> str:
    return f"{circuit.id}:new"


def _new_wire(circuit: Circuit) -> Wire | None:
    return _first_stated(circuit.wire, *(leg.wire for leg in circuit.legs.values()))


def _new_length(circuit: Circuit) -> float | None:
    return _first_stated(circuit.length_mm, *(leg.length_mm for leg in circuit.legs.values()))


def _first_stated(*values: Stated | None) -> Stated | None:
    """The first value that is stated; None where none is."""
    return next((value for value in values if value is not None), None)


def _part_bond(extra: Extra, origin: BondOrigin, ohms: Span) -> Bond:
    a, b = extra.legs
    return Bond(a=a, b=b, ohms=ohms, origin=origin, name=extra.name, place=extra.place)


def link_point(end: End, name: str) -> Address:
    """A point that a paper's link names: a cavity of its end, or the chassis."""
    return Address(CHASSIS) if name == CHASSIS else Address(end.name, name)


def _runs(job: Job) -> Mapping[frozenset[str], float]:
    """The measured runs [mm] by the names of their two ends."""
    return {frozenset((run.a, run.b)): run.mm for run in job.runs if run.mm is not None}
