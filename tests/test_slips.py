"""What one slip would do: against the whole rule book run on the slipped job, and on the demo's known dangers."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from called import called
from demo_jobs import DEMO_JOB

from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.mistakes.face_read import MIRRORED, FaceRead
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.open import OPEN_JOINT, Open
from wiremap.mistakes.swap import EXCHANGE, Swap
from wiremap.model import OPEN, Job, OnOff, Span, frozen
from wiremap.rules import View, run
from wiremap.rules.segments import Segment, segment_ohms
from wiremap.slips import GRADES, KINDS, SlipReport, outcome, slips
from wiremap.slips.alike import Outcome
from wiremap.slips.effect import Effect, Gravity, worst_first
from wiremap.slips.plausible import Planned, SlipKind
from wiremap.slips.report import _graded
from wiremap.slips.rewire import Rewire


def slipped(job: Job, slip: Mistake) -> Job:
    """The same slip made in the job itself, to be built anew from scratch."""
    moved = {slip.one: slip.two, slip.two: slip.one} if isinstance(slip, Swap) else {}
    loose = slip.wires if isinstance(slip, Open) else ()
    circuits = []
    for c in job.circuits:
        join = tuple(moved.get(a, a) for a in c.join if a not in loose)
        if join:
            circuits.append(replace(c, join=join, join_places=()))
    return replace(job, circuits=tuple(circuits))


def exchange(one: str, two: str) -> Swap:
    """Two wires in each other's contacts."""
    return Swap(EXCHANGE, (one, two), one, two)


def partition(harness: Harness) -> set[tuple[str, ...]]:
    """The metals of a job built from scratch."""
    return {net.points for net in harness.metals}


def test_changed_metals_are_those_of_a_job_built_anew(demo: Job) -> None:
    """Random exchanges and open legs: the incremental metals agree with a whole new graph."""
    harness = Harness(demo)
    rewire, before = Rewire(harness), partition(harness)
    cavities = [a for a, p in harness.points.items() if p.cavity is not None and not p.is_tap]
    rng = random.Random(7)
    for _ in range(150):
        if rng.random() < 0.5:
            a, b = rng.sample(cavities, 2)
            slip: Mistake = exchange(a, b)
        else:
            circuit = rng.choice(demo.circuits)
            point = rng.choice(circuit.join)
            slip = Open(OPEN_JOINT, (circuit.id, point), (point,))
        after = partition(Harness(slipped(demo, slip)))
        assert {n.points for n in rewire.after(slip, slip.touches(rewire.drawn))} == after - before


def test_harm_holds_and_nothing_is_nothing(demo: Job, demo_slips: SlipReport) -> None:
    """Each exchange graded harm or dead, made in the job, holds it; one graded none leaves every metal as it was."""
    harness = Harness(demo)
    rewire, before = Rewire(harness), partition(harness)
    pairs = [
        s for s in demo_slips.slips if s.kind in ("exchanged", "like-coloured", "legs-crossed")
    ]
    for slip in random.Random(3).sample([s for s in pairs if s.grade in ("harm", "dead")], 40):
        one, two = slip.subject
        built = Harness(slipped(demo, exchange(one, two)))
        assert any(f.holds for f in run(built)), slip
    for slip in (s for s in pairs if s.grade == "none"):
        one, two = slip.subject
        changed = {n.points for n in rewire.after(exchange(one, two), (one, two))}
        functions = {harness.points[a].function for points in changed for a in points}
        assert changed <= before or functions <= {"interlock-out", "interlock-back"}, slip


def test_every_grade_kind_and_sentence(demo_slips: SlipReport) -> None:
    """Grades and kinds come from the closed lists, and each outcome is one sentence."""
    assert {s.grade for s in demo_slips.slips} == set(GRADES)
    assert {s.kind for s in demo_slips.slips} == set(KINDS)
    assert all(s.outcome and "\n" not in s.outcome and s.subject for s in demo_slips.slips)
    assert len(
        {
            (s.kind, s.subject)
            for s in demo_slips.slips
            if s.kind in ("exchanged", "touching", "open")
        }
    ) == sum(s.kind in ("exchanged", "touching", "open") for s in demo_slips.slips)


