"""The graph of a job against a plain union-find, hand-made cases of every decision, and an outside solver for ohms."""

from __future__ import annotations

import itertools
import math
import random

import networkx as nx
import pytest

from wiremap.graph import Harness, ResistorNetwork, resistance_ohms, span_ohms
from wiremap.model import (
    Accepts,
    Cavity,
    Circuit,
    End,
    EndKind,
    Extra,
    ExtraKind,
    Job,
    Leg,
    Link,
    Pinout,
    Side,
    Span,
    Switch,
    Wire,
    frozen,
)
from wiremap.naming import Meaning


def cavity(name: str, function: str = "unknown", **more: object) -> Cavity:
    return Cavity(name=name, reading=Meaning(function), accepts=Accepts(), **more)  # type: ignore[arg-type]


def end(
    name: str,
    kind: str,
    side: str,
    n: int,
    functions: dict[str, str] | None = None,
    **pinout: object,
) -> End:
    cavities = {
        str(i): cavity(str(i), (functions or {}).get(str(i), "unknown"), wire=Wire("0.5 RD", 0.5))
        for i in range(1, n + 1)
    }
    more = {k: pinout.pop(k) for k in ("tail_mm", "mated", "switches") if k in pinout}
    return End(
        name=name,
        pinout=Pinout(title=name, path=f"{name}.yaml", cavities=frozen(cavities), **pinout),
        kind=kind,
        side=side,
        **more,
    )  # type: ignore[arg-type]


def harness_of(ends: list[End], circuits: list[Circuit], extras: list[Extra] = ()) -> Harness:  # type: ignore[assignment]
    return Harness(
        Job(
            title="t",
            path="job.yaml",
            ends=frozen({e.name: e for e in ends}),
            circuits=tuple(circuits),
            extras=frozen({x.name: x for x in extras}),
        )
    )


LOOM = end("loom", "cut-tail", "machine", 4)
DONOR = end("donor", "pigtail", "unit", 4)
GATE = end("gate", "mate", "between", 4)
WIRE = Wire("0.35 YE", 0.35)


def test_two_tails_make_two_conductors_and_one_joint() -> None:
    """Without `wire:` two tails meet in one joint."""
    h = harness_of([LOOM, DONOR], [Circuit(id="a", join=("loom.1", "donor.2"))])
    assert ["a:loom.1", "a:donor.2"] == list(h.conductors)
    assert ["a"] == list(h.joints)
    assert ("donor.2", "loom.1") == h.metals.of("loom.1").points


def test_a_tail_and_a_mate_contact_need_no_joint() -> None:
    """The tail is crimped straight into the contact."""
    h = harness_of([LOOM, GATE], [Circuit(id="a", join=("loom.1", "gate.2"))])
    assert {} == dict(h.joints)
    assert [("loom.1", "gate.2")] == [(c.a, c.b) for c in h.conductors.values()]


def test_two_contacts_without_a_tail_need_a_wire() -> None:
    """Told as a misfit; the intent is kept as metal."""
    h = harness_of([GATE], [Circuit(id="a", join=("gate.1", "gate.2"))])
    assert ["wire-needed"] == [m.kind for m in h.misfits]
    assert h.metals.of("gate.1") is h.metals.of("gate.2")


def test_a_new_wire_has_a_joint_at_each_tail() -> None:
    """With `wire:` one new conductor and as many joints as tails."""
    both = harness_of(
        [LOOM, DONOR], [Circuit(id="a", join=("loom.1", "donor.2"), wire=WIRE, length_mm=100)]
    )
    one = harness_of([LOOM, GATE], [Circuit(id="a", join=("loom.1", "gate.2"), wire=WIRE)])
    assert ["a@loom.1", "a@donor.2"] == list(both.joints)
    assert [100] == [c.length_mm for c in both.conductors.values() if c.origin == "new"]
    assert ["a"] == list(one.joints)


