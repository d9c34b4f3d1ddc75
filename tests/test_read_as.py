"""What wordings are read as is shown: by `check` of a pinout, and in the list of function words."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.content.function_words import function_words
from wiremap.content.read_as import Surety, read_as
from wiremap.files import load_pinout
from wiremap.naming import read_signal
from wiremap.trade.functions import FUNCTIONS

PAPER = """wiremap: pinout/1
title: old plug
cavities:
  1: {signal: Battery, function: permanent-supply}
  2: Masse
  3: E-stop NC contact 1
  4: {signal: lamp, mark: {din72552: "54"}}
  5: "?"
  6: joystick output
"""


@pytest.fixture
def paper(tmp_path: Path) -> Path:
    path = tmp_path / "old.yaml"
    path.write_text(PAPER, "utf-8")
    return path


def test_each_wording_from_what_and_how_surely(paper: Path) -> None:
    pinout = load_pinout(paper).value
    assert pinout is not None
    told = {row.cavity: (row.function, row.how, row.surety) for row in read_as(pinout)}
    assert {
        "1": ("permanent-supply", "stated", Surety.STATED),
        "2": ("power-ground", "name", Surety.TOLD),
        "3": ("interlock-out", "name", Surety.GUESS),
        "4": ("lamp-feed", "mark", Surety.TOLD),
        "5": ("unknown", "none", Surety.UNKNOWN),
        "6": ("analogue-input", "name", Surety.GUESS),
    } == told


def test_check_of_a_pinout_prints_its_readings(
    paper: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A guess is called one, with what else it may be and the danger that it names."""
    main(["check", str(paper)])
    lines = capsys.readouterr().out
    assert "1  `Battery`: permanent-supply, as stated" in lines
    assert "2  `Masse`: power-ground, by its name" in lines
    assert "3  `E-stop NC contact 1`: guard-loop-out, a guess from its name" in lines
    assert "names danger: the emergency stop" in lines
    assert "5  `?`: unknown, nothing tells" in lines


def test_json_has_the_readings_too(paper: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(paper), "--json"])
    (told,) = json.loads(capsys.readouterr().out)["wordings"]
    keys = ["cavity", "signal", "function", "how", "surety", "may_be", "because", "dangers"]
    assert keys == list(told["read"][0])
    assert ["1", "2", "3", "4", "5", "6"] == [row["cavity"] for row in told["read"]]


def test_every_function_word_is_explained(capsys: pytest.CaptureFixture[str]) -> None:
    """Each with its meaning and wordings, and these are read as what they are said to be."""
    assert 0 == main(["explain", "functions"])
    brief = capsys.readouterr().out
    assert len(brief.splitlines()) <= 40 and all(word.slug in brief for word in function_words())
    assert 0 == main(["explain", "functions", "--all"])
    text = capsys.readouterr().out
    for word in function_words():
        assert f"{word.slug}: " in text
        assert word.examples
        assert {word.slug} == {read_signal(example).function for example in word.examples}


def test_function_words_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert 0 == main(["explain", "functions", "--json"])
    told = json.loads(capsys.readouterr().out)["functions"]
    assert list(FUNCTIONS) == [word["function"] for word in told]
    assert {"meaning", "class", "flow", "aliases", "examples", "source", "standing"} < set(told[0])
