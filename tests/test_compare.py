"""Comparison by meaning: nothing where nothing differs, exactly the mutation where one was made, the dangerous first."""

from __future__ import annotations

import dataclasses
import json
import re
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from called import called
from demo_jobs import DEMO, DEMO_JOB, filed_demo
from hypothesis import given, settings
from hypothesis import strategies as st

from wiremap.files import load_job, load_pinout
from wiremap.model import Cavity, Circuit, End, Extra, Job, Pinout, Span, frozen
from wiremap.rules.faces import misreadings
from wiremap.share.canonical import FORM
from wiremap.share.changes import Change, ChangeKind
from wiremap.share.compare import compare_jobs, compare_pinouts
from wiremap.share.pack import pack
from wiremap.share.revisions import compare_paths

NAMES = ("series1-loom", "series2-donor", "gateway", "socket16")


@cache
def pinout(name: str = "series1-loom") -> Pinout:
    found = load_pinout(DEMO / f"{name}.yaml").value
    assert found is not None
    return found


def kinds(changes: list[Change]) -> list[str]:
    return [c.kind for c in changes]


def with_cavity(p: Pinout, name: str, **change: Any) -> Pinout:
    return replace(p, cavities=frozen({**p.cavities, name: replace(p.cavities[name], **change)}))


def with_end(job: Job, name: str, **change: Any) -> Job:
    return replace(job, ends=frozen({**job.ends, name: replace(job.ends[name], **change)}))


def with_circuit(job: Job, name: str, **change: Any) -> Job:
    return replace(
        job, circuits=tuple(replace(c, **change) if c.id == name else c for c in job.circuits)
    )


def with_function(c: Cavity, function: str) -> dict[str, Any]:
    return {"reading": replace(c.reading, function=function)}


def with_size(c: Cavity, factor: float) -> dict[str, Any]:
    assert c.wire is not None and c.wire.csa_mm2 is not None
    return {"wire": replace(c.wire, csa_mm2=c.wire.csa_mm2 * factor)}


MUTATIONS: dict[str, tuple[str, Callable[[Cavity], dict[str, Any] | None]]] = {
    "function": (
        "function",
        lambda c: (
            None if c.function in ("unused", "lamp-feed", "k-line") else with_function(c, "k-line")
        ),
    ),
    "ground": (
        "ground-kind",
        lambda c: with_function(c, "frame-ground") if c.function == "power-ground" else None,
    ),
    "leg": ("leg", lambda c: with_function(c, "can-low") if c.function == "can-high" else None),
    "volts": ("volts", lambda c: {"volts": Span(23.0, 25.0)}),
    "chain": ("chain", lambda c: {"chain": (c.chain or "") + "x"}),
    "pair": ("pair", lambda c: {"pair": (c.pair or "") + "x"}),
    "rate": ("rate", lambda c: {"kbit_s": (c.kbit_s or 0) + 250.0}),
    "flow": ("flow", lambda c: {"flow": "to-unit" if c.flow != "to-unit" else "both"}),
    "need": ("need", lambda c: {"need": "may" if c.need == "must" else "must"}),
    "amps": ("amps", lambda c: {"amps": (c.amps or 0) + 0.1}),
    "basis": ("basis", lambda c: {"basis": "told" if c.basis != "told" else "measured"}),
    "wire down": ("wire-down", lambda c: with_size(c, 0.5) if c.wire and c.wire.csa_mm2 else None),
    "wire up": ("wire-up", lambda c: with_size(c, 2) if c.wire and c.wire.csa_mm2 else None),
    "name": ("name", lambda c: {"signal": c.signal + " anew"} if c.signal else None),
    "side": (
        "signal",
        lambda c: {
            "signal": c.signal + " left",
            "reading": replace(c.reading, qualifiers=(*c.reading.qualifiers, ("side", "left"))),
        },
    ),
    "caution": ("note", lambda c: {"caution": "mind it"}),
}
SPOTS = [
    (f, n, m)
    for f in NAMES
    for n, c in pinout(f).cavities.items()
    for m, (_, make) in MUTATIONS.items()
    if make(c)
]


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(SPOTS))
def test_one_mutation_of_a_cavity_is_named_alone(spot: tuple[str, str, str]) -> None:
    """Right kind, right cavity, nothing else; and the same read backwards, wire up and down exchanged."""
    file, name, mutation = spot
    kind, make = MUTATIONS[mutation]
    a = pinout(file)
    b = with_cavity(a, name, **(make(a.cavities[name]) or {}))
    assert [(kind, (name,))] == [(c.kind, c.subject) for c in compare_pinouts(a, b)]
    back = {"wire-up": "wire-down", "wire-down": "wire-up"}.get(kind, kind)
    assert [(back, (name,))] == [(c.kind, c.subject) for c in compare_pinouts(b, a)]


