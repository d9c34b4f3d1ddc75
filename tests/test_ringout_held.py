"""What the check stops at is not proven by a ring-out, and no reading expects it."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench_scale import large_job
from test_ringout_coverage import compare
from test_small_jobs import FOLDER, checked, read

from wiremap.diagnose.judge import judge
from wiremap.diagnose.verdict import Verdict
from wiremap.evidence.probe_points import kind_of, nets_for
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.mistakes.expectation import Shows
from wiremap.model import Entry, EntryKind, Seen, Span
from wiremap.ringout.plan import METHODS, Plan, plan
from wiremap.ringout.probe import Probe

SEEN = (Shows.OHMS, Shows.DIODE)
NAMED = (  # jobs of which a stop names a wire
    "twelve_volts_on_a_level_input",
    "supply_and_ground_on_one_splice",
    "big_fuse_thin_wire",
    "bundle_not_stated",
)


def planned(name: str, folder: Path, method: str = "near") -> Plan:
    """The ring-out of a small job."""
    job = checked(read(FOLDER / f"{name}.yaml"), folder)
    assert job.harness is not None
    return plan(job.harness, method)


def held(made: Plan) -> set[str]:
    """The points that stand under `not_proven` because the check stops at them."""
    return {point for gap in made.not_proven if gap.kind == "held" for point in gap.subject}


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize(
    ("name", "part"),
    [
        ("diode_across_the_battery", "D1"),
        ("small_resistor_across_the_supply", "R1"),
        ("resistor_holds_a_valve_on", "R1"),
    ],
)
def test_a_part_that_a_stop_names_is_not_expected(
    name: str, part: str, method: str, tmp_path: Path
) -> None:
    """Neither its own reading nor one across it asks for it; its legs are not proven."""
    made = planned(name, tmp_path, method)
    told = [p for p in made.probes if not p.is_through and p.expectation.shows in SEEN]
    assert [] == [(p.red, p.black, p.proves) for p in told if f"{part} " in " ".join(p.proves)]
    assert [] == [(p.red, p.black) for p in told if len(p.red) == len(p.black) == 1]
    assert {f"{part}.a"} <= held(made)


def test_a_short_that_a_stop_names_is_not_proven(tmp_path: Path) -> None:
    """The supply laid to the ground is told as not proven, with the rule that stops it."""
    made = planned("supply_and_ground_on_one_splice", tmp_path)
    assert {"loom.30", "loom.31"} <= held(made)
    assert any("supply-to-ground" in gap.why for gap in made.not_proven)


def test_a_sound_job_has_nothing_held(tmp_path: Path) -> None:
    """A part that no stop names is read as before."""
    made = planned("terminator_added", tmp_path)
    assert set() == held(made)
    assert Shows.OHMS in [p.expectation.shows for p in made.probes]


def unsigned(name: str, folder: Path) -> tuple[Harness, set[str]]:
    """A small job's harness, and the joined contacts that its unsigned stops name."""
    job = checked(read(FOLDER / f"{name}.yaml"), folder)
    assert job.harness is not None
    points = {point for point in held(plan(job.harness)) if job.harness.circuits_at(point)}
    return job.harness, points


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("name", NAMED)
def test_no_beep_over_a_joint_that_a_stop_names(name: str, method: str, tmp_path: Path) -> None:
    """No reading asks for a beep, nor for the ohms of a load, over a joint that may not be made."""
    harness, points = unsigned(name, tmp_path)
    assert points
    made = plan(harness, method)
    pairs = [(a, b) for p in made.probes if not p.state for a in p.red for b in p.black]
    nets = nets_for(harness, kind_of(harness))
    within = [pair for pair in pairs if nets.of(pair[0]) is nets.of(pair[1])]
    assert [] == [pair for pair in within if not points.isdisjoint(pair)]
    assert made.held.nets


@pytest.mark.parametrize("name", NAMED)
def test_silence_at_a_held_joint_is_asked_and_counts(name: str, tmp_path: Path) -> None:
    """With everything read as planned nothing is left, and what is held keeps it from passing."""
    harness, points = unsigned(name, tmp_path)
    made = plan(harness, "near")
    asked = {a for p in made.probes if p.expect == Shows.SILENT for a in p.red + p.black}
    assert not points.isdisjoint(asked)
    judged = judge(harness, [_as_planned(p) for p in made.probes], planned=made)
    assert ([], Verdict.INCOMPLETE) == ([p.n for p in judged.left], judged.verdict)
    assert any("the check stops here" in line for line in judged.told())


def test_a_joint_that_was_not_made_is_no_mistake(tmp_path: Path) -> None:
    """Silence over a joint on hold is not called open, nor mended; a beep there is not wrong."""
    harness, points = unsigned("twelve_volts_on_a_level_input", tmp_path)
    circuit = next(c for c in harness.job.circuits if not points.isdisjoint(c.join))
    one, other = circuit.join[:2]
    for seen in (Seen.SILENT, Seen.BEEP):
        entry = Entry(kind=EntryKind.PROBE, red=(one,), black=(other,), seen=seen)
        judged = judge(harness, [entry])
        assert ((), (), ()) == (judged.disagree, judged.explanations, judged.suspect)


def _as_planned(probe: Probe) -> Entry:
    middle = ((probe.low or 0.0) + (probe.high or 0.0)) / 2
    ohms = Span(middle, middle) if probe.expect == Shows.OHMS else None
    seen = None if ohms else Seen(str(probe.expect))
    return Entry(
        kind=EntryKind.PROBE,
        red=probe.red,
        black=probe.black,
        seen=seen,
        ohms=ohms,
        state=str(probe.state) or None,
    )


@pytest.mark.parametrize("method", METHODS)
def test_counting_equals_making_each_mistake_where_all_is_held(method: str, tmp_path: Path) -> None:
    """Contacts of which nothing but silence is read."""
    job = load_job(large_job(tmp_path, 15)).value
    assert job is not None
    compare(job, "splice-in", method, each_probe=True)
