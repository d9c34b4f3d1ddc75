"""Propose: the assignment against an outside solver, the demo's expectations, and the command."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
from pathlib import Path

import pytest
from demo_jobs import DEMO, DEMO_JOB, ROOT

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.files import load_job, load_pinout
from wiremap.model import Address, Cavity, Pinout, frozen
from wiremap.naming import Meaning, read_signal
from wiremap.propose import Proposal, propose
from wiremap.propose.details import Weighing
from wiremap.propose.matching import best_assignment
from wiremap.propose.returns import _serves_words

OLD, NEW = (DEMO / "papers" / f"{n}.yaml" for n in ("series1-loom", "series2-donor"))


# -- the assignment ------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(80))
def test_assignment_weighs_as_much_as_an_outside_solver_finds(seed: int) -> None:
    """Random sparse instances against scipy.optimize.linear_sum_assignment, staying alone worth nothing."""
    numpy = pytest.importorskip("numpy")
    optimize = pytest.importorskip("scipy.optimize")
    rng = random.Random(seed)
    n, m = rng.randint(1, 14), rng.randint(1, 14)
    weights = {
        (f"a{i}", f"b{j}"): rng.randint(1, 12)
        for i in range(n)
        for j in range(m)
        if rng.random() < 0.5
    }
    cost = numpy.zeros((n, m))
    for (a, b), w in weights.items():
        cost[int(a[1:]), int(b[1:])] = -w
    rows, columns = optimize.linear_sum_assignment(cost)
    chosen = best_assignment(weights)
    assert len(set(chosen.values())) == len(chosen)
    assert -cost[rows, columns].sum() == sum(weights[pair] for pair in chosen.items())


def test_nothing_is_assigned_where_nothing_is_possible() -> None:
    assert {} == best_assignment({})
    assert {} == best_assignment({("a", "b"): 0})


# -- the demo ------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def raw_papers() -> Proposal:
    old, new = load_pinout(OLD).value, load_pinout(NEW).value
    assert old is not None and new is not None
    return propose([("loom", old)], [("donor", new)])


def grades(found: Proposal) -> dict[frozenset[str], str]:
    return {frozenset(c.join): c.grade for c in found.circuits}


def test_the_raw_papers(raw_papers: Proposal) -> None:
    """Merges, valves and exchanged sensors ask; certain at most are 5 V, sensor return, wake and the loop."""
    found = grades(raw_papers)
    assert "ask" == found[frozenset({"loom.1", "donor.3", "donor.4"})]
    assert "ask" == found[frozenset({"loom.2", "donor.1", "donor.2"})]
    assert (
        "ask"
        == found[frozenset({"loom.3", "donor.12"})]
        == found[frozenset({"loom.5", "donor.13"})]
    )
    sure = {p for c in raw_papers.circuits if c.grade == "certain" for p in c.join}
    assert sure <= {
        "loom.11",
        "donor.5",
        "loom.8",
        "donor.6",
        "loom.4",
        "donor.7",
        "loom.9",
        "donor.15",
        "loom.10",
        "donor.14",
    }


def test_service_data_finds_no_home(raw_papers: Proposal) -> None:
    """K-line and LIN look alike in volts, wire and colour, and are not the same."""
    lost = {n.point: n for n in raw_papers.no_home}
    assert "donor.19" == lost["loom.14"].nearest
    assert "k-line is not lin" in lost["loom.14"].why
    assert {"donor.11", "donor.18", "donor.19"} <= lost.keys()


def test_pairs_of_unlike_rate_need_logic(raw_papers: Proposal) -> None:
    """250 and 500 kbit/s: a gateway's work."""
    assert [{"loom.6", "loom.7", "donor.8", "donor.9"}] == [
        set(n.points) for n in raw_papers.needs_logic
    ]


def test_every_cavity_is_joined_or_left_out(raw_papers: Proposal) -> None:
    joined = {p for c in raw_papers.circuits for p in c.join}
    left = {n.point for n in raw_papers.not_joined}
    assert set() == joined & left
    assert {f"loom.{i}" for i in range(1, 15)} | {
        f"donor.{i}" for i in range(1, 21)
    } == joined | left
    assert all(n.why and n.treat for n in raw_papers.not_joined)


