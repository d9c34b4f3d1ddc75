"""Answers and readings of a notebook count in a proposal; an adapter's ends are mated."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.files import load_job

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: {signal: Battery, function: permanent-supply, volts: 24, wire: 1.0 RD}
  2: {signal: Earth, function: power-ground, wire: 1.0 BK}
  3: "?"
  4: {signal: Hopper level, function: analogue-input, wire: 0.5 GY}
"""
NEW = """wiremap: pinout/1
title: new plug
cavities:
  1: {signal: Battery, function: permanent-supply, volts: 24, wire: 1.0 RD}
  2: {signal: Earth, function: power-ground, wire: 1.0 BN}
  3: {signal: Sensor supply, function: sensor-supply, volts: 5, wire: 0.5 OG}
  4: {signal: Hopper level, function: analogue-input, wire: 0.5 GY}
  5: {signal: Gate position, function: analogue-input, wire: 0.5 VT}
"""
SAID = "by: AB, date: 2026-02-03, how: meter"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Both plugs; nobody knows what old.3 is."""
    (tmp_path / "old.yaml").write_text(OLD, "utf-8")
    (tmp_path / "new.yaml").write_text(NEW, "utf-8")
    return tmp_path


def notebook(folder: Path, name: str, *entries: str) -> str:
    """A notebook of these entries, by its path."""
    path = folder / name
    lines = [f"  - {{{entry}, {SAID}}}" for entry in entries]
    path.write_text("\n".join(["wiremap: notebook/1", "entries:", *lines, ""]), "utf-8")
    return str(path)


def joins(folder: Path, capsys: pytest.CaptureFixture[str], *more: str) -> list[list[str]]:
    main(["propose", str(folder / "old.yaml"), str(folder / "new.yaml"), "--json", *more])
    return [circuit["join"] for circuit in json.loads(capsys.readouterr().out)["circuits"]]


def test_an_answer_gives_a_contact_its_partner(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ["old.3", "new.3"] not in joins(folder, capsys)
    book = notebook(folder, "seen.yaml", "kind: answer, about: old.3, answer: sensor-supply")
    assert ["old.3", "new.3"] in joins(folder, capsys, "--notebook", book)


def test_the_notebook_beside_a_pinout_speaks_in_bare_cavities(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = notebook(folder, "old-notebook.yaml", "kind: answer, about: 3, answer: sensor-supply")
    assert ["old.3", "new.3"] in joins(folder, capsys, "--notebook", book)


def test_volts_measured_on_an_unknown_wire_keep_it_from_every_signal(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """24.7 V, key off and on: neither a 5 V contact nor an input is its partner."""
    old = folder / "old.yaml"
    old.write_text(
        old.read_text("utf-8").replace('3: "?"', "3: {signal: Gate, wire: 0.5 VT}"), "utf-8"
    )
    assert ["old.3", "new.5"] in joins(folder, capsys)
    book = notebook(
        folder,
        "seen.yaml",
        "kind: survey, red: old.3, black: old.2, seen: 24.7, unit: V, key: off",
    )
    assert not [j for j in joins(folder, capsys, "--notebook", book) if "old.3" in j]


def test_a_written_job_names_its_notebook_and_may_be_an_adapter(folder: Path) -> None:
    """Both ends are mated; a circuit has a section where both papers tell the same."""
    book = notebook(folder, "seen.yaml", "kind: answer, about: old.3, answer: sensor-supply")
    target = folder / "job.yaml"
    words = ["propose", str(folder / "old.yaml"), str(folder / "new.yaml"), "-o", str(target)]
    assert 0 == main([*words, "--notebook", book, "--adapter"])
    job = load_job(target).value
    assert job is not None
    assert ["mate", "mate"] == [end.kind for end in job.ends.values()]
    assert 1 == len(job.notebooks)
    wires = {str(c.id): c.wire.written if c.wire else None for c in job.circuits}
    assert ("1", "1", "0.5") == (wires["old.1"], wires["old.2"], wires["old.4"])


def test_the_answers_of_an_earlier_job_are_kept(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = notebook(folder, "seen.yaml", "kind: answer, about: old.3, answer: sensor-supply")
    target = folder / "job.yaml"
    words = ["propose", str(folder / "old.yaml"), str(folder / "new.yaml"), "-o", str(target)]
    assert 0 == main([*words, "--notebook", book])
    capsys.readouterr()
    assert ["old.3", "new.3"] in joins(folder, capsys, "--keep-answers", str(target))


@pytest.mark.parametrize("signal", ["Airbag lamp", "HVIL loop", "Traction battery +", "Hochvolt"])
def test_words_of_restraint_and_high_voltage_are_never_offered(
    folder: Path, capsys: pytest.CaptureFixture[str], signal: str
) -> None:
    """Whatever function is stated; a named person may say that the words mean something else."""
    for name, text in (("old", OLD), ("new", NEW)):
        row = f"  9: {{signal: {signal}, function: digital-input}}\n"
        (folder / f"{name}.yaml").write_text(text + row, "utf-8")
    assert ["old.9", "new.9"] not in joins(folder, capsys)
    means = [
        f"kind: answer, about: {side}.9.means, answer: {signal} is the name of a lamp maker"
        for side in ("old", "new")
    ]
    book = notebook(folder, "means.yaml", *means)
    assert ["old.9", "new.9"] in joins(folder, capsys, "--notebook", book)
