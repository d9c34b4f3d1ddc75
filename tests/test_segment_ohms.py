"""Ohms between the legs of a segment, against networkx's resistance distance and against ngspice."""

from __future__ import annotations

import itertools
import random
import re
import shutil
import subprocess
from pathlib import Path

import networkx as nx
import pytest

from wiremap.graph import Harness
from wiremap.model import (
    OPEN,
    Cavity,
    Circuit,
    End,
    Extra,
    ExtraKind,
    Job,
    Link,
    Pinout,
    Span,
    Switch,
    frozen,
)
from wiremap.naming import Meaning
from wiremap.rules import View
from wiremap.rules.segments import segment_ohms, segments

VALUES = (60.0, 100.0, 120.0, 130.0, 240.0, 4700.0, 10000.0)


def bus_end(
    name: str, side: str, links: tuple[Link, ...] = (), switches: dict[str, str] | None = None
) -> End:
    """A connector with a pair on 1 and 2 and two more contacts."""
    functions = {"1": "can-high", "2": "can-low", "3": "power-ground", "4": "unknown"}
    cavities = {
        n: Cavity(name=n, reading=Meaning(f), pair="p" if n in "12" else None)
        for n, f in functions.items()
    }
    built = (
        frozen({"T": Switch(name="T", a="1", b="2", ohms=120.0)})
        if switches is not None
        else frozen()
    )
    pinout = Pinout(
        title=name,
        path=f"{name}.yaml",
        cavities=frozen(cavities),
        switches=built,
        inside=links if side != "machine" else (),
        behind=links if side == "machine" else (),
    )
    return End(
        name=name,
        pinout=pinout,
        kind="cut-tail" if side == "machine" else "pigtail",
        side=side,
        switches=frozen(switches),
    )


def random_job(rng: random.Random) -> Job:
    """Two to four connectors on one pair, with parts strewn among their contacts."""
    ends = []
    for i in range(rng.randint(2, 4)):
        pairs = rng.sample(list(itertools.combinations("1234", 2)), rng.randint(0, 4))
        links = tuple(Link(a=a, b=b, ohms=Span.of(rng.choice(VALUES))) for a, b in pairs)
        ends.append(
            bus_end(
                f"e{i}",
                "machine" if i == 0 else "unit",
                links,
                {"T": rng.choice(["on", "off"])} if i else None,
            )
        )
    names = [e.name for e in ends]
    circuits = [Circuit(id=f"c{n}", join=tuple(f"{e}.{n}" for e in names)) for n in "123"]
    extras = {}
    if rng.random() < 0.7:
        extras["R1"] = Extra(name="R1", kind=ExtraKind.RESISTOR, ohms=rng.choice(VALUES))
        circuits[0] = Circuit(id="c1", join=(*circuits[0].join, "R1.a"))
        circuits[1] = Circuit(id="c2", join=(*circuits[1].join, "R1.b"))
    return Job(
        title="bus",
        path="job.yaml",
        ends=frozen({e.name: e for e in ends}),
        circuits=tuple(circuits),
        extras=frozen(extras),
    )


def parts(harness: Harness) -> list[tuple[str, str, float]]:
    """The job's resistances as a plain list between metals, read off the model and not off the code under test."""
    found = []
    for end in harness.job.ends.values():
        for link in end.pinout.behind if end.side == "machine" else end.pinout.inside:
            found.append((f"{end.name}.{link.a}", f"{end.name}.{link.b}", link.ohms.low))
        found += [
            (f"{end.name}.{s.a}", f"{end.name}.{s.b}", s.ohms)
            for s in end.pinout.switches.values()
            if end.switches.get(s.name) == "on"
        ]
    found += [(*x.legs, x.ohms) for x in harness.job.extras.values() if x.ohms is not None]
    metal = {a: net.name for net in harness.metals for a in net.points}
    return [(metal[a], metal[b], ohms) for a, b, ohms in found if metal[a] != metal[b]]