def test_more_than_two_meet_in_one_joint() -> None:
    """Each leg is a conductor; a contact without a tail takes the leg's or the circuit's wire."""
    circuit = Circuit(
        id="a",
        join=("loom.1", "donor.1", "gate.1"),
        legs=frozen({"gate.1": Leg(wire=WIRE, length_mm=300.0)}),
    )
    h = harness_of([LOOM, DONOR, GATE], [circuit])
    assert [3] == [len(j.conductors) for j in h.joints.values()]
    assert 300.0 == h.conductors["a:gate.1"].length_mm
    assert () == h.misfits


def test_a_contact_belongs_to_one_circuit() -> None:
    """Naming it in a second is told, with the first circuit's name."""
    h = harness_of(
        [LOOM, DONOR],
        [Circuit(id="a", join=("loom.1", "donor.1")), Circuit(id="b", join=("loom.1", "donor.2"))],
    )
    assert [("used-twice", "b", "loom.1", "a")] == [
        (m.kind, m.circuit, m.address, m.other_circuit) for m in h.misfits
    ]
    assert h.metals.of("donor.1") is h.metals.of("donor.2")


def test_an_unknown_cavity_is_told_with_its_neighbours() -> None:
    """Did you mean."""
    h = harness_of([LOOM, DONOR], [Circuit(id="a", join=("loom.11", "donor.1"))])
    assert "unknown-point" == h.misfits[0].kind
    assert "loom.1" in h.misfits[0].near


def test_fuse_parts_sections_but_not_metal() -> None:
    """Functions spread through a fuse; the ring-out counts with the fuses out."""
    h = harness_of(
        [LOOM, GATE],
        [
            Circuit(id="a", join=("loom.1", "F1.a")),
            Circuit(id="b", join=("F1.b", "gate.1"), wire=WIRE),
        ],
        [Extra(name="F1", kind=ExtraKind.FUSE, detail="blade", amps=2)],
    )
    assert h.metals.of("loom.1") is h.metals.of("gate.1")
    assert h.sections.of("loom.1") is not h.sections.of("gate.1")


def test_a_stud_touches_the_chassis_on_the_machine_only() -> None:
    """On the bench it lies loose."""
    h = harness_of(
        [GATE],
        [Circuit(id="a", join=("gate.1", "G1"), wire=WIRE)],
        [Extra(name="G1", kind=ExtraKind.STUD, detail="M6")],
    )
    assert "chassis" in h.metals.of("gate.1")
    assert "chassis" not in h.bench.of("gate.1")


def test_bridges_carry_intent_not_metal() -> None:
    """High finds high across the unit although the contacts are numbered the other way round."""
    gate = end(
        "gate",
        "mate",
        "between",
        4,
        {"1": "can-high", "2": "can-low", "3": "can-low", "4": "can-high"},
        segments=frozen({"a": ("1", "2"), "b": ("3", "4")}),
        bridges=(("a", "b"),),
    )
    h = harness_of([gate], [])
    assert h.intents.of("gate.1") is h.intents.of("gate.4")
    assert h.intents.of("gate.1") is not h.intents.of("gate.3")
    assert h.metals.of("gate.1") is not h.metals.of("gate.4")


def test_only_what_stays_counts() -> None:
    """`behind` of machine ends, `inside` of the others; the old unit's inside is gone with it."""
    loom = end(
        "loom",
        "cut-tail",
        "machine",
        4,
        inside=(Link(a="1", b="2", ohms=Span.of(120)),),
        behind=(Link(a="3", b="chassis", ohms=Span.of(7.5)),),
    )
    donor = end(
        "donor",
        "pigtail",
        "unit",
        4,
        inside=(Link(a="1", b="2", ohms=Span.of(60)),),
        behind=(Link(a="3", b="4", ohms=Span.of(1)),),
    )
    h = harness_of([loom, donor], [])
    assert [("loom.3", "chassis"), ("donor.1", "donor.2")] == [(b.a, b.b) for b in h.bonds]
    assert Span.of(60) == h.ohms("donor.1", "donor.2")
    assert "open" == str(h.ohms("donor.1", "donor.2", plugged=False))


