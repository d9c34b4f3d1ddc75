"""A job with its graph, and the questions that are asked of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import cached_property
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

import networkx as nx

from wiremap.graph.build import JOINT, Draft
from wiremap.graph.ohms import ResistorNetwork
from wiremap.graph.parts import (
    Bond,
    BondOrigin,
    Conductor,
    Joint,
    LinkKind,
    Misfit,
    Net,
    Point,
    PointKind,
    Reach,
)
from wiremap.graph.walks import graph_of, groups, reached, shortest
from wiremap.model import CHASSIS, Address, Circuit, End, Extra, Job, Span

Kinds = frozenset[str]
SECTION: Kinds = frozenset({LinkKind.CONDUCTOR})
METAL: Kinds = SECTION | {LinkKind.FUSE, LinkKind.BOLT}
BENCH_METAL: Kinds = SECTION | {LinkKind.FUSE}  # a stud lies loose on the bench
INTENT: Kinds = METAL | {LinkKind.BRIDGE}


class WalkedEdge(NamedTuple):
    """One edge of the graph as it is walked: where it leads, what it is, the part it stands for."""

    node: str
    kind: str
    part: Conductor | Extra | Bond | None


class Nets:
    """A partition of the points, with the net of each."""

    __slots__ = ("_of", "all")

    def __init__(self, nets: Iterable[Net]) -> None:
        self.all: tuple[Net, ...] = tuple(nets)
        self._of: dict[str, Net] = {address: net for net in self.all for address in net.points}

    def of(self, address: str) -> Net:
        """The net of a point; raises KeyError for a point that the job does not have."""
        return self._of[address]

    def __iter__(self) -> Iterator[Net]:
        return iter(self.all)

    def __len__(self) -> int:
        return len(self.all)


class Harness:
    """A job and its graph.  Everything is worked out once, on first asking, and never changes.

    Nodes of `graph` are points and joints; an edge has its `kind` and its `part`.
    """

    def __init__(self, job: Job) -> None:
        draft = Draft(job)
        self.job = job
        self.graph: nx.MultiGraph[str] = draft.graph
        self.points: Mapping[str, Point] = MappingProxyType(draft.points)
        self.conductors: Mapping[str, Conductor] = MappingProxyType(draft.conductors)
        self.joints: Mapping[str, Joint] = MappingProxyType(draft.joints)
        self.bonds: tuple[Bond, ...] = tuple(draft.bonds)
        self.misfits: tuple[Misfit, ...] = tuple(draft.misfits)
        self._circuits_at = {a: tuple(ids) for a, ids in draft.circuits_at.items() if ids}
        self.joined = self._circuits_at.keys()  # the points that a circuit names
        self._circuit = {c.id: c for c in reversed(job.circuits)}
        self._conducting: dict[Kinds, nx.Graph[str]] = {}
        self._partitions: dict[Kinds, Nets] = {}
        # by `plugged` the last partition that was asked of, with its network
        self._networks: dict[bool, tuple[Nets, ResistorNetwork]] = {}

    # -- the graph --------------------------------------------------------------------------------

    def links(self, *kinds: str) -> list[tuple[str, str]]:
        """The two nodes of every edge of these kinds."""
        return [(u, v) for u, v, kind in self._edges if kind in kinds]

    @cached_property
    def _edges(self) -> list[tuple[str, str, str]]:
        """The two nodes and the kind of every edge."""
        return list(self.graph.edges(data="kind"))

    def conducting(self, kinds: Kinds) -> nx.Graph[str]:
        """All points and joints, with the edges of these kinds alone."""
        present = kinds & self._kinds
        known = self._conducting.get(present)
        if known is None:
            known = self._conducting[present] = graph_of(self.links(*present), self.graph)
        return known

    @cached_property
    def _kinds(self) -> Kinds:
        """The kinds of edges that there are: a job without fuses has one partition, not three."""
        return frozenset(kind for _, _, kind in self._edges)

    def way(self, a: str, b: str, parts: Collection[Extra] = ()) -> list[WalkedEdge] | None:
        """A shortest way of metal, each step by what it leads over; None when there is none.

        It does not lead through the chassis, which would be another way back; it may lead over
        these parts.
        """
        graph = self._off_chassis if CHASSIS not in (a, b) else self._metal
        nodes = shortest(_with_parts(graph, parts), a, b)
        if nodes is None:
            return None
        return [self._step(u, v, parts) for u, v in pairwise(nodes)]

    def behind(self, fuse: Extra, leg: str, parts: Collection[Extra] = ()) -> list[Point]:
        """What wires, other fuses and these parts connect with a leg of a fuse that is out."""
        graph = _with_parts(self.conducting(BENCH_METAL), parts)
        a, b = fuse.legs
        if self.sections.of(a) is not self.sections.of(b):
            graph = nx.restricted_view(graph, [], [(a, b)])
        return [self.points[node] for node in sorted(reached(graph, leg)) if node in self.points]

    def _step(self, u: str, v: str, parts: Collection[Extra]) -> WalkedEdge:
        kinds = METAL.union(part.kind for part in parts) if parts else METAL
        edges = self.graph.get_edge_data(u, v).values()
        edge = next(edge for edge in edges if edge["kind"] in kinds)
        return WalkedEdge(v, edge["kind"], edge["part"])

    @property
    def _metal(self) -> nx.Graph[str]:
        return self.conducting(METAL)

    @cached_property
    def _off_chassis(self) -> nx.Graph[str]:
        if not self._metal.degree(CHASSIS):  # no stud is bolted to it: no way leads through it
            return self._metal
        graph = self._metal.copy()
        graph.remove_node(CHASSIS)
        return graph

    # -- partitions -------------------------------------------------------------------------------

    @cached_property
    def metals(self) -> Nets:
        """All that is one conductor, fuses in and studs on the chassis."""
        return self.partition(METAL)

    @cached_property
    def sections(self) -> Nets:
        """What is one metal with fuses out and studs loose: the ring-out counts in these."""
        return self.partition(SECTION)

    @cached_property
    def bench(self) -> Nets:
        """Metal on the bench: fuses in, studs loose."""
        return self.partition(BENCH_METAL)

    @cached_property
    def intents(self) -> Nets:
        """Metal that also crosses in-line units: where a signal finds its home."""
        return self.partition(INTENT)

    def partition(self, kinds: Kinds) -> Nets:
        """The points parted by the edges of these kinds, in the order of their first point."""
        present = kinds & self._kinds
        known = self._partitions.get(present)
        if known is None:
            known = self._partitions[present] = Nets(self._nets(present))
        return known

    def _nets(self, kinds: Kinds) -> Iterator[Net]:
        for group in groups(self.conducting(kinds)):
            members = [self.points[node].address for node in group if node in self.points]
            if members:
                yield self._net(members)

    def _net(self, members: Collection[Address]) -> Net:
        """A net, called by its circuits, or by the first of its points where it has none."""
        circuits = sorted({c for a in members for c in self._circuits_at.get(a, ())})
        name = "+".join(circuits) or min(members, key=self._order.__getitem__)
        return Net(name, tuple(sorted(members)), tuple(circuits))

    @cached_property
    def _order(self) -> Mapping[str, int]:
        return {address: i for i, address in enumerate(self.points)}

    # -- questions --------------------------------------------------------------------------------

    def circuits_at(self, address: str) -> tuple[str, ...]:
        """Ids of the circuits that name a point: none, one, or (a fault) several."""
        return self._circuits_at.get(address, ())

    def circuit(self, circuit_id: str) -> Circuit:
        """The circuit of that id; raises KeyError."""
        return self._circuit[circuit_id]

    def end_of(self, address: str) -> End | None:
        """The end that a point belongs to; None for extras and chassis."""
        point = self.points.get(address)
        return point.end if point else None

    def cavities(self, net: Net) -> list[Point]:
        """The cavities of a net, in address order."""
        points = (self.points[address] for address in net.points)
        return [p for p in points if p.kind is PointKind.CAVITY]

    def functions(self, net: Net) -> dict[str, list[Point]]:
        """The functions on a net, each with the cavities that carry it."""
        found: dict[str, list[Point]] = defaultdict(list)
        for point in self.cavities(net):
            found[point.function].append(point)
        return dict(found)

    def active_bonds(self, *, plugged: bool = True) -> Iterator[Bond]:
        """The bonds that a current finds, with every unit plugged in or only those that are mated.

        A switch counts when it is answered `on`; a link tied to a state counts in that state only,
        so not here.
        """
        for bond in self.bonds:
            if bond.when is not None:
                continue
            if bond.origin is BondOrigin.SWITCH and bond.state != "on":
                continue
            end = self.job.ends.get(bond.end or "")
            unit = end is not None and not end.is_machine and not end.mated
            if plugged or not unit:
                yield bond

    def ohms(self, a: str, b: str, *, plugged: bool = True, nets: Nets | None = None) -> Span:
        """The band [ohm] that a meter would show between two points.

        Points of one net (of `metals`, if no other partition is given) have 0 ohm between them, and
        diodes are left out.
        """
        parted = nets or self.metals
        known, network = self._networks.get(plugged, (None, None))
        if network is None or known is not parted:
            network = self._network(parted, plugged=plugged)
            self._networks[plugged] = parted, network
        return network.span(parted.of(a).first, parted.of(b).first)

    def _network(self, nets: Nets, *, plugged: bool) -> ResistorNetwork:
        return ResistorNetwork(
            (nets.of(bond.a).first, nets.of(bond.b).first, bond.ohms)
            for bond in self.active_bonds(plugged=plugged)
            if bond.origin is not BondOrigin.DIODE
        )

    def reach(self, address: str) -> Reach:
        """Where a probe finds the point."""
        point = self.points[address]
        if point.kind is PointKind.LEG:
            in_holder = point.extra is not None and point.extra.is_fuse
            return Reach.HOLDER if in_holder else Reach.JOINT
        if point.end is None:
            return Reach.FAR_END
        if point.end.mated:
            return Reach.NONE
        if point.end.kind in ("pigtail", "mate"):
            return Reach.FACE
        return Reach.JOINT if self.joints_at(address) else Reach.NONE

    def joints_at(self, address: str) -> list[Joint]:
        """The joints that a point's own wire ends in."""
        return self._joints_by_point.get(address, [])

    @cached_property
    def _joints_by_point(self) -> dict[str, list[Joint]]:
        found: dict[str, list[Joint]] = defaultdict(list)
        for joint in self.joints.values():
            for address in joint.points:
                found[address].append(joint)
        return found

    @cached_property
    def conductors_by_circuit(self) -> Mapping[str, tuple[Conductor, ...]]:
        """The conductors of each circuit, in the order they were laid."""
        found: dict[str, list[Conductor]] = defaultdict(list)
        for conductor in self.conductors.values():
            found[conductor.circuit].append(conductor)
        return MappingProxyType({circuit: tuple(wires) for circuit, wires in found.items()})

    def points_on(self, conductor: Conductor) -> Iterator[Point]:
        """The points that a conductor touches: the contact that it comes with first."""
        for node in (conductor.a, conductor.b):
            point = self.points.get(node)
            if point is not None:
                yield point

    def is_joint(self, node: str) -> bool:
        """Whether a node of the graph is a joint, not a point."""
        return node.startswith(JOINT)

    def not_joined(self) -> Iterator[Point]:
        """Every cavity that no circuit names, but those of a tap, whose connector stays shut."""
        for point in self.points.values():
            if point.kind is not PointKind.CAVITY or point.is_tap:
                continue
            if not self.circuits_at(point.address):
                yield point


def _with_parts(graph: nx.Graph[str], parts: Collection[Extra]) -> nx.Graph[str]:
    """A graph with an edge for each of these parts too; the given one where there are none."""
    if not parts:
        return graph
    wider = graph.copy()
    for part in parts:
        wider.add_edge(*part.legs)
    return wider
