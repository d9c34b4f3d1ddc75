"""What a paper words vaguely stays a guess, whichever column it stood in, and none of its words is lost.

That `ground` alone may be a power, signal or sensor ground, that a camera's picture has a ground of its own, and that a
proportional valve's output is a switched one too, is common practice.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.content.read_as import ReadAs, Surety, read_as
from wiremap.files import load_pinout
from wiremap.model import Cavity, Pinout
from wiremap.naming import read_signal
from wiremap.propose.compare import compare

TABLE = """Pin;Function;Colour
1;permanent +12V;red
2;ground;brown
3;return;black
4;guard loop out;blue
5;power-ground;black
6;wake;violet
7;nc;
"""


def taken_in(folder: Path, table: str) -> Pinout:
    """The pinout that `intake` makes of a table, as it is read again."""
    path = folder / "table.csv"
    path.write_text(table, "utf-8")
    assert main(["intake", str(path), "-o", str(folder / "out")]) == 0
    read = load_pinout(folder / "out" / "table.yaml")
    assert read.value is not None, read.findings
    return read.value


def rows(paper: Pinout) -> dict[str, ReadAs]:
    return {row.cavity: row for row in read_as(paper)}


def test_words_in_a_column_of_functions_stay_words(tmp_path: Path) -> None:
    """What names a function beyond doubt is taken for it; a guess is shown as one."""
    found = rows(taken_in(tmp_path, TABLE))
    assert {name: (row.function, row.surety) for name, row in found.items()} == {
        "1": ("permanent-supply", Surety.TOLD),
        "2": ("power-ground", Surety.GUESS),
        "3": ("power-ground", Surety.GUESS),
        "4": ("interlock-out", Surety.TOLD),
        "5": ("power-ground", Surety.STATED),
        "6": ("wake", Surety.STATED),
        "7": ("unused", Surety.STATED),
    }
    assert "sensor-return" in found["2"].may_be
    assert (found["2"].signal, found["4"].signal) == ("ground", "guard loop out")


@pytest.mark.parametrize(
    ("signal", "function", "surety"),
    [
        ("", "power-ground", Surety.GUESS),
        ("X12", "power-ground", Surety.GUESS),
        ("sensor ground", "sensor-return", Surety.TOLD),  # says more than `ground`
        ("CAN high", "power-ground", Surety.STATED),  # two statements: the check names it
    ],
)
def test_ground_is_no_statement_in_a_pinout(
    tmp_path: Path, signal: str, function: str, surety: Surety
) -> None:
    path = tmp_path / "a.yaml"
    row = f'{{signal: "{signal}", function: ground}}' if signal else "{function: ground}"
    path.write_text(f"wiremap: pinout/1\ntitle: a\ncavities:\n  1: {row}\n", "utf-8")
    read = load_pinout(path)
    assert read.value is not None, read.findings
    found = rows(read.value)["1"]
    assert (found.function, found.surety) == (function, surety)


def test_ground_is_no_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Which ground, the question must be told; the refusal names them."""
    path = tmp_path / "a.yaml"
    path.write_text("wiremap: pinout/1\ntitle: a\ncavities:\n  1: '?'\n", "utf-8")
    call = ["next", str(path), "--about", "1", "--how", "0.2 ohm to the bolt", "--by", "RK"]
    assert main([*call, "--answer", "ground"]) == 2
    assert "power-ground, sensor-return" in capsys.readouterr().err
    assert main([*call, "--answer", "power-ground"]) == 0


@pytest.mark.parametrize(
    ("said", "function"),
    [
        ("camera video ground", "signal-ground"),
        ("Kamera Videomasse", "signal-ground"),
        ("camera supply 12V", "switched-supply"),
        ("camera supply +12 V", "switched-supply"),
        ("video +", "single-ended-data"),
        ("video -", "signal-ground"),
        ("Video signal", "single-ended-data"),
        ("video supply", "unknown"),
        ("reverse trigger", "digital-input"),
        ("camera supply", "unknown"),  # it may come out of a screen as well
    ],
)
def test_a_camera_s_lines_are_guesses_of_their_own(said: str, function: str) -> None:
    found = read_signal(said)
    assert (found.function, found.settled) == (function, False)


def test_a_guard_loop_need_not_be_called_a_guard_s_twice() -> None:
    """One paper gives the function alone, the other names the guard."""
    bare = Cavity(name="1", reading=read_signal("", stated="interlock-out"))
    named = Cavity(name="2", signal="Guard loop out", reading=read_signal("Guard loop out"))
    assert not [said for said in compare(bare, named).soft if "circuit guard" in said.words]


def test_two_names_of_one_valve_are_a_question_and_no_contradiction(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name, signal in (("old", "Spinner valve"), ("new", "Spinner proportional valve")):
        text = f"wiremap: pinout/1\ntitle: {name}\ncavities:\n  1: {signal}\n"
        Path(f"{name}.yaml").write_text(text, "utf-8")
    main(["propose", "old.yaml", "new.yaml", "-o", "job.yaml"])
    capsys.readouterr()
    main(["check", "job.yaml", "--full"])
    told = " ".join(capsys.readouterr().out.split())
    assert "nobody has settled whether they are one signal" in told
    assert "are not the same signal" not in told


@pytest.mark.parametrize(
    ("said", "function", "side"),
    [
        ("Work light L", "lamp-feed", "left"),
        ("Work light R", "lamp-feed", "right"),
        ("cover switch in", "interlock-back", None),
        ("cover switch out", "interlock-out", None),
    ],
)
def test_a_letter_of_a_lamp_is_its_side_and_in_comes_back(
    said: str, function: str, side: str | None
) -> None:
    found = read_signal(said)
    assert (found.function, found.qualifier("side")) == (function, side)
    assert function not in found.may_be


def test_three_papers_lead_to_a_proposal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two plugs of the machine and one of the unit: the call names each side."""
    monkeypatch.chdir(tmp_path)
    for name in ("a", "b", "c"):
        Path(f"{name}.yaml").write_text("wiremap: pinout/1\ntitle: x\ncavities:\n  1: horn\n")
    main(["check", "a.yaml", "b.yaml", "c.yaml"])
    told = " ".join(capsys.readouterr().out.split())
    assert "wiremap propose --old a.yaml b.yaml --new c.yaml -o job.yaml" in told
