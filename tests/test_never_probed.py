"""Restraint circuits and voltage class B are never proposed, probed or worked on, whatever a job says."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from wiremap.cli.main import main

PLUG = """wiremap: pinout/1
title: plug
cavities:
  1: {signal: Airbag squib, function: restraint}
  2: {signal: Traction battery, function: voltage-class-b, volts: 400}
  3: {signal: Ground, function: power-ground, volts: 0, basis: measured}
  4: {signal: Horn, function: high-side-drive, volts: 12, basis: measured}
"""
JOB = """wiremap: job/1
title: t
ends: {old: old.yaml, new: new.yaml}
circuits: [old.1 - new.1, old.2 - new.2, old.3 - new.3, old.4 - new.4]
"""
BARRED = {"old.1", "new.1", "old.2", "new.2"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("barred")
    for name, text in (("old.yaml", PLUG), ("new.yaml", PLUG), ("job.yaml", JOB)):
        (where / name).write_text(text)
    return where


def _json(words: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    main(words)
    told: dict[str, object] = json.loads(capsys.readouterr().out)
    return told


@pytest.mark.parametrize("method", ["near", "rest", "all", "ganged"])
@pytest.mark.parametrize("kind", ["adapter", "splice-in"])
def test_no_probe_goes_there(
    method: str, kind: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Under no method and in no kind, not even inside a comb."""
    told = _json(
        ["ringout", str(folder / "job.yaml"), "--method", method, "--kind", kind, "--json"], capsys
    )
    probes = told["probes"]
    assert isinstance(probes, list) and probes
    assert not {a for p in probes for a in (*p["red"], *p["black"])} & BARRED


@pytest.mark.parametrize("words", [["ringout", "--power"], ["survey"]], ids=" ".join)
def test_no_reading_is_asked_there(
    words: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """First power and survey leave them alone too."""
    text = json.dumps(_json([words[0], str(folder / "job.yaml"), *words[1:], "--json"], capsys))
    rows = json.loads(text)
    named = {
        str(v)
        for row in _rows(rows)
        for key in ("red", "black", "point")
        for v in _listed(row.get(key))
    }
    assert not named & BARRED


def test_first_power_of_a_job_on_hold_begins_with_the_hold(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody reads fifty steps before he learns that none of them is to be done."""
    main(["ringout", str(folder / "job.yaml"), "--power"])
    first, *_ = capsys.readouterr().out.splitlines()
    assert first.startswith("HOLD, ") and "not done" in first


def _rows(value: object) -> list[dict[str, object]]:
    if isinstance(value, dict):
        return [value, *(r for v in value.values() for r in _rows(v))]
    return [r for v in value for r in _rows(v)] if isinstance(value, list) else []


def _listed(value: object) -> list[object]:
    return value if isinstance(value, list) else [] if value is None else [value]


def test_they_are_never_proposed(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = _json(["propose", str(folder / "old.yaml"), str(folder / "new.yaml"), "--json"], capsys)
    circuits = told["circuits"]
    assert isinstance(circuits, list)
    assert not {p for c in circuits for p in c["join"]} & BARRED
