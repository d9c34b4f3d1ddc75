"""Lines fit the screen that they are printed on: COLUMNS, the terminal, or a hundred; no word is cut."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.reports.screen import cut, fitted, width, wrapped

pytestmark = pytest.mark.usefixtures("usual_screen")
DEMO = Path(__file__).resolve().parents[1] / "pinouts_demo"
CALL = 'wiremap next job.yaml --about "old.1 - new.1 - new.2" --answer "..." --how "..." --by NAME'


@pytest.mark.parametrize(
    ("said", "columns"),
    [("", 100), ("no number", 100), ("72", 72), ("3", 40), ("9999", 200), ("-5", 100)],
)
def test_the_width_is_what_the_screen_has(
    monkeypatch: pytest.MonkeyPatch, said: str, columns: int
) -> None:
    """Between forty and two hundred, whatever somebody has set; a pipe has a hundred."""
    monkeypatch.setenv("COLUMNS", said)
    assert width() == columns


def test_a_line_goes_on_below_its_label(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    lines = fitted(f"next: {'word ' * 30}")
    assert len(lines) > 2 and max(map(len, lines)) <= 60
    assert all(line.startswith("      word") for line in lines[1:])


def test_a_command_is_never_parted(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is pasted: longer than the screen it stands on a line of its own."""
    monkeypatch.setenv("COLUMNS", "60")
    assert any(CALL in line for line in fitted(f"next: answer it: {CALL}"))


def test_what_is_cut_off_is_marked_within_the_width(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    lines = wrapped("word " * 60, lead="  1. ", most=2)
    assert len(lines) == 2 and lines[-1].endswith(" ...") and max(map(len, lines)) <= 60


@pytest.mark.parametrize(("room", "line"), [(10, "word a ..."), (9, "word ...")])
def test_what_fits_beside_the_mark_is_kept(room: int, line: str) -> None:
    assert cut(["word a", "more"], 1, room) == [line]


COMMANDS = (
    ("check", "job.yaml"),
    ("check", "job.yaml", "--full"),
    ("check", "series1-loom.yaml"),
    ("next", "job.yaml"),
    ("survey", "job.yaml"),
    ("ringout", "job.yaml"),
    ("ringout", "job.yaml", "--power"),
    ("slips", "job.yaml"),
)


@pytest.mark.parametrize("columns", [60, 100])
@pytest.mark.parametrize("words", COMMANDS, ids=[" ".join(words) for words in COMMANDS])
def test_every_line_fits_but_for_commands(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    columns: int,
) -> None:
    shutil.copytree(DEMO, tmp_path / "demo")
    monkeypatch.chdir(tmp_path / "demo")
    monkeypatch.setenv("COLUMNS", str(columns))
    main(words)
    told = capsys.readouterr()
    wide = [line for line in (told.out + told.err).splitlines() if len(line) > columns]
    assert [line for line in wide if "wiremap " not in line] == []