def test_equal_numbers_and_colours_raise_nothing() -> None:
    """The same two papers with every colour gone and the contacts renumbered give the same grades."""

    def bare(path: Path, shift: int) -> Pinout:
        pinout = load_pinout(path).value
        assert pinout is not None
        from dataclasses import replace

        moved = {
            str(int(n) + shift): replace(c, name=str(int(n) + shift), wire=None, serves=())
            for n, c in pinout.cavities.items()
        }
        return replace(pinout, cavities=frozen(moved))

    plain = propose([("loom", bare(OLD, 0))], [("donor", bare(NEW, 0))])
    moved = propose([("loom", bare(OLD, 0))], [("donor", bare(NEW, 30))])
    assert sorted(g for g in grades(plain).values()) == sorted(g for g in grades(moved).values())
    named = {
        frozenset(
            p if p.startswith("loom") else f"donor.{int(p.split('.')[1]) - 30}" for p in c.join
        ): c.grade
        for c in moved.circuits
    }
    assert grades(plain) == named


def pinout(name: str, rows: dict[str, str], **more: object) -> tuple[str, Pinout]:
    return name, Pinout(
        title=name,
        path=f"{name}.yaml",
        cavities=frozen(
            {n: Cavity(name=n, reading=read_signal(s), signal=s, **more) for n, s in rows.items()}
        ),
    )  # type: ignore[arg-type]


def test_a_second_candidate_that_fits_forbids_certain() -> None:
    """One horn on the old side, two on the new: a question."""
    found = propose(
        [pinout("a", {"1": "horn relay"})], [pinout("b", {"1": "horn relay", "2": "horn relay"})]
    )
    assert ["ask"] == [c.grade for c in found.circuits]


@pytest.mark.parametrize(
    "function", ["digital-input", "high-side-drive", "lamp-feed", "single-ended-data", "speaker"]
)
def test_a_function_without_a_name_is_a_question(function: str) -> None:
    """Two inputs of which nothing else is told: that there is one on each side does not make them the same."""
    one, two = (
        (
            n,
            Pinout(
                title=n,
                path=f"{n}.yaml",
                cavities=frozen({"1": Cavity(name="1", reading=read_signal("", stated=function))}),
            ),
        )
        for n in ("a", "b")
    )
    assert ["ask"] == [c.grade for c in propose([one], [two]).circuits]


def test_a_supply_is_never_offered_to_a_ground_or_an_unknown() -> None:
    found = propose(
        [pinout("a", {"1": "+12 V always", "2": "xyzzy"})],
        [pinout("b", {"1": "earth", "2": "permanent live"})],
    )
    assert {frozenset({"a.1", "b.2"})} == set(grades(found))


def test_two_sources_of_the_machine_are_never_joined() -> None:
    """Two permanent supplies on the old side, one on the new: the second stays alone and says why."""
    found = propose(
        [pinout("a", {"1": "permanent supply", "2": "permanent supply"})],
        [pinout("b", {"1": "permanent supply"})],
    )
    assert all(len(c.join) == 2 for c in found.circuits)
    assert any("two sources" in n.why for n in found.no_home)


def test_one_lamp_wire_that_became_two_needs_logic() -> None:
    """A combined stop and turn lamp cannot be spliced to a stop and a turn lamp."""
    found = propose(
        [pinout("a", {"1": "left stop/turn"})],
        [pinout("b", {"1": "left turn signal", "2": "stop lamp"})],
    )
    assert () == found.circuits
    assert [{"a.1", "b.1", "b.2"}] == [set(n.points) for n in found.needs_logic]


# -- the command ---------------------------------------------------------------------------------------


