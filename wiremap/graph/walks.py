"""Walks over a graph: what belongs together, what can be reached, what lies between.

The walks themselves are networkx's; here they get the order and the terms that a harness needs.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from typing import Generic, TypeVar, cast

import networkx as nx

T = TypeVar("T", bound=Hashable)


def graph_of(links: Iterable[tuple[T, T]], nodes: Iterable[T] = ()) -> nx.Graph[T]:
    """The graph of these links; `nodes` come first and may have none."""
    graph: nx.Graph[T] = nx.Graph()
    graph.add_nodes_from(nodes)
    graph.add_edges_from(links)
    return graph


def groups(graph: nx.Graph[T]) -> Iterator[set[T]]:
    """The nodes that links connect with each other, group by group in the order of the nodes."""
    yield from nx.connected_components(graph)


def reached(graph: nx.Graph[T], start: T) -> set[T]:
    """Every node that links connect with `start`, itself included."""
    if start not in graph:
        return {start}
    return set(nx.node_connected_component(graph, start))


def shortest(graph: nx.Graph[T], a: T, b: T) -> list[T] | None:
    """The nodes of a shortest way from `a` to `b`, both included; None if there is no way."""
    try:
        return list(nx.bidirectional_shortest_path(graph, a, b))
    except (nx.NetworkXNoPath, nx.NodeNotFound):
        return None


def between(graph: nx.Graph[T], a: T, b: T) -> set[T]:
    """The nodes that lie on some way from `a` to `b` without going over a node twice.

    Current between the two takes no other: what hangs on by one node only is left out.  Empty if
    there is no way.

    >>> sorted(between(graph_of([("a", "x"), ("x", "b"), ("x", "stub")]), "a", "b"))
    ['a', 'b', 'x']
    """
    if a == b:
        return {a}
    near = reached(graph, a)
    if b not in near:
        return set()
    closed = nx.Graph(graph.subgraph(near))
    closed.add_edge(a, b)
    blocks = cast("Iterator[set[T]]", nx.biconnected_components(closed))
    return next(block for block in blocks if a in block and b in block)


def block_tree(graph: nx.Graph[T]) -> tuple[nx.Graph[T | int], list[set[T]]]:
    """The blocks of a graph, and the tree in which each is a number between the nodes it holds.

    A block is a part that no single node parts.  A way of the tree passes just those blocks that
    lie between its ends.  Nodes must not be numbers themselves.
    """
    blocks = cast("list[set[T]]", list(nx.biconnected_components(graph)))
    tree: nx.Graph[T | int] = nx.Graph()
    for number, block in enumerate(blocks):
        tree.add_edges_from((number, node) for node in block)
    return tree, blocks


class Joined(Generic[T]):
    """Groups that grow by joining two members at a time; one never named is a group of its own."""

    def __init__(self) -> None:
        self._up: dict[T, T] = {}

    def root(self, a: T) -> T:
        """The member that stands for the whole group of `a`."""
        up = self._up
        while (above := up.get(a, a)) != a:
            up[a] = above = up.get(above, above)  # the way up is halved for those who ask later
            a = above
        return a

    def join(self, a: T, b: T) -> None:
        """One group of both."""
        self._up[self.root(a)] = self.root(b)
