"""First power: lock-out, lamp, volts of the unmated face, loaded grounds, order of fuses, sleep; readings judged."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from wiremap.evidence import settle
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.model import Entry, Job
from wiremap.ringout.power import STAGES, power_judge, power_plan


@pytest.fixture(scope="module")
def demo() -> Job:
    job = load_job(Path(__file__).parent.parent / "pinouts_demo" / "job.yaml").value
    assert job is not None
    return settle(job)


def volts(job: Job, key: str) -> dict[str, tuple[float | None, float | None]]:
    return {s.red: (s.low, s.high) for s in power_plan(Harness(job)) if s.stage == "volts" and s.key == key and s.red}


def test_stages_in_order(demo: Job) -> None:
    """What moves is blocked before the battery, the lamp comes before a fuse, mating before sleep."""
    stages = [STAGES.index(s.stage) for s in power_plan(Harness(demo))]
    assert stages == sorted(stages)
    assert set(stages) == set(range(len(STAGES)))
    assert "donor.12" in power_plan(Harness(demo))[0].do


def test_volts_of_the_demo_face(demo: Job) -> None:
    """3 and 4 12 V, 7 with the key only, 5 stays 0 V, every other below 0.1 V (the demo's own figures)."""
    off, on = volts(demo, "off"), volts(demo, "on")
    assert {"donor.3", "donor.4"} == {p for p, (low, _) in off.items() if low is not None and low > 1}
    assert {"donor.3", "donor.4", "donor.7"} == {p for p, (low, _) in on.items() if low is not None and low > 1}
    assert on["donor.5"] == (-0.1, 0.1)
    assert on["gateway.8"] == (-0.1, 0.1)  # its own fuse is still out


def test_both_legs_of_supply_and_ground_carry_a_lamp(demo: Job) -> None:
    """A beep proves no crimp: 3 against 1, 4 against 2; never a lamp on another contact."""
    loads = [(s.red, s.black) for s in power_plan(Harness(demo)) if s.stage == "load"]
    assert loads == [("donor.3", "donor.1"), ("donor.4", "donor.2")]


def test_sleep_current_is_the_stated_one(demo: Job) -> None:
    """The in-line unit asleep: 1 mA."""
    assert power_plan(Harness(demo))[-1].high == 0.001


def read(job: Job, **wrong: float) -> list[Entry]:
    steps = [
        s
        for s in power_plan(Harness(job))
        if s.stage == "volts" and s.red and s.black and s.low is not None and s.high is not None
    ]
    return [
        Entry(
            "power",
            by="RK",
            red=(s.red,),
            black=(s.black,),
            key=s.key,  # type: ignore[arg-type]
            volts=wrong.get(str(s.red).replace(".", "_"), 12.0 if (s.low or 0) > 1 else 0.0),
        )
        for s in steps
    ]


def test_readings_are_judged(demo: Job) -> None:
    """All as expected pass; 12 V on the reference fails by name; one missing is incomplete."""
    h = Harness(demo)
    assert power_judge(h, read(demo)).verdict == "pass"
    bad = power_judge(h, read(demo, donor_5=12.0))
    assert bad.verdict == "fail" and {"donor.5"} == {s.red for s, _, _ in bad.wrong}
    assert "do not mate" in bad.wrong[0][2]
    assert power_judge(h, read(demo)[1:]).verdict == "incomplete"
    assert power_judge(h, [replace(e, of="0" * 12) for e in read(demo)]).verdict == "incomplete"
