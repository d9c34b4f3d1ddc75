"""A first sketch stays short while it is answered: a check later on is no longer than at first."""

from __future__ import annotations

from pathlib import Path

import pytest

from wiremap.cli.main import main

MOST = 50  # lines, of eighty columns
OLD = [
    "+12 battery, red", "ground, brown", "ground, brown", "ignition, black", "CAN H, yellow",
    "CAN L, green", "hopper level sensor, grey", "5V sensor supply, pink", "sensor ground, white",
    "spinner valve, green/white", "conveyor valve, white/green", "guard switch out, blue",
    "guard switch in, blue", "work lamp, yellow", "speed pulse, grey", "K-line, violet",
    '"?, white"', "alarm buzzer, orange", '"-"', "spare",
]  # fmt: skip
NEW = [
    "B+ logic, red", "B+ outputs, red/blue", "GND logic, black", "GND outputs, black",
    "Wake, violet", "CAN+, white", "CAN-, yellow", "VREF 5V, pink", "SNSR RTN, black/white",
    "Fill level, grey", "Disc speed, grey/pink", "Disc valve PWM, white/green",
    "Belt valve PWM, green/white", "Guard return, blue/yellow", "Guard feed, blue/red",
    "Brine pump relay, brown", "Lamp relay output, orange", "Variant coding, orange/white",
    "LIN, violet/green", "not assigned",
]  # fmt: skip
ANSWERS = [
    ("supply.volts", "12"), ("old.face", "1-10 / 11-20"), ("new.face", "1-10 / 11-20, key top"),
    ("surroundings.bundle", "6"), ("surroundings.ambient_C", "60"), ("old.1.fuse_amps", "10"),
    ("old.5.kbit_s", "250"), ("new.6.kbit_s", "500"), ("old.2.basis", "measured"),
    ("old.14", "lamp-feed"),
]  # fmt: skip


@pytest.fixture
def sketch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two typed plugs of twenty ways, all invented, and the job that is proposed from them."""
    for name, rows in (("old", OLD), ("new", NEW)):
        body = "\n".join(f"  {n}: {row}" for n, row in enumerate(rows, 1))
        text = f"wiremap: pinout/1\ntitle: {name}\ncavities:\n{body}\n"
        (tmp_path / f"{name}.yaml").write_text(text, "utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WIREMAP_BY", "RK")
    monkeypatch.setenv("COLUMNS", "80")
    main(["propose", "old.yaml", "new.yaml", "-o", "job.yaml"])
    return tmp_path


def test_no_check_of_a_sketch_is_long(sketch: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lengths = []
    for about, said in (("", ""), *ANSWERS):
        if about:
            call = [
                "next",
                "job.yaml",
                "--about",
                about,
                "--answer",
                said,
                "--how",
                "looked: 0.2 ohm",
            ]
            assert main(call) == 0, about
        capsys.readouterr()
        main(["check", "job.yaml"])
        lengths.append(len(capsys.readouterr().out.splitlines()))
    assert max(lengths) <= MOST, lengths


def test_a_face_at_the_end_of_a_check_says_what_it_shows(
    sketch: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Drawn where there is room for it, below a line that says what the brackets mean."""
    main(["next", "job.yaml", "--about", "old.face", "--answer", "1-10 / 11-20"])
    monkeypatch.setattr("wiremap.reports.brief.ROOM_FOR_A_FACE", 100)
    main(["next", "job.yaml", "--about", "supply.volts", "--answer", "12"])
    capsys.readouterr()
    main(["check", "job.yaml"])
    lines = capsys.readouterr().out.splitlines()
    at = next(n for n, line in enumerate(lines) if "[ 1]" in line)
    assert "in brackets the contact that is asked about next" in " ".join(lines[at - 2 : at])


def test_who_signs_is_not_told_twice_what_is_left(
    sketch: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asked one by one, a pipe that ends gets no list behind the question."""
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setattr("builtins.input", _ended)
    capsys.readouterr()
    main(["sign", "job.yaml"])
    assert len(capsys.readouterr().out.splitlines()) <= 20


def _ended(prompt: str = "") -> str:
    raise EOFError


def test_stale_answers_are_one_short_line(sketch: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What changed and what to type, however many they are."""
    for n in ("10", "11", "18"):
        main(["next", "job.yaml", "--about", f"old.{n}", "--answer", "low-side-drive"])
    file = sketch / "old.yaml"
    text = file.read_text("utf-8")
    for wire in ("green/white", "white/green", "orange"):
        text = text.replace(wire, "violet/pink", 1)
    file.write_text(text, "utf-8")
    capsys.readouterr()
    main(["next", "job.yaml"])
    told = " ".join(capsys.readouterr().err.split())
    assert told.count("changed since it was answered: old.10, old.11, old.18") == 1
    assert "wiremap next job.yaml --about old.10" in told and len(told) < 160