def test_two_partitions_asked_in_turn_each_have_their_own_ohms() -> None:
    """A fuse carries as metal and parts the sections, whichever was asked before."""
    gate = end("gate", "mate", "between", 2, inside=(Link(a="1", b="2", ohms=Span.of(60)),))
    fed = [
        Circuit(id="a", join=("loom.1", "F1.a"), wire=WIRE),
        Circuit(id="b", join=("F1.b", "gate.1"), wire=WIRE),
    ]
    h = harness_of([LOOM, gate], fed, [Extra(name="F1", kind=ExtraKind.FUSE)])
    for nets, shown in ((h.metals, "60"), (h.sections, "open"), (h.metals, "60")):
        assert shown == str(h.ohms("loom.1", "gate.2", nets=nets))


def test_a_switch_counts_when_answered_on() -> None:
    """Unanswered is neither on nor off, and does not count."""
    for state, ohms in (({"TA": "on"}, "120"), ({"TA": "off"}, "open"), ({}, "open")):
        e = end("gate", "mate", "between", 4)
        pinout = Pinout(
            title="g",
            path="g",
            cavities=e.pinout.cavities,
            switches=frozen({"TA": Switch(name="TA", a="1", b="2", ohms=120.0)}),
        )
        h = harness_of(
            [
                End(
                    name="gate",
                    pinout=pinout,
                    kind=EndKind.MATE,
                    side=Side.BETWEEN,
                    switches=frozen(state),
                )
            ],
            [],
        )
        assert ohms == str(h.ohms("gate.1", "gate.2"))


def test_reach() -> None:
    """Face, joint, holder, far end, none."""
    h = harness_of(
        [LOOM, DONOR, GATE],
        [
            Circuit(id="a", join=("loom.1", "donor.1")),
            Circuit(id="b", join=("loom.2", "gate.2")),
            Circuit(id="c", join=("gate.3", "F1.a"), wire=WIRE),
            Circuit(id="d", join=("gate.4", "G1"), wire=WIRE),
        ],
        [Extra(name="F1", kind=ExtraKind.FUSE), Extra(name="G1", kind=ExtraKind.STUD)],
    )
    asked = ("loom.1", "loom.2", "loom.3", "donor.1", "gate.2", "F1.a", "G1")
    assert ["joint", "none", "none", "face", "face", "holder", "far-end"] == [
        h.reach(a) for a in asked
    ]


def test_a_tap_gets_a_joint_and_keeps_its_wire() -> None:
    """The T sits on the wire that stays in service."""
    h = harness_of(
        [end("feed", "tap", "machine", 2), GATE],
        [Circuit(id="a", join=("feed.1", "gate.1"), wire=WIRE, length_mm=150)],
    )
    assert [True] == [j.tap for j in h.joints.values()]
    assert ["gate.2", "gate.3", "gate.4"] == [p.address for p in h.not_joined()]


def plain_groups(h: Harness, fuses: bool) -> set[frozenset[str]]:
    """Metal by the plainest means: merge sets until nothing changes."""
    groups = [{a} for a in h.points]
    ties = [[a for a in c.join if a in h.points and a != "chassis"] for c in h.job.circuits]
    ties += [list(x.legs) for x in h.job.extras.values() if x.kind == "fuse" and fuses]
    ties += [[x.name, "chassis"] for x in h.job.extras.values() if x.kind == "stud" and fuses]
    for tie in ties:
        touched = [g for g in groups if g & set(tie)]
        groups = [g for g in groups if not g & set(tie)] + (
            [set().union(*touched)] if touched else []
        )
    return {frozenset(g) for g in groups}


@pytest.mark.parametrize("seed", range(60))
def test_metal_is_what_a_plain_union_finds(seed: int) -> None:
    """Random jobs: metal and sections equal the plain merging of what the circuits name."""
    rng = random.Random(seed)
    ends = [
        end("loom", "cut-tail", "machine", 8),
        end("donor", "pigtail", "unit", 8),
        end("gate", "mate", "between", 5),
        end("feed", "tap", "machine", 3),
    ]
    extras = [
        Extra(name="F1", kind=ExtraKind.FUSE),
        Extra(name="R1", kind=ExtraKind.RESISTOR, ohms=120),
        Extra(name="D1", kind=ExtraKind.DIODE),
        Extra(name="G1", kind=ExtraKind.STUD),
    ]
    pool = [f"{e.name}.{c}" for e in ends for c in e.pinout.cavities] + [
        leg for x in extras for leg in x.legs
    ]
    circuits = [
        Circuit(
            id=f"c{i}",
            join=tuple(rng.sample(pool, rng.choice((2, 2, 2, 3, 4)))),
            wire=rng.choice((None, WIRE)),
        )
        for i in range(rng.randint(1, 9))
    ]
    h = harness_of(ends, circuits, extras)
    assert {frozenset(n.points) for n in h.metals} == plain_groups(h, fuses=True)
    assert {frozenset(n.points) for n in h.sections} == plain_groups(h, fuses=False)


