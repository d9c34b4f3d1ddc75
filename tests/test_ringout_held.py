"""What the check stops at is not proven by a ring-out, and no reading expects it."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_small_jobs import FOLDER, checked, read

from wiremap.mistakes.expectation import Shows
from wiremap.ringout.plan import METHODS, Plan, plan

SEEN = (Shows.OHMS, Shows.DIODE)


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