@pytest.mark.parametrize("name", NAMES)
def test_a_pinout_is_like_itself(name: str) -> None:
    assert compare_pinouts(pinout(name), pinout(name)) == []


def test_a_job_is_like_itself() -> None:
    assert compare_jobs(filed_demo(), filed_demo()) == []


JOB_MUTATIONS: dict[str, tuple[Callable[[Job], Job], list[str], str]] = {
    "fuse before": (
        lambda j: with_end(
            j, "loom", fed=frozen({"1": replace(j.ends["loom"].fed["1"], fuse_amps=15.0)})
        ),
        ["fuse-up"],
        "loom.1",
    ),
    "fuse smaller": (
        lambda j: with_end(
            j, "loom", fed=frozen({"1": replace(j.ends["loom"].fed["1"], fuse_amps=3.0)})
        ),
        ["fuse-down"],
        "loom.1",
    ),
    "own fuse": (
        lambda j: replace(j, extras=frozen({**j.extras, "F1": replace(j.extras["F1"], amps=10.0)})),
        ["fuse-up"],
        "F1",
    ),
    "resistor": (
        lambda j: replace(j, extras=frozen({**j.extras, "R1": replace(j.extras["R1"], ohms=60.0)})),
        ["extra"],
        "R1",
    ),
    "switch": (
        lambda j: with_end(j, "gateway", switches=frozen({"TA": "off", "TB": "on"})),
        ["coding"],
        "gateway",
    ),
    "tail": (lambda j: with_end(j, "loom", tail_mm=300.0), ["length"], "loom"),
    "side": (lambda j: with_end(j, "gateway", side="unit"), ["end"], "gateway"),
    "parted": (
        lambda j: with_circuit(j, "supply", join=("loom.1", "donor.3")),
        ["parted"],
        "donor.4",
    ),
    "joined": (
        lambda j: with_circuit(j, "wake", join=("loom.4", "donor.7", "donor.11")),
        ["joined", "not-joined"][:1],
        "donor.11",
    ),
    "left out": (
        lambda j: replace(
            j,
            not_joined=frozen(
                {**j.not_joined, "donor.11": replace(j.not_joined["donor.11"], treat="blank")}
            ),
        ),
        ["not-joined"],
        "donor.11",
    ),
    "settled": (lambda j: replace(j, confirmed=j.confirmed[1:]), ["settled"], "supply"),
    "joint": (lambda j: with_circuit(j, "wake", joint="lap-solder"), ["wire"], "wake"),
    "where": (lambda j: with_circuit(j, "wake", at_mm=120.0), ["length"], "wake"),
    "title": (lambda j: replace(j, title="other"), ["name"], ""),
    "withdrawn": (lambda j: replace(j, withdrawn="burned a valve driver"), ["withdrawn"], ""),
    "supply": (lambda j: replace(j, supply=replace(j.supply, volts=24.0)), ["supply"], ""),
    "run": (lambda j: replace(j, runs=(replace(j.runs[0], mm=300.0),)), ["length"], ""),
    "twist": (lambda j: replace(j, twists=frozen({"a": j.twists["a"]})), ["pair"], ""),
    "answer": (
        lambda j: replace(
            j,
            notebooks=tuple(
                replace(n, entries=tuple(e for e in n.entries if e.kind != "answer"))
                for n in j.notebooks
            ),
        ),
        ["answer"],
        "loom.12",
    ),
}