@pytest.mark.parametrize(
    ("subject", "grade", "words"),
    [
        ({"donor.4", "donor.5"}, "harm", "12 V reaches VREF"),
        ({"donor.12", "donor.13"}, "harm", "works when"),
        ({"loom.1", "loom.2"}, "harm", "shorted to ground"),
        ({"donor.8", "donor.9"}, "dead", "bus is dead"),
        ({"donor.1", "donor.2"}, "none", "nothing changes"),
        ({"ground", "donor.1"}, "quiet", "donor.2 carries its current too"),
        ({"loom.11", "loom.12"}, "quiet", "VREF (donor.5) is joined to Hopper level"),
        ({"return", "donor.18"}, "quiet", "tractor"),
        ({"bus-b-hi", "R1.a"}, "quiet", "119"),
        ({"gw-gnd", "gateway.7"}, "harm", "no ground"),
        ({"ground", "loom.2"}, "harm", "donor has no ground"),
        ({"loom.2", "loom.8"}, "harm", "SNSR RTN (donor.6): up to 3.3 A, stated for 0.05 A"),
        ({"loom.2", "loom.12"}, "harm", "flows through Fill level (donor.16)"),
    ],
)
def test_known_slips(demo_slips: SlipReport, subject: set[str], grade: str, words: str) -> None:
    """What an electrician would say of each."""
    found = [s for s in demo_slips.slips if set(s.subject) == subject]
    assert any((s.grade, words in s.outcome) == (grade, True) for s in found), found


def test_guard_touching_is_harm(demo_slips: SlipReport) -> None:
    """Two joints of the guard loop touching bridge it."""
    bridged = [s for s in demo_slips.slips if "bridged" in s.outcome]
    assert bridged and {"harm"} == {s.grade for s in bridged}


def test_points_count_the_harmful_slips(demo_slips: SlipReport) -> None:
    """The ranking is the count of harmful slips that name the point, the most dangerous first."""
    counted = Counter(
        p for s in demo_slips.slips if s.grade == "harm" for p in s.points if "." in p
    )
    assert dict(demo_slips.points) == dict(counted)
    assert [n for _, n in demo_slips.points] == sorted(counted.values(), reverse=True)
    assert {"loom.1", "donor.4", "donor.5", "donor.12", "donor.13"} <= {
        point for point, n in demo_slips.points if n
    }


def test_a_person_reads_few_lines(demo_slips: SlipReport) -> None:
    """Hundreds of slips come to some ten groups, and no slip is lost in them."""
    groups = demo_slips.groups()
    assert len(groups) <= 12 < len(demo_slips.slips)
    assert sum(len(g.slips) for g in groups) == len(demo_slips.slips)


def test_command(demo_slips: SlipReport) -> None:
    """The command prints the groups, or the documented JSON shape; the hash seed does not matter."""
    outs = set()
    for seed in ("0", "1"):
        done = subprocess.run(
            [sys.executable, "-m", "wiremap", "slips", str(DEMO_JOB), "--json"],
            capture_output=True,
            text=True,
            env={"PYTHONHASHSEED": seed, "PATH": "", "PYTHONPATH": str(DEMO_JOB.parents[1])},
            check=True,
        )
        outs.add(done.stdout)
    assert len(outs) == 1
    shown = json.loads(outs.pop())
    assert next(iter(shown)) == "wiremap" and shown["wiremap"] == "slips/1"
    assert (
        shown["slips"] == demo_slips.as_dict()["slips"]
        and shown["points"] == demo_slips.as_dict()["points"]
    )
    assert set(shown["slips"][0]) == {"kind", "subject", "outcome", "grade"} and set(
        shown["points"][0]
    ) == {"point", "harm"}
    done = subprocess.run(
        [sys.executable, "-m", "wiremap", "slips", str(DEMO_JOB)],
        capture_output=True,
        text=True,
        check=True,
        cwd=DEMO_JOB.parents[1],
    )
    told = done.stdout.splitlines()
    assert "HARM: something can break or move" in told[:4] and len(told) <= 40


