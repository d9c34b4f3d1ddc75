"""Each stretch of CAN pair, and what a meter would show between its legs."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import networkx as nx

from wiremap.graph import Bond, Net, span_ohms
from wiremap.graph.walks import reached
from wiremap.model import CHASSIS, Span
from wiremap.rules.limits import limit
from wiremap.rules.pairs import Pair, bus_of, halves
from wiremap.rules.view import View


@dataclass(frozen=True, slots=True)
class Segment:
    """One stretch of CAN pair: its two metals and the pairs that lie on it."""

    high: Net
    low: Net
    pairs: tuple[Pair, ...]

    @property
    def called(self) -> str:
        """Its pairs as a person calls them."""
        return " and ".join(dict.fromkeys(pair.called for pair in self.pairs))

    @property
    def legs(self) -> tuple[str, str]:
        """The high and the low contact of its first pair."""
        return self.pairs[0].high.address, self.pairs[0].low.address

    @property
    def nodes(self) -> tuple[str, str]:
        """The point that stands for each of its two metals."""
        return self.high.points[0], self.low.points[0]


def segments(view: View) -> list[Segment]:
    """Every joined stretch of CAN pair, once."""
    pairs_on: dict[tuple[str, str], list[Pair]] = defaultdict(list)
    for pair in view.fixed(halves).pairs:
        high, low = (view.net_of(leg.address) for leg in pair.legs)
        joined = high.circuits and low.circuits and high.points != low.points
        if joined and bus_of(pair.high) == "can":
            pairs_on[high.points[0], low.points[0]].append(pair)
    return [
        Segment(view.net_of(high), view.net_of(low), tuple(pairs))
        for (high, low), pairs in pairs_on.items()
    ]


def segment_ohms(view: View, segment: Segment) -> Span:
    """What a meter would show between the legs of a segment, units plugged in [ohm]."""
    high, low = segment.nodes
    parts = view.once(_ohms_between_metals)
    near = sorted(reached(parts, high)) if high in parts else []
    edges = [(a, b, part["ohms"]) for a, b, part in parts.edges(near, data=True)]
    return span_ohms(edges, high, low)


def is_known(view: View, segment: Segment) -> bool:
    """Whether any ohms at all are stated between the legs of a segment."""
    return view.once(_ohms_between_metals).has_edge(*segment.nodes)


def _ohms_between_metals(view: View) -> nx.MultiGraph[str]:
    """Every active bond but diodes, between the points that stand for its two metals."""
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    for bond in view.harness.active_bonds():
        a, b = _nodes(view, bond)
        if bond.origin != "diode" and a != b:
            graph.add_edge(a, b, ohms=bond.ohms)
    return graph


def ends_itself(view: View, address: str) -> bool:
    """Whether a terminator of its own lies between a bus contact and another of its connector."""
    most = limit("terminator-most-ohms")
    for bond in view.harness.active_bonds():
        mine = bond.end is not None and address in (bond.a, bond.b)
        if mine and CHASSIS not in (bond.a, bond.b) and bond.ohms.low <= most:
            return True
    return False


def nodes_waiting(view: View) -> frozenset[str]:
    """The points that stand for the metals at which a terminator switch waits for an answer."""
    nodes: set[str] = set()
    for bond in view.harness.bonds:
        if is_unanswered(bond):
            nodes.update(_nodes(view, bond))
    return frozenset(nodes)


def is_unanswered(bond: Bond) -> bool:
    """Whether a bond is a terminator switch that nobody has looked at."""
    return bond.origin == "switch" and bond.state not in ("on", "off")


def _nodes(view: View, bond: Bond) -> tuple[str, str]:
    return view.net_of(bond.a).points[0], view.net_of(bond.b).points[0]
