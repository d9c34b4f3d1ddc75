"""What lies before a fuse, battery and its cable: it bounds a short, loses volts, and is asked for as such."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo_jobs import variant

from wiremap.base import Finding
from wiremap.check import check
from wiremap.files import load_job
from wiremap.sizing.circuit import near_end_amps, plain_circuit
from wiremap.survey.questions import questions


def stops(folder: Path, rule: str, *edits: tuple[str, str]) -> list[Finding]:
    """The stops of a rule in the demo after some edits of its job."""
    found = check([variant(folder, job=list(edits))]).findings
    return [each for each in found if each.rule == rule and each.holds]


@pytest.mark.parametrize(("milliohm", "left"), [("900", "8.11"), ("1100", "7.45")])
def test_what_the_source_loses_is_lost_to_the_unit(
    milliohm: str, left: str, tmp_path: Path
) -> None:
    """Ohm's law: 3.3 A through 0.2 ohm more lose 0.66 V more, whichever part of the feed has them."""
    first, *_ = stops(tmp_path, "supply-too-low", ("milliohm: 20", f"milliohm: {milliohm}"))
    assert f"only {left} V are left" in first.message


@pytest.mark.parametrize(("milliohm", "breaks"), [(15, True), (14, False)])
def test_a_job_and_a_single_size_judge_the_same_short(
    milliohm: int, breaks: bool, tmp_path: Path
) -> None:
    """The highest stated volts feed it: 15 V over 15 milliohm are the 1000 A of ISO 8820-3, no more."""
    held = stops(tmp_path, "fuse-breaking-capacity", ("milliohm: 20", f"milliohm: {milliohm}"))
    circuit = plain_circuit("0.75", 4000, 12, 3.3, source_ohms=milliohm / 1000, max_volts=15)
    near = near_end_amps(circuit)
    assert near == pytest.approx(15 / (milliohm / 1000))
    assert breaks == (not held)
    assert all(f"up to {near:.4g} A" in each.message for each in held)


def test_the_ohms_before_the_fuse_are_asked_for_not_those_before_the_contact(
    tmp_path: Path,
) -> None:
    """Those of the loom are told by its length, and are no part of what a fuse must break."""
    job = load_job(variant(tmp_path, job=[("milliohm: 20, ", "")])).value
    assert job is not None
    (asked,) = [each for each in questions(job) if each.about == "loom.1.milliohm"]
    assert "before the fuse" in asked.text
    assert "the fuse's fed side" in asked.how
