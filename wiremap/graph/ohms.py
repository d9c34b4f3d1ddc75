"""What a meter reads between two points of a resistor network."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import cast

import networkx as nx

from wiremap.graph.walks import Joined, between, block_tree, graph_of, shortest
from wiremap.model import OPEN, Span

Edge = tuple[str, str, float]  # node, node, ohms
WIRE_OHMS = 1e-6  # of an edge below this both nodes count as one


def resistance_ohms(edges: Iterable[Edge], a: str, b: str) -> float:
    """Ohms between two nodes [ohm]; infinite when nothing joins them.

    Kirchhoff's current law solved by Gaussian elimination on what lies between the two.
    Two 120 ohm resistors side by side, by hand 120 / 2:

    >>> resistance_ohms([("h", "l", 120.0), ("h", "l", 120.0)], "h", "l")
    60.0
    """
    kept = [(u, v, ohms) for u, v, ohms in edges if not math.isinf(ohms)]
    wires: Joined[str] = Joined()
    for u, v, ohms in kept:
        if ohms < WIRE_OHMS:
            wires.join(u, v)
    a, b = wires.root(a), wires.root(b)
    if a == b:
        return 0.0
    network = _network(kept, wires)
    part = between(network, a, b)
    if not part:
        return math.inf
    return _solved(network.subgraph(part), sorted(part - {b}), a)


def span_ohms(edges: Sequence[tuple[str, str, Span]], a: str, b: str) -> Span:
    """The band between two nodes when each part lies anywhere in its own band.

    The resistance of a network never falls when one of its parts rises (Rayleigh's monotonicity
    law), so the two ends come from all-low and all-high.
    """
    low = resistance_ohms(((u, v, s.low) for u, v, s in edges), a, b)
    if math.isinf(low):
        return OPEN
    high = resistance_ohms(((u, v, s.high) for u, v, s in edges), a, b)
    return Span(low, max(low, high))


class ResistorNetwork:
    """A network of which many pairs of nodes are asked: each looks at what lies between alone.

    It is kept as a tree of blocks (see `block_tree`), so that only blocks on the way are solved.
    """

    def __init__(self, edges: Iterable[tuple[str, str, Span]]) -> None:
        conducting = [(u, v, s) for u, v, s in edges if u != v and not math.isinf(s.low)]
        self._tree, blocks = block_tree(graph_of((u, v) for u, v, _ in conducting))
        of_node: dict[str, set[int]] = defaultdict(set)
        for number, block in enumerate(blocks):
            for node in block:
                of_node[node].add(number)
        self._edges: dict[int, list[tuple[str, str, Span]]] = defaultdict(list)
        for u, v, ohms in conducting:
            shared = of_node[u] & of_node[v]
            self._edges[shared.pop()].append((u, v, ohms))
        self._across: dict[tuple[int, str, str], Span] = {}  # by a block's number and two nodes

    def span(self, a: str, b: str) -> Span:
        """The band between two nodes, as `span_ohms`; blocks on the way are in series."""
        way = shortest(self._tree, a, b)
        if way is None:
            return OPEN if a != b else Span.of(0.0)
        nodes, blocks = cast("list[str]", way[::2]), cast("list[int]", way[1::2])
        across = [
            self._block(block, node, other)
            for block, (node, other) in zip(blocks, pairwise(nodes), strict=True)
        ]
        return Span(math.fsum(each.low for each in across), math.fsum(each.high for each in across))

    def _block(self, number: int, a: str, b: str) -> Span:
        """The band across one block; a block of one edge is that edge."""
        edges = self._edges[number]
        match edges:
            case [(_, _, ohms)]:
                return ohms
        known = self._across.get((number, a, b))
        if known is None:
            known = self._across[number, a, b] = span_ohms(edges, a, b)
        return known


def _network(edges: Iterable[Edge], wires: Joined[str]) -> nx.Graph[str]:
    """The network with its wires shrunk to points; each link has its `siemens`."""
    network: nx.Graph[str] = nx.Graph()
    for a, b, ohms in edges:
        u, v = wires.root(a), wires.root(b)
        if ohms < WIRE_OHMS or u == v:
            continue
        siemens = 1 / ohms
        if network.has_edge(u, v):
            network[u][v]["siemens"] += siemens
        else:
            network.add_edge(u, v, siemens=siemens)
    return network


def _solved(network: nx.Graph[str], free: Sequence[str], a: str) -> float:
    """Volts at `a` with 1 A into it, the one node that is not `free` held at 0 V."""
    index = {node: i for i, node in enumerate(free)}
    size = len(free)
    rows = [[0.0] * (size + 1) for _ in free]
    for u, row in zip(free, rows, strict=True):
        for v, link in network[u].items():
            siemens = link["siemens"]
            if v in index:
                row[index[v]] -= siemens
            row[index[u]] += siemens
    rows[index[a]][size] = 1.0
    return _eliminated(rows)[index[a]]


def _eliminated(rows: list[list[float]]) -> list[float]:
    """The unknowns of linear equations, a row each with its right side last (Gauss, pivoting)."""
    size = len(rows)
    for i in range(size):
        pivot = max(range(i, size), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        head = rows[i]
        for r in range(i + 1, size):
            factor = rows[r][i] / head[i]
            if factor:
                rows[r] = [x - factor * y for x, y in zip(rows[r], head, strict=True)]
    out = [0.0] * size
    for i in reversed(range(size)):
        known = sum(rows[i][j] * out[j] for j in range(i + 1, size))
        out[i] = (rows[i][size] - known) / rows[i][i]
    return out
