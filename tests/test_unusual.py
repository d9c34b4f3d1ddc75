"""A figure far from what is usual is asked back once, wherever it is typed; said again it is kept."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from keyboard import Keyboard
from test_guided import KEPT, type_in

from wiremap.cli.main import main
from wiremap.evidence.new_wires import told_wire
from wiremap.evidence.unusual import is_thread, unusual, unusual_thread
from wiremap.files import load_notebook, load_pinout
from wiremap.firstpower.lines import power_lines
from wiremap.firstpower.plan import power_plan
from wiremap.graph import Harness

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: +24 always, red
  2: earth, brown
"""
TABLE = ("Pin;Signal;Colour;Size;Amps", "1;+24 always;red;1,0;4", "2;earth;brown;1,0;{amps}", ".")


@pytest.mark.parametrize(
    ("about", "usual", "strange"),
    [
        ("new.1.wire", "25 BK", "25.1 mm2 BK"),
        ("new.1.wire", "0.13 BK", "0.12 BK"),
        ("old.1 - new.1.wire", "1.0 RD, 30 mm", "1.0 RD, 29 mm"),
        ("old.1 - new.1.wire", "1.0 RD, 10 m", "1.0 RD, 10.1 m"),
        ("old.1 - new.1.wire", "18 AWG RD, 400 mm", "100 BK, 400 mm"),
        ("new.1.volts", "9 to 32", "61"),
        ("new.1.amps", "60", "61"),
        ("new.1.asleep_amps", "0.5", "1.5"),
        ("supply.volts", "48", "49"),
        ("old.1.fuse_amps", "150", "151"),
    ],
)
def test_what_is_asked_back(about: str, usual: str, strange: str) -> None:
    assert unusual(about, usual) == ""
    assert "is unusual" in unusual(about, strange)


def test_a_wire_told_with_a_bare_length_has_it_in_mm() -> None:
    told = told_wire("0,75 RD 300")
    assert told is not None and told.length_mm == 300
    assert told_wire("0,75 RD") is not None


@pytest.mark.parametrize("text", ["M6", "m8", "5/16", "1/4-20", "#10", '3/8"'])
def test_a_thread(text: str) -> None:
    assert is_thread(text)


@pytest.mark.parametrize("text", ["0,75 RD 300", "none", "bolt 6", "M", "", "old.3 x"])
def test_what_is_no_thread(text: str) -> None:
    assert not is_thread(text)


def test_a_thread_of_another_size_is_asked_back() -> None:
    assert not unusual_thread("M4") and not unusual_thread("M12")
    assert unusual_thread("M3") and unusual_thread("M16")


def test_a_row_of_a_pasted_table_is_asked_back(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`no` asks for the table again; `yes` goes on with it."""
    table = "\n".join(TABLE)
    wrong, right = table.format(amps="100").split("\n"), table.format(amps="4").split("\n")
    type_in(
        monkeypatch, "paste", *wrong, "2-way sealed", "no", "paste", *right, "2-way sealed", "no"
    )
    told = " ".join(capsys.readouterr().out.split())
    assert "2: 100 A is unusual: 0 to 60 A is usual" in told
    assert told.count("are these figures right?") == 1
    kept = json.loads(Path(KEPT).read_text("utf-8"))["answers"]
    assert kept["old.rows"] == right[:-1] and kept["old.more"] == "no"


def test_a_fuse_is_asked_back_once(
    empty_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("old", "new"):
        Path(f"{name}.yaml").write_text(OLD, "utf-8")
    before = ("old.yaml", "no", "new.yaml", "no", "splice", "24")
    type_in(monkeypatch, *before, "F12 1000", "F12 10")
    assert "1000 A is unusual" in capsys.readouterr().out
    assert "{fuse: F12, found_amps: 10}" in Path("job.yaml").read_text("utf-8")
    type_in(monkeypatch, *before, "F12 1000", "F12 1000")
    assert "{fuse: F12, found_amps: 1000}" in Path("job-2.yaml").read_text("utf-8")


def test_a_table_that_is_taken_in_tells_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "t.csv"
    table.write_text("Pin;Signal;Amps\n1;+24 always;400\n2;earth;4\n", "utf-8")
    main(["intake", str(table), "-o", f"{tmp_path}/p/"])
    told = capsys.readouterr().err
    assert "assumed: 1: 400 A is unusual" in told and "2: 4 A" not in told
    assert load_pinout(tmp_path / "p" / "t.yaml").value is not None


def test_a_size_answered_far_off_is_asked_back(
    two_papers: Callable[[str, str], Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """Told how or not; standing to it keeps it."""
    two_papers(OLD, OLD)
    call = ["next", "job.yaml", "--about", "new.1.wire", "--answer", "100 BK"]
    assert main([*call, "--how", "calliper"]) == 2
    assert "100 mm2 is unusual" in capsys.readouterr().err
    assert not Path("job-notebook.yaml").exists()
    assert main([*call, "--how", "sure: calliper"]) == 0
    book = load_notebook("job-notebook.yaml").value
    assert book is not None and book.entries[0].answer == "100 BK"


def test_amps_asleep_far_off_are_asked_back(harness: Harness) -> None:
    """Of a step that no limit judges: the later figure is held against this one."""
    steps = power_plan(harness)
    n = next(step.n for step in steps if step.quantity == "A" and step.high is None)
    entries, (fault,) = power_lines(f"{n} 35 A", steps)
    assert not entries and "35 A is unusual" in fault.message
    (entry,), _ = power_lines(f"{n} 35 A sure", steps)
    assert entry.amps == 35
    assert not power_lines(f"{n} 0.35", steps)[1]


def test_the_talk_asks_a_wire_back_once(
    two_papers: Callable[[str, str], Path],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    two_papers(OLD, OLD.replace(", red", "").replace(", brown", ""))
    typed = "100 BK\n1.0 BK\ncalliper\n\n"
    monkeypatch.setattr("sys.stdin", Keyboard(typed))
    main(["next", "job.yaml", "--about", "new.1.wire"])
    assert "100 mm2 is unusual" in capsys.readouterr().out
    book = load_notebook("job-notebook.yaml").value
    assert book is not None and [entry.answer for entry in book.entries] == ["1.0 BK"]