def test_unread_job(tmp_path: Path) -> None:
    """A job that cannot be read: exit 2, the faults as findings."""
    bad = tmp_path / "job.yaml"
    bad.write_text("wiremap: job/1\nends: [\n", encoding="utf-8")
    done = called("slips", bad, "--json")
    assert (
        done.returncode == 2
        and json.loads(done.stdout)["findings"]
        and "Traceback" not in done.stderr
    )


def test_a_bus_that_loses_its_only_end_is_told(demo: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no unit's inside leads from line to line, nothing is left of 120 ohm."""

    def of_resistors_alone(view: View, segment: Segment) -> Span:
        ohms = segment_ohms(view, segment)
        return OPEN if ohms.low > 1000 else ohms

    monkeypatch.setattr(outcome, "segment_ohms", of_resistors_alone)
    gateway = demo.ends["gateway"]
    switches = frozen({**gateway.switches, "TB": OnOff.OFF})
    ends = frozen({**demo.ends, "gateway": replace(gateway, switches=switches)})
    told = [slip.outcome for slip in slips(Harness(replace(demo, ends=ends))).slips]
    assert any("ends in no ohm instead of 119" in words for words in told)


def test_a_circuit_of_two_contacts_is_open_in_one_way(demo: Job, demo_slips: SlipReport) -> None:
    """Whichever end lets go, the same does not arrive; of three, each leaves the other two joined."""
    told = Counter(slip.subject[0] for slip in demo_slips.slips if slip.kind == "open")
    joins = {circuit.id: len(circuit.join) for circuit in demo.circuits}
    assert {id_: 1 if n == 2 else n for id_, n in joins.items() if id_ in told} == told


@pytest.mark.parametrize(("harms", "words"), [(1, "first"), (2, "first, and 1 more like it")])
def test_every_harm_of_a_face_read_wrongly_is_counted(harms: int, words: str) -> None:
    """The worst is told, and how many come behind it."""
    face = FaceRead(MIRRORED, ("donor",), ())
    planned = Planned(kind=SlipKind.MIRRORED, subject=("donor",), mistake=face, points=())
    told = Outcome(grade=Gravity.HARM, cause="", sentence="first", harms=harms)
    assert _graded(planned, told).outcome.startswith(words)
    assert (harms > 1) == (" more " in _graded(planned, told).outcome)


def test_a_guard_that_is_bridged_as_drawn_is_no_slip() -> None:
    """The rule book stops it; no slip is told to have done it."""
    job = load_job(Path(__file__).parent / "cases" / "guard-bridged" / "bad.yaml").value
    assert job is not None
    harness = Harness(job)
    assert any(found.rule == "guard-bridged" for found in run(harness))
    told = outcome.effects(View(harness), list(harness.metals))
    assert not [effect for effect in told if effect.cause == "guard"]


def test_a_face_that_no_hand_works_at_is_not_read_wrongly(demo_slips: SlipReport) -> None:
    """A tap into the machine's own wiring keeps its plug."""
    faces = {slip.subject[0] for slip in demo_slips.slips if slip.kind in ("mirrored", "rotated")}
    assert faces == {"loom", "donor", "gateway"}


def test_of_two_harms_the_graver_kind_is_told_first(demo: Job) -> None:
    """A guard that reads shut while it is open comes before a valve that moves for another."""
    load = Effect(Gravity.HARM, "wrong load", "a", ("donor.1", "donor.2"))
    guard = Effect(Gravity.HARM, "guard", "z", ("loom.9", "loom.10"))
    assert worst_first(View(Harness(demo)), [load, guard]) == [guard, load]
