"""What nets are joined with by ohms, as far as current between two probes takes that way."""

from __future__ import annotations

from collections.abc import Collection

from wiremap.model import Span

Edges = Collection[tuple[str, str, Span]]  # two nets, or the probes R and B, and their ohms


def on_the_way(edges: Edges) -> Edges:
    """The connections that current between the probes R and B can take: no dead ends.

    So many builds share one answer.  By hand, not as a graph: it runs for each reading of each
    build.
    """
    while True:
        met: dict[str, int] = {"R": 2, "B": 2}
        for u, v, _ in edges:
            met[u] = met.get(u, 0) + 1
            met[v] = met.get(v, 0) + 1
        kept = [e for e in edges if met[e[0]] > 1 and met[e[1]] > 1 and e[0] != e[1]]
        if len(kept) == len(edges):
            return edges
        edges = kept
