"""A partner told for one contact takes no certain joint away where both may hang on one wire, and says so where not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.files.load import load_job
from wiremap.model import Job

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: {signal: battery plus, function: permanent-supply}
  2: {signal: ground, function: power-ground}
  3: {signal: ignition, function: switched-supply}
  4: {signal: speed, function: pulse-input}
"""
NEW = (
    OLD.replace("old plug", "new plug")
    + """  5: {signal: wake, function: wake}
  6: {signal: level, function: analogue-input}
"""
)


@pytest.fixture
def folder(two_papers: Callable[[str, str], Path]) -> Path:
    return two_papers(OLD, NEW)


def proposed_again(about: str, partner: str) -> Job:
    call = ["next", "job.yaml", "--about", f"{about}.partner", "--answer", partner]
    assert main([*call, "--how", "the leaflet says so"]) == 0
    main(["propose", "old.yaml", "new.yaml", "--keep-answers", "job.yaml", "-o", "again.yaml"])
    job = load_job("again.yaml").value
    assert job is not None
    return job


def test_a_line_that_wakes_hangs_beside_the_ignition(folder: Path) -> None:
    """The ignition keeps its own contact; the wake line comes to it."""
    job = proposed_again("new.5", "old.3")
    joins = [{*map(str, circuit.join)} for circuit in job.circuits]
    assert {"old.3", "new.3", "new.5"} in joins


def test_who_loses_a_partner_is_told_to_whom(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody can say that nothing on the other side carries it."""
    job = proposed_again("new.6", "old.4")
    assert {"old.4", "new.6"} in [{*map(str, circuit.join)} for circuit in job.circuits]
    (why,) = [left.why for point, left in job.not_joined.items() if point == "new.4"]
    assert "new.6 with old.4" in why and "RK" in why
