"""Sensor supplies and coils in ohms: a dead short never passes, two supplies are told apart."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from wiremap.evidence import alone, judge_survey
from wiremap.evidence.expected_ohms import expected_ohms
from wiremap.evidence.judged_reading import ReadingVerdict
from wiremap.files import load_pinout
from wiremap.model import Job, Notebook
from wiremap.survey.lines import typed_survey

PAPER = """
wiremap: pinout/1
title: loom of the machine
letters: iec
source: {name: sheet, basis: document}
cavities:
  1: {signal: Battery plus, function: permanent-supply, volts: 12, flow: to-unit}
  2: {signal: Sensors 5 V A, function: sensor-supply, volts: 5, flow: from-unit}
  3: {signal: Sensors 0 V A, function: sensor-return, volts: 0}
  4: {signal: Sensors 5 V B, function: sensor-supply, volts: 5, flow: from-unit}
  5: {signal: Sensors 0 V B, function: sensor-return, volts: 0}
  6: {signal: Level, function: analogue-input, volts: [0, 5], flow: to-unit}
  7: {signal: Pressure B, function: analogue-input, volts: [0, 5], flow: to-unit}
  8: {signal: Dump valve, function: high-side-drive, volts: 12, amps: 1.5, flow: from-unit}
  9: {signal: Big valve, function: high-side-drive, volts: 12, amps: 10, flow: from-unit}
  10: {signal: Small relay, function: high-side-drive, volts: 12, amps: 0.05, flow: from-unit}
  11: {signal: Counter relay, function: low-side-drive, volts: 12, flow: from-unit}
"""
OPEN = math.inf


def machine(folder: Path, paper: str = PAPER) -> Job:
    """A job of the paper alone."""
    file = folder / "loom.yaml"
    file.write_text(paper, encoding="utf-8")
    pinout = load_pinout(file).value
    assert pinout is not None
    return alone(pinout, name="loom")


def bands(job: Job) -> dict[tuple[str, str], tuple[float, float]]:
    """The true ohms that are promised, by the two points between which they are read."""
    rows = expected_ohms(job.ends["loom"])
    return {(r.red, r.black): (r.band.low, r.band.high) for r in rows if r.band is not None}


@pytest.mark.parametrize(
    ("red", "black", "low", "high"),
    [
        ("loom.2", "loom.3", 100, OPEN),
        ("loom.2", "chassis", 10_000, OPEN),
        ("loom.2", "loom.5", 10_000, OPEN),
        ("loom.4", "loom.5", 100, OPEN),
        ("loom.4", "chassis", 10_000, OPEN),
        ("loom.4", "loom.3", 10_000, OPEN),
        ("loom.6", "loom.3", 20, OPEN),  # no word tells whose it is
        ("loom.7", "loom.5", 20, 9000),
        ("loom.8", "chassis", 2, 200),
        ("loom.9", "chassis", 1.08, 200),
        ("loom.10", "chassis", 2, 264),
        ("loom.11", "chassis", 2, OPEN),
    ],
)
def test_each_is_read_against_what_is_its_own(
    tmp_path: Path, red: str, black: str, low: float, high: float
) -> None:
    """Supplies to their own return, apart from frame and the other's; coils by their amps."""
    assert bands(machine(tmp_path))[red, black] == pytest.approx((low, high))


def test_what_a_return_says_it_serves_goes_before_words(tmp_path: Path) -> None:
    """The paper may name the sensors of a return; then no likeness of names counts."""
    serving = "volts: 0, serves: [2, 7]}"
    told = bands(machine(tmp_path, PAPER.replace("volts: 0}", serving, 1)))
    assert ("loom.7", "loom.3") in told and ("loom.7", "loom.5") not in told
    assert ("loom.2", "loom.5") in told


def test_one_return_is_everybodys(tmp_path: Path) -> None:
    """With one return there is no other one to hold a supply against."""
    lines = [line for line in PAPER.splitlines() if "0 V B" not in line]
    told = bands(machine(tmp_path, "\n".join(lines)))
    assert told["loom.6", "loom.3"] == (20, 9000)
    assert [black for red, black in told if red == "loom.4"] == ["loom.3", "chassis"]


@pytest.mark.parametrize(
    ("line", "fits"),
    [
        ("loom.2 to loom.3 0.2 ohm", False),
        ("loom.2 to loom.3 beep", False),
        ("loom.2 to loom.3 1800 ohm", True),
        ("loom.2 to loom.3 open", True),
        ("loom.2 to chassis 0.1 ohm", False),
        ("loom.2 to loom.5 1800 ohm", False),  # the two supplies are exchanged
        ("loom.2 to loom.5 open", True),
        ("loom.8 to chassis 0 ohm", False),
        ("loom.8 to chassis 7.5 ohm", True),
        ("loom.11 to chassis 0 ohm", False),
        ("loom.11 to chassis 90 ohm", True),
        ("loom.10 to chassis 250 ohm", True),
    ],
)
def test_a_dead_short_never_passes(tmp_path: Path, line: str, fits: bool) -> None:
    """A crushed wire contradicts the paper; what sound sensors and coils read does not."""
    job = machine(tmp_path)
    entries, faults, _ = typed_survey(job, line, "survey.txt", "RK", "2026-03-02")
    assert faults == ()
    (found,) = judge_survey(replace(job, notebooks=(Notebook("n.yaml", entries),)))
    assert found.verdict == (ReadingVerdict.FITS if fits else ReadingVerdict.CONTRADICTS)