def test_against_resistance_distance() -> None:
    """Two hundred random segments, to one part in a billion."""
    rng, compared = random.Random(11), 0
    for _ in range(200):
        harness = Harness(random_job(rng))
        view = View(harness)
        (segment,) = segments(view)
        graph = nx.MultiGraph()
        graph.add_nodes_from([segment.high.name, segment.low.name])
        for a, b, ohms in parts(harness):
            graph.add_edge(a, b, weight=ohms)
        ohms = segment_ohms(view, segment)
        part = nx.node_connected_component(graph, segment.high.name)
        if segment.low.name not in part:
            assert ohms == OPEN
            continue
        truth = nx.resistance_distance(
            graph.subgraph(part).copy(),
            segment.high.name,
            segment.low.name,
            weight="weight",
            invert_weight=True,
        )
        assert ohms.low == pytest.approx(truth, rel=1e-9) and ohms.high == pytest.approx(
            truth, rel=1e-9
        )
        compared += 1
    assert compared > 100


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_against_ngspice(tmp_path: Path) -> None:
    """A dozen of them by a circuit simulator: one ampere in at the high leg, out at the low one."""
    rng, compared = random.Random(5), 0
    while compared < 12:
        harness = Harness(random_job(rng))
        view = View(harness)
        (segment,) = segments(view)
        ohms = segment_ohms(view, segment)
        if ohms == OPEN:
            continue
        nodes = {segment.low.name: "0"}
        lines = ["* ohms between the legs"]
        for i, (a, b, value) in enumerate(parts(harness)):
            one, two = (nodes.setdefault(x, f"n{len(nodes)}") for x in (a, b))
            lines.append(f"R{i} {one} {two} {value}")
        lines += [
            f"Rleak{i} {n} 0 1e12" for i, n in enumerate(n for n in nodes.values() if n != "0")
        ]
        lines += [
            f"I1 0 {nodes[segment.high.name]} 1",
            ".op",
            ".control",
            "run",
            f"print v({nodes[segment.high.name]})",
            ".endc",
            ".end",
        ]
        deck = tmp_path / f"deck{compared}.cir"
        deck.write_text("\n".join(lines) + "\n", encoding="utf-8")
        shown = subprocess.run(
            ["ngspice", "-b", str(deck)], capture_output=True, text=True, check=False
        ).stdout
        value = re.search(r"v\(n\d+\) = ([-+0-9.e]+)", shown)
        assert value is not None, shown
        assert ohms.low == pytest.approx(float(value[1]), rel=1e-4)
        compared += 1


@pytest.mark.parametrize(
    ("port", "half", "verdict"),
    [
        # each half measured after the cut, gateway out; then what the port must add (workshop texts on terminators, read)
        ("off", 60.0, None),
        ("on", 120.0, None),
        ("off", 120.0, "one is missing"),
        ("on", 60.0, "one too many"),
        ("on", None, "one is missing"),
        ("off", None, "none"),
        ("off", 3.0, "the two wires touch"),
    ],
)
def test_terminator_table(port: str, half: float | None, verdict: str | None) -> None:
    """What the half of the machine reads, with the port's terminator on or off."""
    links = (Link(a="1", b="2", ohms=Span.of(half) if half else Span(10000.0, 50000.0)),)
    machine, unit = bus_end("m", "machine", links), bus_end("u", "unit", switches={"T": port})
    job = Job(
        title="t",
        path="job.yaml",
        ends=frozen({"m": machine, "u": unit}),
        circuits=(Circuit(id="h", join=("m.1", "u.1")), Circuit(id="l", join=("m.2", "u.2"))),
    )
    from wiremap.rules import run

    found = [f for f in run(Harness(job)) if f.rule == "terminators"]
    assert [verdict] == [f.message.rpartition(": ")[2] for f in found] if verdict else not found
