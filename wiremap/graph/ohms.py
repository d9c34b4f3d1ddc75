"""What a meter reads between two points of a resistor network."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence

from wiremap.graph.walks import Joined
from wiremap.model import OPEN, Span

Edge = tuple[str, str, float]  # node, node, ohms (> 0; below WIRE_OHMS they count as one)
WIRE_OHMS = 1e-6


def resistance_ohms(edges: Iterable[Edge], a: str, b: str) -> float:
    """Ohms between two nodes [ohm]; infinite when nothing joins them.

    Kirchhoff's current law solved by Gaussian elimination on the part that joins the two.
    Two 120 ohm resistors side by side, by hand 120 / 2:

    >>> resistance_ohms([("h", "l", 120.0), ("h", "l", 120.0)], "h", "l")
    60.0
    """
    near = _reduced(edges)
    root = near.root
    a, b = root(a), root(b)
    if a == b:
        return 0.0
    part = near.part(a)
    if b not in part:
        return math.inf
    order = [n for n in sorted(part) if n != b]
    index = {n: i for i, n in enumerate(order)}
    size = len(order)
    rows = [[0.0] * (size + 1) for _ in order]
    for u in order:
        for v, siemens in near.edges[u].items():
            rows[index[u]][index[u]] += siemens
            if v in index:
                rows[index[u]][index[v]] -= siemens
    rows[index[a]][size] = 1.0
    return _solve(rows)[index[a]]


def span_ohms(edges: Sequence[tuple[str, str, Span]], a: str, b: str) -> Span:
    """The band between two nodes when each part lies anywhere in its own band.

    The resistance of a network never falls when one of its parts rises (Rayleigh's monotonicity law), so the two
    ends come from all-low and all-high.
    """
    low = resistance_ohms(((u, v, s.low) for u, v, s in edges), a, b)
    high = resistance_ohms(((u, v, s.high) for u, v, s in edges), a, b)
    return OPEN if math.isinf(low) else Span(low, max(low, high))


class _reduced:
    """The network with its wires shrunk to points and open parts left out."""

    def __init__(self, edges: Iterable[Edge]) -> None:
        joined: Joined[str] = Joined()
        self.root = joined.root
        kept = [e for e in edges if not math.isinf(e[2])]
        for u, v, ohms in kept:
            if ohms < WIRE_OHMS:
                joined.join(u, v)
        self.edges: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
        for u, v, ohms in kept:
            if ohms >= WIRE_OHMS and (ru := self.root(u)) != (rv := self.root(v)):
                self.edges[ru][rv] += 1.0 / ohms
                self.edges[rv][ru] += 1.0 / ohms

    def part(self, start: str) -> set[str]:
        seen, todo = {start}, [start]
        while todo:
            for v in self.edges[todo.pop()]:
                if v not in seen:
                    seen.add(v)
                    todo.append(v)
        return seen


def _solve(rows: list[list[float]]) -> list[float]:
    size = len(rows)
    for i in range(size):
        pivot = max(range(i, size), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        head = rows[i]
        for r in range(i + 1, size):
            if factor := rows[r][i] / head[i]:
                rows[r] = [x - factor * y for x, y in zip(rows[r], head, strict=True)]
    out = [0.0] * size
    for i in reversed(range(size)):
        out[i] = (rows[i][size] - sum(rows[i][j] * out[j] for j in range(i + 1, size))) / rows[i][i]
    return out
