"""A bought adapter on a screen: the verdict first, then what it joins; the map as a file on wish."""

from __future__ import annotations

from pathlib import Path

import pytest
from called import last_step

from wiremap.cli.main import main
from wiremap.files import load_job

FACE = """wiremap: pinout/1
title: {title}
source: {{name: drawing, basis: measured}}
cavities:
{rows}
"""
OLD = ("+12 always", "earth", "hopper level", "sensor supply 5V", "sensor return")
NEW = ("GND", "Battery +", "hopper level", "sensor supply 5V", "sensor return")
JOINED = "old.1 - new.2 b, old.2 - new.1 b, old.3 - new.4 b, old.4 - new.3 b, old.5 - new.5 b"
SCREEN = 40  # lines


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for title, words in (("old", OLD), ("new", NEW)):
        rows = [f"  {number}: {{signal: {word}}}" for number, word in enumerate(words, 1)]
        text = FACE.format(title=title, rows="\n".join(rows))
        (tmp_path / f"{title}.yaml").write_text(text, "utf-8")
    (tmp_path / "bench.txt").write_text(JOINED, "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def shown(capsys: pytest.CaptureFixture[str], *more: str) -> list[str]:
    assert 1 == main(["ringout", "old.yaml", "new.yaml", "--readings", "bench.txt", *more])
    return capsys.readouterr().out.splitlines()


def test_the_verdict_comes_first_and_fits_a_screen(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Then what stops it, then each circuit by the words of both papers, then the next probes."""
    lines = shown(capsys)
    assert lines[0].startswith("as built: incomplete: ")
    assert any(line.startswith("STOP ") for line in lines[1:3])
    assert "  old.1 - new.2  (+12 always - Battery +)" in lines
    assert "2 cautions: --full tells them" in lines
    assert len(lines) <= SCREEN
    assert last_step(lines)


def test_no_file_is_printed(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The map as YAML is written on wish only, and holds what was said."""
    assert not any("wiremap: job/1" in line for line in shown(capsys, "--full"))
    shown(capsys, "--as-built", "found.yaml")
    job = load_job("found.yaml").value
    assert job is not None
    assert 5 == len(job.circuits)


def test_nothing_is_said_of_barrels_and_sleeves(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is built already."""
    assert not any("sleeve" in line for line in shown(capsys, "--full"))


def test_a_stop_takes_two_lines_of_a_narrow_screen(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Longer it would push the circuits off the screen; what is cut is marked."""
    monkeypatch.setenv("COLUMNS", "60")
    lines = shown(capsys)
    at = next(n for n, line in enumerate(lines) if line.startswith("STOP "))
    assert lines[at + 1].startswith("     ") and lines[at + 1].endswith(" ...")
    assert not lines[at + 2].startswith("     ")


def test_probes_beyond_the_first_few_are_counted(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The lines to fill in, and how many follow, only where some do."""
    lines = shown(capsys)
    first = 1 + next(n for n, line in enumerate(lines) if line.startswith("next, as batch lines"))
    given = [line for line in lines[first:] if line.startswith("old.")]
    assert 3 == len(given) and lines[first + 3] == "and 1 more after these"
    Path("bench.txt").write_text(f"{JOINED}, old.1 - old.2+old.3+old.4+old.5 s", "utf-8")
    assert not any("more after these" in line for line in shown(capsys))
