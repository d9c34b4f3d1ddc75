"""The graph of a job: every question about what touches what is asked here.

*Metal* is all that is one conductor with fuses in; a *section* is the same with fuses out; *intent* is metal that also
crosses the bridges of in-line units.  Resistors, diodes, a unit's inside and loads behind a loom are bonds with ohms,
not metal.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

from wiremap.graph.build import JOINT, Draft, Edge
from wiremap.graph.ohms import resistance_ohms, span_ohms
from wiremap.graph.parts import (
    Bond,
    Conductor,
    Joint,
    Misfit,
    Net,
    Point,
    cavity_fingerprint,
    fingerprint,
)
from wiremap.graph.walks import Joined
from wiremap.model import Circuit, End, Job, Span, split

if TYPE_CHECKING:
    import networkx as nx

__all__ = [
    "Bond",
    "Conductor",
    "Harness",
    "Joint",
    "Misfit",
    "Net",
    "Nets",
    "Point",
    "cavity_fingerprint",
    "fingerprint",
    "resistance_ohms",
    "span_ohms",
    "split",
]

SECTION = frozenset({"conductor"})
METAL = SECTION | {"fuse", "bolt"}
BENCH_METAL = SECTION | {"fuse"}  # a stud lies loose on the bench
INTENT = METAL | {"bridge"}


class Nets:
    """A partition of the points, with the net of each."""

    __slots__ = ("_of", "all")

    def __init__(self, nets: Iterable[Net]) -> None:
        self.all: tuple[Net, ...] = tuple(nets)
        self._of = {address: net for net in self.all for address in net.points}

    def of(self, address: str) -> Net:
        """The net of a point; raises KeyError for a point that the job does not have."""
        return self._of[address]

    def __iter__(self) -> Iterator[Net]:
        return iter(self.all)

    def __len__(self) -> int:
        return len(self.all)


class Harness:
    """A job and its graph.  Everything is worked out once, on first asking, and never changes."""

    def __init__(self, job: Job) -> None:
        draft = Draft(job)
        self.job = job
        self.edges: tuple[Edge, ...] = tuple(draft.edges)
        self.points: Mapping[str, Point] = MappingProxyType(draft.points)
        self.conductors: Mapping[str, Conductor] = MappingProxyType(draft.conductors)
        self.joints: Mapping[str, Joint] = MappingProxyType(draft.joints)
        self.bonds: tuple[Bond, ...] = tuple(draft.bonds)
        self.misfits: tuple[Misfit, ...] = tuple(draft.misfits)
        self._circuits_at = {a: tuple(ids) for a, ids in draft.circuits_at.items() if ids}
        self._circuit = {c.id: c for c in reversed(job.circuits)}

    @cached_property
    def graph(self) -> nx.MultiGraph[str]:
        """Nodes are points and joints; an edge has its `kind` and its `part`.  Made when first asked for."""
        import networkx as nx

        graph: nx.MultiGraph[str] = nx.MultiGraph()
        graph.add_nodes_from(self.points)
        graph.add_nodes_from(joint.node for joint in self.joints.values())
        for u, v, kind, part in self.edges:
            graph.add_edge(u, v, kind=kind, part=part)
        return graph

    @cached_property
    def _ways(self) -> Mapping[str, list[tuple[str, str, object]]]:
        found: dict[str, list[tuple[str, str, object]]] = defaultdict(list)
        for u, v, kind, part in self.edges:
            found[u].append((v, kind, part))
            found[v].append((u, kind, part))
        return found

    def ways(self, node: str) -> list[tuple[str, str, object]]:
        """The edges at a node: the other node, kind, part."""
        return self._ways.get(node, [])

    # -- partitions -------------------------------------------------------------------------------

    @cached_property
    def metals(self) -> Nets:
        """All that is one conductor, fuses in and studs on the chassis."""
        return self.partition(METAL)

    @cached_property
    def sections(self) -> Nets:
        """The same with the fuses out and the studs loose: what the ring-out counts in."""
        return self.partition(SECTION)

    @cached_property
    def bench(self) -> Nets:
        """Metal on the bench: fuses in, studs loose."""
        return self.partition(BENCH_METAL)

    @cached_property
    def intents(self) -> Nets:
        """Metal that also crosses in-line units: where a signal finds its home."""
        return self.partition(INTENT)

    def partition(self, kinds: frozenset[str]) -> Nets:
        """The points parted by the edges of these kinds, in the order of their first point."""
        joined: Joined[str] = Joined()
        for u, v, kind, _ in self.edges:
            if kind in kinds:
                joined.join(u, v)
        groups: dict[str, list[str]] = defaultdict(list)
        for address in self.points:
            groups[joined.root(address)].append(address)
        return Nets(self._net(members) for members in groups.values())

    def _net(self, members: list[str]) -> Net:
        circuits = sorted({c for a in members for c in self._circuits_at.get(a, ())})
        return Net("+".join(circuits) or members[0], tuple(sorted(members)), tuple(circuits))

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
        return [p for a in net.points if (p := self.points[a]).kind == "cavity"]

    def functions(self, net: Net) -> dict[str, list[Point]]:
        """The functions on a net, each with the cavities that carry it."""
        found: dict[str, list[Point]] = defaultdict(list)
        for point in self.cavities(net):
            found[point.function].append(point)
        return dict(found)

    def active_bonds(self, *, plugged: bool = True) -> Iterator[Bond]:
        """The bonds that a current finds: with every unit plugged in, or only in what is `mated` and in the loom.

        A switch counts when it is answered `on`; a link tied to a state counts as its normal state only when no
        `when` is given.
        """
        for bond in self.bonds:
            if bond.when is not None or (bond.origin == "switch" and bond.state != "on"):
                continue
            end = self.job.ends.get(bond.end or "")
            if not plugged and end is not None and end.side != "machine" and not end.mated:
                continue
            yield bond

    def ohms(self, a: str, b: str, *, plugged: bool = True, nets: Nets | None = None) -> Span:
        """The band that a meter would show between two points, wires taken as 0 ohm and diodes left out."""
        parted = nets or self.metals
        edges = [
            (parted.of(x.a).points[0], parted.of(x.b).points[0], x.ohms)
            for x in self.active_bonds(plugged=plugged)
            if x.origin != "diode"
        ]
        return span_ohms(edges, parted.of(a).points[0], parted.of(b).points[0])

    def reach(self, address: str) -> str:
        """Where a probe finds the point: face, joint (before its sleeve is shrunk), holder, far-end or none."""
        point = self.points[address]
        if point.kind == "leg":
            return "holder" if point.extra and point.extra.kind == "fuse" else "joint"
        if point.kind in ("stud", "chassis"):
            return "far-end"
        end = point.end
        assert end is not None
        if end.mated:
            return "none"
        if end.kind in ("pigtail", "mate"):
            return "face"
        return "joint" if any(address in j.points for j in self.joints_at(address)) else "none"

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
        return MappingProxyType({k: tuple(v) for k, v in found.items()})

    def is_joint(self, node: str) -> bool:
        """Whether a node of the graph is a joint, not a point."""
        return node.startswith(JOINT)

    def not_joined(self) -> Iterator[Point]:
        """Every cavity that no circuit names (of a tap: none, its other contacts take no part)."""
        for point in self.points.values():
            if point.kind == "cavity" and not point.is_tap and not self.circuits_at(point.address):
                yield point
