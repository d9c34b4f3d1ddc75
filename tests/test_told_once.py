"""One reading holds a job in one sentence that tells what it may mean, and a guard's stop names both sides of its joints.

That 12 V on a sensors' supply are a wire chafed against a live one before all else is common practice.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.base import Finding
from wiremap.check import check
from wiremap.cli.main import main

OLD = """wiremap: pinout/1
title: old plug
source: {name: sheet 4, basis: document}
cavities:
  1: {signal: "+12 always", function: permanent-supply, volts: 12}
  2: {signal: earth, function: power-ground}
  3: {signal: sensor supply 5 V, function: sensor-supply, volts: 5}
  4: {signal: X7}
"""
NEW = OLD.replace("old plug", "new plug").replace("X7", "Guard loop back")
JOB = """wiremap: job/1
title: two plugs
supply: {volts: 12}
ends:
  old: {pinout: old.yaml, is: cut-tail, side: machine}
  new: {pinout: new.yaml, is: pigtail, side: unit}
circuits: [old.1 - new.1, old.2 - new.2, old.3 - new.3, old.4 - new.4]
"""


@pytest.fixture
def job(two_papers: Callable[[str, str], Path]) -> Path:
    """Two plugs of four contacts, all joined by hand."""
    folder = two_papers(OLD, NEW)
    (folder / "job.yaml").write_text(JOB, "utf-8")
    return folder


def about(address: str) -> list[Finding]:
    """The stops that speak of a contact's reading."""
    return [
        found
        for found in check(["job.yaml"]).findings
        if found.holds and found.subject[:1] == (address,) and "V" in found.message
    ]


def read_live(line: str) -> None:
    Path("bench.txt").write_text(line + "\n", "utf-8")
    main(["survey", "job.yaml", "--readings", "bench.txt", "--save"])


def test_battery_volts_on_a_sensor_supply_are_told_once_with_their_causes(job: Path) -> None:
    read_live("old.3 12.4 V ignition on")
    (found,) = about("old.3")
    assert found.rule == "measured-live"
    assert "shorted to battery" in found.message and "unplug the sensors" in found.message


def test_a_dead_supply_still_holds(job: Path) -> None:
    """What is not live is told by the survey's own stop, as before."""
    read_live("old.1 0.02 V ignition off")
    assert "survey-contradicts" in [found.rule for found in about("old.1")]


def test_a_guard_s_stop_names_what_its_contacts_are_joined_with(job: Path) -> None:
    """The machine's paper may not say that it is a guard."""
    told = {found.rule: found.message for found in check(["job.yaml"]).findings if found.holds}
    assert "new.4 (Guard loop back), joined with old.4 (X7)" in told["licensed-work"]
    assert "it meets old.4 (X7), of no loop" in told["guard-open"]
