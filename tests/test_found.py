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
    assert 3 == len(given) and lines[first + 3] == "and 1 more after these: --full tells them"
    Path("bench.txt").write_text(f"{JOINED}, old.1 - old.2+old.3+old.4+old.5 s", "utf-8")
    assert not any("more after these" in line for line in shown(capsys))


WAYS = 30
COLUMNS = 60


@pytest.fixture
def large(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two faces of thirty ways, and a screen on which their combs do not fit a row."""
    for title in ("old", "new"):
        rows = [f"  {n}: {{signal: valve {n}}}" for n in range(1, WAYS + 1)]
        (tmp_path / f"{title}.yaml").write_text(
            FACE.format(title=title, rows="\n".join(rows)), "utf-8"
        )
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", str(COLUMNS))
    return tmp_path


def test_the_first_plan_of_a_large_adapter_fits_a_screen(
    large: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Rows that a long line takes counted in; how many lines follow stands in a remark."""
    assert 0 == main(["ringout", "old.yaml", "new.yaml"])
    lines = capsys.readouterr().out.splitlines()
    assert sum(-(-len(line) // COLUMNS) for line in lines) <= SCREEN
    assert lines[-1].startswith("# and ") and lines[-1].endswith("--full tells them")


def test_a_printed_plan_is_given_back_as_it_stands(
    large: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """However narrow the screen, no line of it is wrapped: filled in, all of it is read."""
    main(["ringout", "old.yaml", "new.yaml", "--full"])
    text = capsys.readouterr().out
    assert max(map(len, text.splitlines())) > COLUMNS
    filled = "".join(
        line.replace("?", "b" if "likely" in line else "s", 1) + "\n" for line in text.splitlines()
    )
    (large / "bench.txt").write_text(filled, "utf-8")
    assert 0 == main(["ringout", "old.yaml", "new.yaml", "--readings", "bench.txt"])
    told = capsys.readouterr().out.splitlines()
    assert f"it joins {WAYS} circuits:" in told and told[0] == "as built: in-order"


def test_the_next_probes_stay_whole(large: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (large / "bench.txt").write_text("old.1 - new.1 b", "utf-8")
    lines = shown(capsys, "--full")
    at = lines.index("next, as batch lines: put b, s or the ohms for each ?")
    asked = [line for line in lines[at + 1 :] if line.startswith(("old.", "new."))]
    assert asked and all(" ?  # " in line for line in asked)


@pytest.fixture
def astray(folder: Path) -> Path:
    """The level's wire is laid into a cavity that the unit's paper calls unused."""
    rows = "\n".join(f"  {number}: {{signal: {word}}}" for number, word in enumerate(NEW, 1))
    rows += "\n  6: {signal: not used}\n  7: {signal: not used}"
    (folder / "new.yaml").write_text(FACE.format(title="new", rows=rows), "utf-8")
    lines = "old.1 - new.2 b\nold.2 - new.1 b\nold.4 - new.4 b\nold.5 - new.5 b\n"
    (folder / "bench.txt").write_text(f"{lines}old.3 - new.1+new.2+new.3+new.4+new.5 s\n", "utf-8")
    return folder


def test_a_wire_that_is_not_where_it_belongs_is_looked_for(
    astray: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Named with its place and what to sweep, the cavities called unused too; the next probe sweeps them."""
    text = " ".join(shown(capsys))
    assert "1 wire to be looked for" in text
    assert "missing: old.3 belongs at new.3; sweep new.6, new.7" in text
    assert "old.3 - new.6+new.7 ?" in text


def test_a_wire_in_a_wrong_cavity_is_named_and_holds(
    astray: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Both places are told; swept in vain, it arrives nowhere."""
    bench = astray / "bench.txt"
    lines = bench.read_text("utf-8")
    bench.write_text(f"{lines}old.3 - new.7 b\n", "utf-8")
    text = " ".join(shown(capsys))
    assert "misplaced: old.3 belongs at new.3 and arrives at new.7" in text
    bench.write_text(f"{lines}old.3 - new.6+new.7 s\n", "utf-8")
    assert "missing: old.3 belongs at new.3 and arrives nowhere" in " ".join(shown(capsys))
