"""Whatever a job leaves out, repeats or gets wrong, sizing it never breaks and never yields a figure that is none."""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sizing_jobs import cavity, pinout

from wiremap.graph import Harness
from wiremap.model import (
    Circuit,
    End,
    Extra,
    ExtraKind,
    Fed,
    Job,
    KeepOut,
    Leaflet,
    Run,
    Supply,
    Surroundings,
    Twist,
    Wall,
    Wire,
    frozen,
)
from wiremap.rules import book
from wiremap.rules.view import View
from wiremap.sizing.job import size_job
from wiremap.sizing.sized import Sized

FUNCTIONS = [
    "permanent-supply",
    "power-ground",
    "can-high",
    "can-low",
    "high-side-drive",
    "wake",
    "unknown",
    "shield",
]
amps = st.none() | st.sampled_from([0.001, 0.3, 2.0, 9.0, 45.0, 900.0])
wires = st.none() | st.sampled_from(
    [
        Wire("0.5 RD", 0.5),
        Wire("0.75? RD", 0.75, doubtful=True),
        Wire("RD"),
        Wire("0.6 RD", 0.6),
        Wire("4 RD", 4.0),
        Wire("0.35 thick RD", 0.35, wall=Wall.THICK),
        Wire("0.5 bare", 0.5, bare=True),
        Wire("20 AWG RD", 0.518, gauge="20 AWG"),
        Wire("0.22 GN", 0.22, tinned=True),
        Wire("1000 RD", 1000.0),
        Wire("0.5 RD", 0.5, outside_mm=0.2),
    ]
)
lengths = st.none() | st.sampled_from([0.0, 40.0, 300.0, 5000.0])


@st.composite
def ends(draw: st.DrawFn) -> list[End]:
    found = []
    for name, side in (("loom", "machine"), ("unit", "unit"), ("box", "between")):
        rows = [
            replace(
                cavity(
                    str(i),
                    draw(st.sampled_from(FUNCTIONS)),
                    None,
                    draw(amps),
                    good=draw(st.sampled_from([None, 4, 13])),
                    pair=draw(st.sampled_from([None, "a", "b"])),
                    peak_amps=draw(st.sampled_from([None, 3.0])),
                ),
                wire=draw(wires),
            )
            for i in range(1, 6)
        ]
        kind = draw(st.sampled_from(["cut-tail", "pigtail", "mate", "tap"]))
        fed = {}
        for i in draw(st.sets(st.sampled_from("12345"), max_size=2)):
            fed[i] = Fed(
                cavity=i,
                fuse="F",
                fuse_amps=draw(amps),
                found_amps=draw(amps),
                milliohm=draw(st.sampled_from([None, 0.0, 20.0])),
                length_mm=draw(lengths),
                unfused=draw(st.booleans()),
            )
        leaflet = draw(
            st.sampled_from(
                [
                    None,
                    Leaflet(fuse_amps=2, min_csa_mm2=0.5),
                    Leaflet(fuse_amps=2.5),
                    Leaflet(fuse_amps=None, min_csa_mm2=1.0),
                ]
            )
        )
        found.append(
            End(
                name=name,
                pinout=pinout(name, rows, leaflet=leaflet),
                kind=kind,
                side=side,
                tail_mm=draw(lengths),
                fed=frozen(fed),
            )
        )
    return found


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    fuse_amps, size_wanted = draw(
        st.sampled_from([(2, False), (None, True), (None, False), (6.5, False)])
    )
    extras = {
        "F1": Extra(name="F1", kind=ExtraKind.FUSE, detail="blade", amps=fuse_amps, size_wanted=size_wanted),
        "F2": Extra(name="F2", kind=ExtraKind.FUSE, detail="blade", amps=10.0), "R1": Extra(name="R1", kind=ExtraKind.RESISTOR, ohms=120.0), "G1": Extra(name="G1", kind=ExtraKind.STUD, detail="M6"),
    }  # fmt: skip
    points = [f"{e}.{i}" for e in ("loom", "unit", "box") for i in range(1, 6)]
    points += ["F1.a", "F1.b", "F2.a", "F2.b", "R1.a", "R1.b", "G1", "nobody.1"]
    circuits = []
    for i in range(draw(st.integers(1, 8))):
        join = tuple(draw(st.lists(st.sampled_from(points), min_size=1, max_size=4)))
        kind = draw(
            st.sampled_from(
                [None, "butt-crimp", "open-barrel", "lap-solder", "solder-sleeve", "glue"]
            )
        )
        at = draw(st.sampled_from([None, None, 10.0, 200.0, 999.0]))
        circuits.append(
            Circuit(
                id=f"c{i}",
                join=join,
                joint=kind,
                wire=draw(wires),
                length_mm=draw(lengths),
                at_mm=at,
            )
        )
    stretches = st.sampled_from([(0.0, 40.0), (100.0, 260.0), (0.0, 400.0)])
    keep = tuple(KeepOut(*pair) for pair in draw(st.lists(stretches, max_size=2)))
    a, b = draw(
        st.sampled_from([("loom", "unit"), ("unit", "loom"), ("loom", "gone"), ("box", "unit")])
    )
    run = Run(a=a, b=b, mm=draw(lengths), keep_out=keep)
    volts, low, high = draw(
        st.sampled_from(
            [
                (None, None, None),
                (12, 9, 15),
                (24, None, None),
                (800, None, None),
                (12, 15, 9),
                (0, 0, 0),
            ]
        )
    )
    around = Surroundings(
        ambient_C=draw(st.sampled_from([None, 60.0, 85.0, 300.0, -80.0])),
        wet=draw(st.sampled_from([None, True])),
        moves=draw(st.sampled_from([None, "none", "boom"])),
        bundle=draw(st.sampled_from([None, 1, 7, 500])),
    )
    return Job(
        title="fuzz", path="fuzz.yaml", ends=frozen({e.name: e for e in draw(ends())}), circuits=tuple(circuits), extras=frozen(extras), supply=Supply(volts=volts, min_volts=low, max_volts=high),
        surroundings=around, runs=(run,) * draw(st.integers(0, 2)), twists=frozen({"t": Twist(name="t", circuits=("c0", "c1"))}),
    )  # fmt: skip


@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(jobs())
def test_no_job_breaks_sizing_or_its_rules(job: Job) -> None:
    harness = Harness(job)
    found = size_job(harness)
    answers: list[Sized | None] = [j.sized for j in found.joints.values()] + [
        f.sized for f in found.fuses.values()
    ]
    answers += [f.sized for f in found.feeds] + [d.sized for f in found.feeds for d in f.drops]
    answers += [c.sized for c in found.continuity] + [t.sized for t in found.loaded]
    for answer in answers:
        for result in answer.results if answer else ():
            assert isinstance(result.value, str) or math.isfinite(result.value)
    view = View(harness)
    for family in ("wire", "fuse", "joint"):
        for rule in book()[family]:
            for hit in rule.check(view):
                assert "nan" not in rule.finding(hit).message.split()
