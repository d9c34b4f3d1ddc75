"""After the sleeves are shrunk: at most twelve readings at the faces, planned, walked and judged."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from demo_jobs import DEMO
from ringout_simulator import Copper, random_job, spliced_job
from ringout_trial import Trial, outside
from sheet_cases import given_from

from wiremap.check import check
from wiremap.diagnose.judge import judge, judge_ringout
from wiremap.diagnose.walk import Walk
from wiremap.entries.probe_lines import batch
from wiremap.evidence.equipment import Equipment
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.mistakes.drawn import drawn_of
from wiremap.mistakes.expectation import Shows, contradicts
from wiremap.mistakes.open import off_joint
from wiremap.model import Entry, EntryKind, Job, State, Stop
from wiremap.ringout.plan import plan
from wiremap.ringout.second import MOST

PASSED = Entry(kind=EntryKind.STOP_PASSED, stop=Stop.SLEEVES, by="RK", second="AB")


def second_read(copper: Copper, trial: Trial) -> list[Entry]:
    """The second ring-out as an honest hand notes it."""
    found = []
    for probe in trial.plan.second:
        entry = copper.answer(probe)
        state = str(probe.state)
        found.append(replace(entry, state=state))
    return found


@pytest.fixture(scope="module")
def trial(demo: Job) -> Trial:
    """The demo on its machine, read with clips."""
    return Trial(demo, "clips", "splice-in")


def test_the_demo_needs_twelve_readings_at_its_faces(trial: Trial) -> None:
    """Supply, 5 V, return and grounds apart, the guard shut and lifted, the ohms of both buses."""
    second = trial.plan.second
    assert len(second) == MOST
    reach = {trial.harness.reach(a) for p in second for a in p.points}
    assert reach == {"face"}
    told = [p.proves[0] for p in second]
    for wanted in (
        "supply apart from ref5",
        "supply apart from ground",
        "ground apart from return",
        "gw-gnd apart from feed-b",
        "guard-back through the shut guard to guard-out",
        "guard-back open while the guard is lifted",
    ):
        assert wanted in told
    buses = [(p.red, p.black) for p in second if "terminators" in p.proves[0]]
    assert buses == [(("gateway.1",), ("gateway.2",)), (("donor.9",), ("donor.8",))]
    assert trial.plan.as_dict()["second"] == [p.as_dict() for p in second]


@pytest.mark.parametrize("seed", range(8))
def test_a_sound_harness_reads_as_the_second_plan_says(seed: int) -> None:
    """On invented adapters and splices too: at most twelve, all at faces, nothing but what is so."""
    for job, kind in ((random_job(seed), "adapter"), (spliced_job(seed), "splice-in")):
        second = plan(Harness(job), "near", kind).second
        copper = Copper(job, kind != "adapter")
        assert len(second) <= MOST
        assert [] == [p for p in second if outside(p, copper.answer(p))]


MANY = """title: {name} plug
cavities:
  1: {{signal: Plus A, function: permanent-supply, volts: 12, flow: to-unit}}
  2: {{signal: Plus B, function: permanent-supply, volts: 12, flow: to-unit}}
  3: {{signal: Plus C, function: switched-supply, volts: 12, flow: to-unit}}
  4: {{signal: Ground A, function: power-ground, volts: 0}}
  5: {{signal: Ground B, function: power-ground, volts: 0}}
  6: {{signal: Ground C, function: power-ground, volts: 0}}
  7: {{signal: Ignition, function: wake, volts: 12, flow: to-unit}}
  8: {{signal: Sensors 5 V A, function: sensor-supply, volts: 5, flow: from-unit}}
  9: {{signal: Sensors 0 V A, function: sensor-return, volts: 0}}
  10: {{signal: Sensors 5 V B, function: sensor-supply, volts: 5, flow: from-unit}}
  11: {{signal: Sensors 0 V B, function: sensor-return, volts: 0}}