@pytest.mark.parametrize("mutation", JOB_MUTATIONS)
def test_one_mutation_of_a_job_is_named_alone(mutation: str) -> None:
    make, expected, subject = JOB_MUTATIONS[mutation]
    changes = compare_jobs(filed_demo(), make(filed_demo()))
    assert set(expected) == set(kinds(changes))
    assert not subject or any(subject in c.subject for c in changes)
    assert all(subject in c.subject or kind_of_answer(c) for c in changes if subject)


def kind_of_answer(change: Change) -> bool:
    return change.kind == "answer"


def test_two_points_exchanged_are_parted_and_joined() -> None:
    """Both circuits are named, with their points, and nothing else is."""
    b = with_circuit(
        with_circuit(filed_demo(), "spinner", join=("loom.3", "donor.13")),
        "conveyor",
        join=("loom.5", "donor.12"),
    )
    changes = compare_jobs(filed_demo(), b)
    assert kinds(changes) == ["joined", "joined", "parted", "parted"]
    assert {"loom.3", "loom.5", "donor.12", "donor.13"} == {p for c in changes for p in c.subject}


def renamed(folder: Path, called: dict[str, str]) -> Path:
    """The demo with its ends, and every address that names them, called otherwise."""
    shutil.copytree(DEMO, folder)
    for name in ("job.yaml", "notebook.yaml"):
        text = (folder / name).read_text(encoding="utf-8")
        text = re.sub(
            r"(?<![-\w])(loom|donor|gateway|feed)(?!\.yaml)(?=\.\w|[,\]]|:)",
            lambda m: called.get(m[1], m[1]),
            text,
        )
        text = re.sub(r"of: [0-9a-f]{12}", "of: 000000000000", text)
        (folder / name).write_text(text, encoding="utf-8")
    return folder / "job.yaml"


@pytest.mark.parametrize(
    "called",
    [
        {"loom": "old", "donor": "new", "gateway": "box", "feed": "plug"},
        {"loom": "donor", "donor": "loom"},
    ],
)
def test_renaming_ends_is_no_difference(called: dict[str, str], tmp_path: Path) -> None:
    """Not even when two ends exchange their names."""
    other = load_job(renamed(tmp_path / "d", called)).value
    assert other is not None
    assert called["loom"] in other.ends
    assert compare_jobs(filed_demo(), other) == []


@settings(max_examples=20, deadline=None)
@given(st.randoms(use_true_random=False))
def test_order_and_circuit_names_are_no_difference(rng: Any) -> None:
    """Circuits, points of a circuit, ends, cavities and links in any order; circuits called otherwise."""
    a = filed_demo()
    circuits = [
        replace(c, join=tuple(rng.sample(c.join, len(c.join))))
        for c in rng.sample(a.circuits, len(a.circuits))
    ]
    ends = rng.sample(list(a.ends.items()), len(a.ends))

    def shuffled(p: Pinout) -> Pinout:
        links = tuple(replace(x, a=x.b, b=x.a) for x in rng.sample(p.behind, len(p.behind)))
        return replace(
            p,
            cavities=frozen(dict(rng.sample(list(p.cavities.items()), len(p.cavities)))),
            behind=links,
        )

    b = replace(
        a,
        circuits=tuple(circuits),
        ends=frozen({n: replace(e, pinout=shuffled(e.pinout)) for n, e in ends}),
    )
    assert compare_jobs(a, b) == []


# What is only form, or told through another field of the same thing.
NOT_MEANT = FORM | {"name", "kind", "cavity", "join", "reading"}


