"""The ways that current between the probes R (red) and B (black) can take, and their ohms.

Worked out here rather than on a graph, as it runs for each reading of each build.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

from wiremap.mistakes.bundles import inverse
from wiremap.model import OPEN, Span

Edges = Collection[tuple[str, str, Span]]  # two nets, or the probes R and B, and their ohms


def on_the_way(edges: Edges) -> Edges:
    """The connections that current between the probes R and B can take, without dead ends.

    Many builds then have the same ones, and share one answer.
    """
    while True:
        met = Counter(net for u, v, _ in edges for net in (u, v))
        dead = {net for net, times in met.items() if times == 1} - {"R", "B"}
        kept = [(u, v, ohms) for u, v, ohms in edges if u != v and dead.isdisjoint((u, v))]
        if len(kept) == len(edges):
            return edges
        edges = kept


def series_and_parallel(edges: Edges) -> Span | None:
    """The band between R and B where all lies in series or side by side; None if not all does.

    A node with two neighbours is left out, its two connections in series made one.
    """
    beside: dict[frozenset[str], Span] = {}
    met: dict[str, set[str]] = {}
    for one, other, ohms in edges:
        _lay(beside, met, (one, other), ohms)
    turn = list(met)
    while turn:
        node = turn.pop()
        if node in ("R", "B") or len(met.get(node, ())) not in (1, 2):
            continue
        ends = sorted(met.pop(node))
        ways = [beside.pop(frozenset((node, end))) for end in ends]
        for end in ends:
            met[end].discard(node)
        if len(ends) > 1:
            ohms = Span(sum(way.low for way in ways), sum(way.high for way in ways))
            _lay(beside, met, (ends[0], ends[1]), ohms)
        turn += ends
    if not beside:
        return OPEN
    return beside.get(frozenset("RB")) if len(beside) == 1 else None


def _lay(
    beside: dict[frozenset[str], Span], met: dict[str, set[str]], ends: tuple[str, str], ohms: Span
) -> None:
    """Add a connection between two nodes to those in `beside`, and to their neighbours in `met`."""
    one, other = ends
    if one == other:
        return
    key = frozenset(ends)
    if key in beside:
        known = beside[key]
        low, high = _side_by_side(known.low, ohms.low), _side_by_side(known.high, ohms.high)
        ohms = Span(low, max(low, high))
    beside[key] = ohms
    met.setdefault(one, set()).add(other)
    met.setdefault(other, set()).add(one)


def _side_by_side(one: float, other: float) -> float:
    return inverse(inverse(one) + inverse(other))