@pytest.mark.parametrize("seed", range(25))
def test_ohms_equal_an_outside_solver(seed: int) -> None:
    """Random networks against networkx.resistance_distance (pseudo-inverse of the Laplacian)."""
    rng = random.Random(seed)
    n = rng.randint(2, 9)
    tree = [(str(i), str(rng.randrange(i)), rng.uniform(1, 1000)) for i in range(1, n)]
    more = [
        (str(a), str(b), rng.uniform(1, 1000))
        for a, b in itertools.combinations(range(n), 2)
        if rng.random() < 0.3
    ]
    edges = tree + more
    graph = nx.Graph()
    for u, v, ohms in edges:  # parallel edges add their conductances
        old = graph[u][v]["ohms"] if graph.has_edge(u, v) else float("inf")
        graph.add_edge(u, v, ohms=1 / (1 / old + 1 / ohms))
    a, b = rng.sample(range(n), 2) if n > 1 else (0, 0)
    expected = nx.resistance_distance(graph, str(a), str(b), weight="ohms", invert_weight=True)
    assert expected == pytest.approx(resistance_ohms(edges, str(a), str(b)), rel=1e-9)


def test_a_network_asked_often_says_what_one_asked_once_does() -> None:
    """Whatever hangs beside the way changes nothing, and bands stay bands; 200 drawn networks."""
    rng = random.Random(7)
    for _ in range(200):
        nodes = [f"n{i}" for i in range(rng.randint(2, 9))]
        edges = []
        for _ in range(rng.randint(1, 12)):
            low = rng.choice([0.0, 1.0, 7.5, 120.0, float("inf")])
            edges.append((*rng.sample(nodes, 2), Span(low, low * rng.choice([1.0, 1.5]))))
        a, b = rng.sample(nodes, 2)
        known, asked = span_ohms(edges, a, b), ResistorNetwork(edges).span(a, b)
        assert asked.low == pytest.approx(known.low) and asked.high == pytest.approx(known.high)


def test_what_the_graph_says_is_what_its_edges_say() -> None:
    """Without the edges of the graph nothing is connected: no second list answers."""
    harness = harness_of(
        [end("a", "cut-tail", "machine", 2), end("b", "pigtail", "unit", 2)],
        [Circuit(id="x", join=("a.1", "b.1"))],
    )
    assert harness.way("a.1", "b.1") is not None
    harness = harness_of(
        [end("a", "cut-tail", "machine", 2), end("b", "pigtail", "unit", 2)],
        [Circuit(id="x", join=("a.1", "b.1"))],
    )
    harness.graph.remove_edges_from(list(harness.graph.edges))
    assert harness.way("a.1", "b.1") is None
    assert len(harness.metals) == len(harness.points)


def test_a_part_inside_at_a_contact_that_is_not_there_joins_nothing() -> None:
    """The leaflet names a contact that this face has not: the rest of the harness is built without it."""
    inside = (Link(a="1", b="2", ohms=Span.of(120)), Link(a="1", b="99", ohms=Span.of(120)))
    harness = harness_of([end("gate", "mate", "between", 2, inside=inside)], [])
    assert [(str(bond.a), str(bond.b)) for bond in harness.bonds] == [("gate.1", "gate.2")]


def test_a_diode_reads_anything_from_a_short_on() -> None:
    """Its ohms hang on the meter: none are expected, neither few nor many."""
    diode = Extra(name="D1", kind=ExtraKind.DIODE)
    (bond,) = harness_of([GATE], [], [diode]).bonds
    assert bond.ohms == Span(0.0, math.inf)