def other_value(value: Any) -> Any:
    """Some other value of like kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, str):
        return value + "x"
    if isinstance(value, int | float):
        return value + 1
    if isinstance(value, Span):
        return Span(value.low + 1, value.high + 1)
    if isinstance(value, tuple):
        return value[1:] if value else ("x",)
    return None


def every_field(thing: Any) -> list[str]:
    return [
        f.name
        for f in dataclasses.fields(thing)
        if f.name not in NOT_MEANT and other_value(getattr(thing, f.name)) is not None
    ]


def test_no_field_of_a_cavity_goes_unsaid() -> None:
    """Whatever field of a full cavity changes, comparison says something."""
    c = replace(
        pinout().cavities["12"],
        amps=1.0,
        volts_ac=1.0,
        peak_amps=2.0,
        asleep_amps=0.1,
        pair="p",
        chain="c",
        kbit_s=1.0,
        serves=("1",),
        as_found="empty",
        caution="x",
        ohms=Span(1, 2),
        source="s",
    )
    a = replace(pinout(), cavities=frozen({**pinout().cavities, "12": c}))
    fields = every_field(c)
    assert len(fields) >= 17
    assert [
        f
        for f in fields
        if not compare_pinouts(a, with_cavity(a, "12", **{f: other_value(getattr(c, f))}))
    ] == []


@pytest.mark.parametrize("thing", ["circuit", "end", "extra", "job", "supply", "surroundings"])
def test_no_field_of_a_job_goes_unsaid(thing: str) -> None:
    a = replace(
        filed_demo(),
        withdrawn="x",
        circuits=tuple(
            replace(c, length_mm=1.0, at_mm=1.0, grade="ask") for c in filed_demo().circuits
        ),
        surroundings=replace(filed_demo().surroundings, bundle=3),
        extras=frozen(
            {
                n: replace(e, amps=1.0, ohms=1.0, watts=1.0, at_mm=1.0)
                for n, e in filed_demo().extras.items()
            }
        ),
    )

    def changed(f: str) -> Job:
        if thing == "circuit":
            return with_circuit(a, "wake", **{f: other_value(getattr(a.circuit("wake"), f))})
        if thing == "end":
            return with_end(a, "loom", **{f: other_value(getattr(a.ends["loom"], f))})
        if thing == "extra":
            return replace(
                a,
                extras=frozen(
                    {
                        **a.extras,
                        "R1": replace(
                            a.extras["R1"], **{f: other_value(getattr(a.extras["R1"], f))}
                        ),
                    }
                ),
            )
        if thing == "job":
            return replace(a, **{f: other_value(getattr(a, f))})
        part = getattr(a, thing)
        return replace(a, **{thing: replace(part, **{f: other_value(getattr(part, f))})})

    of: dict[str, Circuit | End | Extra | Job | Any] = {
        "circuit": a.circuit("wake"),
        "end": a.ends["loom"],
        "extra": a.extras["R1"],
        "job": a,
    }
    fields = [
        f
        for f in every_field(of.get(thing) or getattr(a, thing))
        if f not in ("id",) or thing == "job"
    ]
    assert fields
    unsaid = {"size_wanted", "answered"}  # of fuses without a figure; of parts that no file has
    assert [f for f in fields if f not in unsaid and not compare_jobs(a, changed(f))] == []


@pytest.mark.parametrize(
    "kind", ["mirrored", "rotated", "rows-swapped", "shifted", "by-columns", "snake"]
)
def test_a_misread_face_is_said_first(kind: str) -> None:
    """One table written down through a whole-face mistake: the mistake heads the list."""
    a = pinout()
    assert a.connector.face is not None
    taken = next(m.taken_for for m in misreadings(a.connector.face.padded()) if m.kind == kind)
    b = replace(
        a, cavities=frozen({n: replace(a.cavities[taken.get(n, n)], name=n) for n in a.cavities})
    )
    first = compare_pinouts(a, b)[0]
    assert ("misread-face", kind) == (first.kind, first.new)


def test_a_signal_that_vanishes_under_one_that_moved_is_named() -> None:
    """Cavity 5's signal moves onto cavity 4: what stood on 4 stands nowhere any more."""
    a = pinout()
    free = replace(
        a.cavities["5"],
        reading=replace(a.cavities["5"].reading, function="unused"),
        signal="",
        wire=None,
    )
    b = replace(
        a, cavities=frozen({**a.cavities, "4": replace(a.cavities["5"], name="4"), "5": free})
    )
    changes = compare_pinouts(a, b)
    assert [(c.kind, c.subject) for c in changes] == [("cavity", ("4",)), ("moved", ("5", "4"))]
    assert "Key on stands nowhere" in changes[0].message


