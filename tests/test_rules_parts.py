"""Resistors of a job as a network: potentials by hand, by nodal analysis, and what the rules make of them."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import networkx as nx
import pytest

from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.model import Address, Circuit, Extra, ExtraKind, Job, frozen
from wiremap.rules import View, run
from wiremap.rules.across import potentials

CASES = Path(__file__).parent / "cases"
MOST = 15.0  # V, the job's supply at its most


def network(*parts: tuple[str, str, float]) -> Job:
    """The good job with resistors between `plus`, `minus` and nodes that nothing else touches."""
    loaded = load_job(CASES / "input-floating" / "good.yaml")
    assert loaded.value is not None
    extras = {}
    ends: dict[str, list[Address]] = {"plus": [], "minus": []}
    for number, (a, b, ohms) in enumerate(parts, 1):
        part = Extra(name=f"P{number}", kind=ExtraKind.RESISTOR, ohms=ohms, watts=0.25)
        extras[part.name] = part
        for node, leg in zip((a, b), part.legs, strict=True):
            ends.setdefault(node, []).append(leg)
    own = {"supply": "plus", "ground": "minus"}
    circuits = []
    for circuit in loaded.value.circuits:
        more = ends[own[circuit.id]] if circuit.id in own else []
        circuits.append(replace(circuit, join=(*circuit.join, *more), join_places=()))
    for node, legs in ends.items():
        if node not in own.values():
            circuits.append(Circuit(id=node, join=tuple(legs)))
    return replace(loaded.value, extras=frozen(extras), circuits=tuple(circuits))


def burning(job: Job) -> set[str]:
    """The resistors that bear more than their watts."""
    found = [f for f in run(Harness(job)) if f.rule == "resistor-overloaded"]
    return {f.subject[0] for f in found}


def test_two_in_a_row_share_the_volts() -> None:
    """1 ohm and 2 ohm across 15 V: 5 V and 10 V, by hand 25 W and 50 W."""
    job = network(("plus", "mid", 1.0), ("mid", "minus", 2.0))
    view = View(Harness(job))
    node = view.net_of("P1.b").points[0]
    assert 10.0 == pytest.approx(potentials(view)[node])
    assert {"P1", "P2"} == burning(job)


def test_large_ones_in_a_row_are_borne() -> None:
    """Two of 1000 ohm: 7.5 V each, 56 mW, by hand."""
    assert set() == burning(network(("plus", "mid", 1000.0), ("mid", "minus", 1000.0)))


def test_one_that_hangs_on_nothing_bears_nothing() -> None:
    """A stub of one ohm carries no current."""
    assert set() == burning(network(("plus", "mid", 1.0)))


def test_against_the_laplacian() -> None:
    """Fifty random networks of up to six nodes, by networkx's Laplacian solved with NumPy."""
    numpy = pytest.importorskip("numpy")
    rng = random.Random(7)
    for _ in range(50):
        nodes = ["plus", "minus", *(f"n{i}" for i in range(rng.randint(1, 4)))]
        pairs = [(a, b) for i, a in enumerate(nodes) for b in nodes[i + 1 :] if rng.random() < 0.7]
        parts = [(a, b, rng.choice((100.0, 220.0, 470.0, 1000.0))) for a, b in pairs]
        graph = nx.Graph()
        graph.add_nodes_from(nodes)
        for a, b, ohms in parts:
            graph.add_edge(a, b, weight=1 / ohms)
        near = nx.node_connected_component(graph, "plus") | nx.node_connected_component(
            graph, "minus"
        )
        free = [n for n in nodes[2:] if n in near]
        if not free:
            continue
        laplacian = nx.laplacian_matrix(graph, nodelist=nodes).toarray()
        index = [nodes.index(n) for n in free]
        truth = numpy.linalg.solve(
            laplacian[numpy.ix_(index, index)], -laplacian[numpy.ix_(index, [0])].ravel() * MOST
        )
        view = View(Harness(network(*parts)))
        levels = potentials(view)
        for name, volts in zip(free, truth, strict=True):
            leg = next(
                f"P{i}.{'a' if a == name else 'b'}"
                for i, (a, b, _) in enumerate(parts, 1)
                if name in (a, b)
            )
            assert levels[view.net_of(leg).points[0]] == pytest.approx(volts, abs=1e-6)