"""
JOB = (
    "title: Many feeds\nid: many\nrevision: 1\nsupply: {volts: 12}\nends:\n"
    "  old: {pinout: old.yaml, is: mate, side: machine}\n"
    "  new: {pinout: new.yaml, is: mate, side: unit}\ncircuits:\n"
    + "".join(
        f"  - {{id: c{n}, join: [old.{n}, new.{n}], wire: 1.0 BK, length_mm: 500}}\n"
        for n in range(1, 12)
    )
)
APART = [  # what must never touch, as functions of two contacts
    ({1, 2, 3, 7}, {8, 10}),
    ({1, 2, 3}, {4, 5, 6}),
    ({1, 2, 3}, {9, 11}),
    ({8, 10}, {4, 5, 6}),
    ({8, 10}, {9, 11}),
    ({9, 11}, {4, 5, 6}),
]


def many(folder: Path) -> Job:
    """An adapter with more feeds, grounds and sensor supplies than twelve readings can pair."""
    return given_from(folder, JOB, old=MANY.format(name="Old"), new=MANY.format(name="New")).job


@pytest.mark.parametrize("touch", sorted((a, b) for one, two in APART for a in one for b in two))
def test_on_an_adapter_every_dangerous_touch_shows(tmp_path: Path, touch: tuple[int, int]) -> None:
    """Clipped together, twelve readings hold every feed against every ground, reference, return."""
    job = many(tmp_path)
    second = plan(Harness(job), "clips", equipment=Equipment(halves=True, clips=12)).second
    copper = Copper(job, False)
    copper.touch(f"old.{touch[0]}", f"new.{touch[1]}")
    assert len(second) <= MOST
    assert [p for p in second if outside(p, copper.answer(p))]
    sound = Copper(job, False)
    assert [] == [p for p in second if outside(p, sound.answer(p))]


def test_one_reading_of_the_second_beeps() -> None:
    """Dead probes read as silence everywhere: a ground goes through from face to face."""
    loaded = load_job(DEMO / "adapter" / "job.yaml")
    assert loaded.value is not None
    beep = next(p for p in plan(Harness(loaded.value)).second if p.is_through)
    assert beep.high == 1.0
    assert len({point.split(".")[0] for point in beep.points}) == 2


def test_without_clips_nothing_is_asked_to_be_held(tmp_path: Path) -> None:
    """One probe on one contact each, the worst twelve."""
    second = plan(Harness(many(tmp_path)), "near").second
    assert second and all(len(p.points) == 2 for p in second)


def test_the_second_is_judged_beside_the_first(trial: Trial) -> None:
    """The first passes by itself; the second says how far it is, and what is next once it was begun."""
    first = judge(trial.harness, trial.clean, planned=trial.plan)
    assert (first.verdict, first.second.verdict, first.next) == ("pass", "incomplete", None)
    assert any("0 of 12" in line for line in first.told())
    entries = second_read(trial.sound, trial)
    begun = judge(trial.harness, [*trial.clean, *entries[:5]], planned=trial.plan)
    assert begun.next is not None and begun.next.state == State(shrunk=True)
    assert begun.as_dict()["second"]["left"] == list(range(6, 13))
    done = judge(trial.harness, [*trial.clean, *entries], planned=trial.plan)
    assert (done.verdict, done.second.verdict, done.next) == ("pass", "pass", None)


@pytest.mark.parametrize(
    "pair", [("donor.4", "donor.5"), ("donor.1", "donor.6"), ("gateway.7", "gateway.8")]
)
def test_what_heat_has_joined_fails_and_is_named(trial: Trial, pair: tuple[str, str]) -> None:
    """All was well before the sleeves; then two circuits touch: no pass, and once it was read twice they are named."""
    copper = trial.copper((("touch", lambda c: c.touch(*pair)),))
    entries = [*trial.clean, *second_read(copper, trial)]
    judged = judge(trial.harness, entries, planned=trial.plan)
    assert judged.verdict != "pass"
    assert judged.second.verdict == "fail"
    for _ in range(20):
        if judged.diagnosis.certain or judged.next is None:
            break
        ask = judged.next
        answer = copper.answer(ask)
        entries.append(replace(answer, state=str(ask.state) or answer.state))
        judged = judge(trial.harness, entries, planned=trial.plan)
    names = {trial.as_drawn.names[trial.as_drawn.net_of[a]] for a in pair}
    assert names in [set(m.subject) for e in judged.explanations[:1] for m in e.mistakes]


def test_typed_lines_tell_that_the_sleeves_are_shrunk(trial: Trial) -> None:
    """`shrunk` ends a line, behind `parted` too; without it the line is one of the first ring-out."""
    entries, findings = batch("donor.3 - donor.5 s shrunk, donor.14 - donor.15 o parted shrunk")
    assert not findings
    assert ["shrunk", "parted shrunk"] == [e.state for e in entries]
    judged = judge_ringout(trial.harness, "donor.3 - donor.5 s shrunk", trial.plan)
    assert judged.second.begun
    assert not judge_ringout(trial.harness, "donor.3 - donor.5 s", trial.plan).second.begun
    assert State.read("guard-back parted shrunk") == State(parted="guard-back", shrunk=True)
    assert State.read("shrunk") == State(shrunk=True)


def test_the_walk_goes_on_once_the_stop_is_passed(trial: Trial) -> None:
    """Before the stop at the sleeves the walk ends with its pass; after it the second readings are asked, to the end."""
    assert Walk(trial.harness, trial.plan, trial.clean).turn() is None
    walk = Walk(trial.harness, trial.plan, [*trial.clean, PASSED])
    asked = 0
    while (turn := walk.turn()) is not None and asked < 2 * MOST:
        answer = trial.sound.answer(turn.probe)
        text = str(answer.ohms.low) if answer.ohms is not None else str(answer.seen)
        assert walk.answer(turn, text, "RK", "2026-03-02")
        asked += 1
    assert asked == MOST
    assert walk.judged().second.verdict == "pass"


def test_a_joint_that_is_not_read_through_again_is_not_proven(trial: Trial) -> None:
    """Of a splice nothing goes through from face to face but what meets there: the rest is named."""
    (gap,) = (gap for gap in trial.plan.not_proven if gap.kind == "closed")
    read = [probe for probe in trial.plan.second if probe.expect == Shows.OHMS]
    through = {point for probe in read for point in probe.points}
    assert len(gap.subject) > 5 and through.isdisjoint(gap.subject)
    assert "pulled out" in gap.why


def test_what_the_second_ring_out_does_not_prove_is_told_wire_by_wire(demo_folder: Path) -> None:
    """Of the demo: no guard wire, no sensor supply, but each of the three wires of a supply's joint."""
    checked = check([demo_folder / "job.yaml"]).jobs[0]
    assert checked.harness is not None
    made = plan(checked.harness)
    (gap,) = (gap for gap in made.not_proven if gap.kind == "closed")
    assert {"donor.14", "donor.15", "donor.5", "donor.6", "gateway.1", "gateway.2"}.isdisjoint(
        gap.subject
    )
    assert {"loom.1", "donor.3", "donor.4", "donor.18", "gateway.3", "gateway.4"} <= set(
        gap.subject
    )
    drawn = drawn_of(checked.harness, made.kind, made.beeper)
    for wire in set(gap.subject) & {"loom.1", "donor.18", "gateway.4"}:
        build = off_joint(drawn, (wire,)).on(drawn.sound)
        shown = [
            p for p in made.second if contradicts(p.expectation, build, p.red, p.black, p.state)
        ]
        assert not shown


def test_an_adapter_is_read_through_as_far_as_twelve_readings_go(demo_folder: Path) -> None:
    """Each circuit from plug to plug behind what must not touch; what has no room is named."""
    checked = check([demo_folder / "adapter" / "job.yaml"]).jobs[0]
    assert checked.harness is not None
    made = plan(checked.harness)
    read = [probe for probe in made.second if probe.is_through]
    (gap,) = (gap for gap in made.not_proven if gap.kind == "closed")
    assert len(made.second) == 12 and len(read) > 1
    assert gap.subject == ("head.5", "head.10", "head.7")
    assert {point for probe in read for point in probe.points}.isdisjoint(gap.subject)