def test_a_change_is_told_with_its_place_where_it_has_one() -> None:
    """A cavity's change begins with the cavity; that of a whole job's supply with what it is."""
    a, job = pinout(), filed_demo()
    assert job.supply is not None
    of_cavity = compare_pinouts(a, with_cavity(a, "14", volts=Span(23.0, 25.0)))
    of_job = compare_jobs(job, replace(job, supply=replace(job.supply, volts=24.0)))
    assert of_cavity[0].message.startswith("14: volts ")
    assert of_job[0].message.startswith("the supply was ")


def test_the_dangerous_stand_first() -> None:
    """A new function, then a thinner wire, then a new colour, then a new name."""
    a = pinout()
    b = with_cavity(a, "14", reading=replace(a.cavities["14"].reading, function="permanent-supply"))
    b = with_cavity(b, "3", **with_size(b.cavities["3"], 0.5))
    b = with_cavity(
        b, "13", wire=replace(b.cavities["13"].wire, colour=a.cavities["1"].wire.colour)
    )  # type: ignore[union-attr,type-var]
    b = with_cavity(b, "12", signal="Spinner speed sensor")
    assert kinds(compare_pinouts(a, b)) == ["function", "wire-down", "colour", "name"]
    order = [*ChangeKind]
    assert order.index(ChangeKind.FUNCTION) < order.index(ChangeKind.WIRE_DOWN)
    assert order.index(ChangeKind.WIRE_DOWN) < order.index(ChangeKind.COLOUR)


def test_folders_and_packs_and_what_a_change_does(tmp_path: Path) -> None:
    """A pack against a changed folder: verdict and harmful slips are told as well."""
    made = pack(DEMO_JOB, author="RK", licence="CC-BY-4.0", date="2026-03-02").data
    assert made is not None
    (tmp_path / "a.zip").write_bytes(made)
    shutil.copytree(DEMO, tmp_path / "b", ignore=shutil.ignore_patterns("papers"))
    same = compare_paths(tmp_path / "a.zip", tmp_path / "b")
    assert (same.changes, same.verdict) == ((), ("in-order", "in-order"))
    assert same.harm[0] == same.harm[1] > 0
    job = tmp_path / "b" / "job.yaml"
    job.write_text(
        job.read_text(encoding="utf-8")
        .replace("join: [loom.11, donor.5]", "join: [loom.11, loom.1, donor.5]")
        .replace("join: [loom.1, donor.3, donor.4]", "join: [donor.3, donor.4]"),
        encoding="utf-8",
    )
    differs = compare_paths(tmp_path / "a.zip", tmp_path / "b")
    assert differs.verdict == ("in-order", "hold")
    assert (
        {"joined", "parted", "settled"} >= set(kinds(list(differs.changes))) >= {"joined", "parted"}
    )


def test_the_command(tmp_path: Path) -> None:
    """Exit 0 without, 1 with a difference, 2 for what cannot be read."""

    def run(*args: str) -> subprocess.CompletedProcess[str]:
        return called("compare", *args)

    a = str(DEMO / "series1-loom.yaml")
    b = tmp_path / "b.yaml"
    b.write_text(
        Path(a).read_text(encoding="utf-8").replace("volts: 5,", "volts: 12,"), encoding="utf-8"
    )
    same = run(a, a)
    assert (same.returncode, same.stdout.splitlines()[0]) == (0, "they mean the same")
    other = run(a, str(b), "--json")
    body = json.loads(other.stdout)
    assert (other.returncode, body["wiremap"], body["same"]) == (1, "compare/1", False)
    assert [(c["kind"], c["subject"], c["old"], c["new"]) for c in body["changes"]] == [
        ("volts", ["11"], "5", "12")
    ]
    assert run(a, str(DEMO_JOB)).returncode == 2
    assert run(a, str(tmp_path / "none.yaml")).returncode == 2
