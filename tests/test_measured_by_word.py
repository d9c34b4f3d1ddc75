"""A paper that says `measured` is asked for the reading: it is counted as not judged until one is there."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main

OLD = """wiremap: pinout/1
title: old plug
source: {name: typed at the machine, basis: measured}
cavities:
  1: {signal: "+12 always", function: permanent-supply, volts: 12}
  2: {signal: ground, function: power-ground}
  3: {signal: horn, function: high-side-drive}
"""
NEW = OLD.replace("old plug", "new plug").replace("basis: measured", "basis: document")
WHY = "the paper says `measured`, and no reading says so here"


@pytest.fixture
def folder(two_papers: Callable[[str, str], Path]) -> Path:
    return two_papers(OLD, NEW)


def claims() -> list[tuple[str, ...]]:
    """The contacts that are called measured with nothing behind it."""
    (job,) = check(["job.yaml"]).jobs
    return [each.subject for each in job.not_judged if WHY in each.why]


def test_a_bare_claim_is_counted_with_what_to_type(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line a paper: supplies and grounds of the machine, not its outputs, not the unit's."""
    assert claims() == [("old.1", "old.2")]
    capsys.readouterr()
    main(["check", "job.yaml", "--full"])
    told = " ".join(capsys.readouterr().out.split())
    assert "wiremap survey job.yaml --readings FILE --save" in told
    assert "wiremap next job.yaml --about old.1.basis --answer measured" in told


def test_a_reading_that_fits_is_behind_it(folder: Path) -> None:
    Path("bench.txt").write_text("old.1 12.6 V off\nold.1 12.6 V on\n", "utf-8")
    main(["survey", "job.yaml", "--readings", "bench.txt", "--save"])
    assert claims() == [("old.2",)]


def test_a_reading_against_it_is_not(folder: Path) -> None:
    Path("bench.txt").write_text("old.2 12.6 V on\n", "utf-8")
    main(["survey", "job.yaml", "--readings", "bench.txt", "--save"])
    assert claims() == [("old.1", "old.2")]


def test_a_name_is_behind_it(folder: Path) -> None:
    main(["next", "job.yaml", "--about", "old.2.basis", "--answer", "measured", "--how", "0.2 ohm"])
    assert claims() == [("old.1",)]


def test_a_source_of_its_own_is_behind_it(folder: Path) -> None:
    text = OLD.replace("volts: 12}", 'volts: 12, source: "12.6 V, RK 2026-03-02"}')
    Path("old.yaml").write_text(text, "utf-8")
    assert claims() == [("old.2",)]
