"""Guard loops: the two ends of each at a connector, what they meet, what bridges them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

import networkx as nx

from wiremap.graph import Point
from wiremap.rules.limits import limit
from wiremap.rules.signals import Signal
from wiremap.rules.view import View

OUT, BACK = "interlock-out", "interlock-back"
NAMELESS = "without a name"
AS_METAL = 0.0  # ohms: what a diode may have forwards, or a part of which nobody states them


@dataclass(frozen=True, slots=True)
class GuardLoop:
    """The two ends of one chain at one connector."""

    end: str
    chain: str
    out: list[Point] = field(default_factory=list)
    back: list[Point] = field(default_factory=list)

    @property
    def points(self) -> list[Point]:
        """Both ends, out first."""
        return [*self.out, *self.back]

    @property
    def addresses(self) -> list[str]:
        """The addresses of both ends, out first."""
        return [point.address for point in self.points]

    @property
    def called(self) -> str:
        """The loop's name, or that it has none."""
        return self.chain or NAMELESS


class Shunt(NamedTuple):
    """Parts of the job across a loop: their names in words, and their ohms together."""

    parts: str
    ohms: float


@dataclass(frozen=True, slots=True)
class Meeting:
    """A loop contact and one contact of another connector's loop on the same metal."""

    mine: Signal
    theirs: Signal

    @property
    def is_turned(self) -> bool:
        """Whether out meets back."""
        return self.mine.row is not self.theirs.row


def is_loop(point: Point) -> bool:
    """Whether it is a contact of a typed guard loop."""
    return point.function in (OUT, BACK)


def loops(view: View) -> list[GuardLoop]:
    """Every guard loop of every end, in the order of the ends."""
    by_end_and_chain: dict[tuple[str, str], GuardLoop] = {}
    for point in view.points.values():
        if point.cavity is None or not is_loop(point):
            continue
        chain = point.cavity.chain or ""
        loop = by_end_and_chain.setdefault((point.owner, chain), GuardLoop(point.owner, chain))
        side = loop.out if point.function == OUT else loop.back
        side.append(point)
    return list(by_end_and_chain.values())


def met_loops(view: View, point: Point) -> list[Signal]:
    """The loop contacts of other connectors on the metal of a point."""
    return [s for s in view.beside(point.address) if s.row.electrical == "loop"]


def meetings(view: View, loop: GuardLoop) -> list[Meeting]:
    """Everything that the contacts of a loop meet of other connectors' loops."""
    met = []
    for point in loop.points:
        mine = view.signal(point.address)
        assert mine is not None
        met += [Meeting(mine, theirs) for theirs in met_loops(view, point)]
    return met


def bridge_words(view: View, one: Point, two: Point) -> str:
    """What ties the two ends of a loop together, in words; empty if nothing of the job does."""
    if _node(view, one.address) == _node(view, two.address):
        return "are connected"
    shunt = least_shunt(view, one, two)
    if shunt is None or shunt.ohms >= limit("guard-bridge-ohms"):
        return ""
    return f"have {shunt.parts} across them"


def least_shunt(view: View, one: Point, two: Point) -> Shunt | None:
    """The parts of fewest ohms that lie across the two ends of a loop, if any do."""
    start, goal = _node(view, one.address), _node(view, two.address)
    parts = view.once(_low_parts)
    if start == goal or start not in parts or goal not in parts:
        return None
    try:
        way = nx.dijkstra_path(parts, start, goal, weight="ohms")
    except nx.NetworkXNoPath:
        return None
    names = [parts.edges[step]["name"] for step in pairwise(way)]
    return Shunt(" and ".join(names), nx.path_weight(parts, way, "ohms"))


def _low_parts(view: View) -> nx.Graph[str]:
    """The job's resistors and diodes between metals, the least ohms of each pair of metals."""
    graph: nx.Graph[str] = nx.Graph()
    for name, a, b, ohms in _parts(view):
        known = graph.get_edge_data(a, b)
        if known is None or ohms < known["ohms"]:
            graph.add_edge(a, b, name=name, ohms=ohms)
    return graph


def _parts(view: View) -> Iterator[tuple[str, str, str, float]]:
    for extra in view.job.extras.values():
        if extra.kind in ("resistor", "diode"):
            a, b = (_node(view, leg) for leg in extra.legs)
            ohms = extra.ohms if extra.kind == "resistor" else None
            yield extra.name, a, b, AS_METAL if ohms is None else ohms


def _node(view: View, address: str) -> str:
    return view.net_of(address).points[0]