def test_the_written_job_loads_and_holds(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Grades and reasons come back from the file; the asks hold it."""
    for source, name in ((OLD, "old.yaml"), (NEW, "new.yaml")):
        (tmp_path / name).write_bytes(source.read_bytes())
    words = [
        "propose",
        str(tmp_path / "old.yaml"),
        str(tmp_path / "new.yaml"),
        "-o",
        str(tmp_path / "job.yaml"),
    ]
    assert 1 == main(words)
    job = load_job(tmp_path / "job.yaml").value
    assert job is not None and all(c.grade and c.because for c in job.circuits)
    assert ["hold"] == [j.verdict for j in check([tmp_path / "job.yaml"]).jobs]
    assert 2 == main(words), "an output that is there is not overwritten"
    capsys.readouterr()


def test_a_job_is_not_written_where_it_could_not_be_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A job may only name pinouts of its own folder tree: said, exit 2, nothing written."""
    assert 2 == main(["propose", str(OLD), str(NEW), "-o", str(tmp_path / "job.yaml")])
    assert "outside" in capsys.readouterr().err
    assert [] == list(tmp_path.iterdir())


def test_json_shape(capsys: pytest.CaptureFixture[str]) -> None:
    assert 1 == main(["propose", str(OLD), str(NEW), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert ["wiremap", "circuits", "no_home", "needs_logic"] == list(told)
    assert {"join", "grade", "because"} == set(told["circuits"][0])
    assert {"point", "why", "nearest"} == set(told["no_home"][0])
    assert any(p.startswith("old.") for p in told["circuits"][0]["join"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([str(OLD), str(NEW), str(NEW)], "--old A B --new C"),
        ([str(OLD)], "two pinouts"),
        (["--old", str(OLD)], "--new is missing"),
        ([str(OLD), str(NEW), "--end", "x"], "NAME=FILE"),
        ([str(OLD), str(NEW), "--end", f"a.b={OLD}"], "without dots"),
        ([str(OLD), "nope.yaml"], "no such file"),
        ([str(OLD), str(DEMO_JOB)], "a pinout is wanted"),
    ],
)
def test_wrong_calls(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One clear line on stderr, exit 2; with --json the same as findings."""
    assert 2 == main(["propose", *words])
    assert said in capsys.readouterr().err
    assert 2 == main(["propose", *words, "--json"])
    assert json.loads(capsys.readouterr().out)["findings"]


def test_ends_are_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert 1 == main(
        ["propose", "--old", str(OLD), "--new", str(NEW), "--end", f"loom={OLD}", "--json"]
    )
    joins = [p for c in json.loads(capsys.readouterr().out)["circuits"] for p in c["join"]]
    assert {"loom", "new"} == {p.partition(".")[0] for p in joins}


def test_same_bytes_whatever_the_hash_seed() -> None:
    outs = [
        subprocess.run(
            [sys.executable, "-m", "wiremap", "propose", str(OLD), str(NEW)],
            capture_output=True,
            cwd=ROOT,
            check=False,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("0", "1", "77")
    ]
    assert outs[0] and 1 == len(set(outs))


def test_the_better_candidate_is_named() -> None:
    """Two level senders, one place for them: the one left alone says who has it."""
    old = pinout("old", {"1": "Hopper level", "2": "Hopper level", "3": "Power ground"})
    new = pinout("new", {"1": "Hopper level", "2": "Power ground"})
    (alone,) = propose([old], [new]).no_home
    other = {"old.1": "old.2", "old.2": "old.1"}[alone.point]
    assert alone.why == f"no partner: nearest is new.1, but it went to {other}"


@pytest.mark.parametrize(
    ("old", "new", "joined", "told"),
    [
        (["permanent supply"] * 2, ["permanent supply"], 2, True),
        (["permanent supply"], ["permanent supply"] * 2, 3, False),
        (["power ground"] * 2, ["power ground"], 3, False),
        (["power ground"], ["power ground"] * 2, 3, False),
    ],
)
def test_what_may_join_metal_of_its_own_function(
    old: list[str], new: list[str], joined: int, told: bool
) -> None:
    """A second load and a second ground of either side may; a second source of the machine may not, and is told why."""
    sides = [
        [pinout(name, {str(n): signal for n, signal in enumerate(signals, 1)})]
        for name, signals in (("a", old), ("b", new))
    ]
    found = propose(sides[0], sides[1])
    assert [joined] == [len(c.join) for c in found.circuits]
    told_why = [n.why for n in found.no_home]
    expected = ["joining it to a.1 would tie two sources of the machine together"]
    assert (expected if told else []) == told_why


def test_each_qualifier_is_weighed_whatever_is_told_of_the_others() -> None:
    """Which contacts a return serves is numbered by each side anew; left is not right all the same."""
    old, new = (
        Cavity(name="1", reading=Meaning("lamp-feed", qualifiers=(("serves", n), ("side", side))))
        for n, side in (("3", "left"), ("7", "right"))
    )
    assert (
        "one paper says left, the other right" in Weighing(old=old, new=new, weight=9).qualifiers()
    )


def test_of_many_contacts_the_first_are_named() -> None:
    """Four fit a line; the fifth is "and more"."""
    points = [Address("old", str(n)) for n in range(1, 6)]
    assert _serves_words(points[:4]) == "it serves old.1, old.2, old.3, old.4, which go there"
    assert _serves_words(points) == "it serves old.1, old.2, old.3, old.4 and more, which go there"
