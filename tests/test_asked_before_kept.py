"""An answer that would change nothing, or stands against the survey, is asked back before it is kept."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main

CASE = Path(__file__).parent / "cases" / "guard-left-out"
OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: {signal: "+12 always", function: permanent-supply, volts: 12}
  2: {signal: ground, function: power-ground}
  3: {signal: hopper up switch, function: digital-input}
  4: {signal: 5 V reference, function: sensor-supply}
"""


@pytest.fixture
def guard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """The contact of a guard that a job leaves open, worked in by RK."""
    for path in CASE.glob("*.yaml"):
        shutil.copy(path, tmp_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WIREMAP_BY", "RK")
    return "donor.12"


def is_held() -> bool:
    (job,) = check(["bad.yaml"]).jobs
    return "guard-left-out" in [each.rule for each in job.findings]


def say(about: str, text: str, *more: str) -> int:
    return main(["next", "bad.yaml", "--about", about, "--answer", text, "--how", "leaflet", *more])


def test_words_that_deny_a_danger_by_its_name_are_refused(
    guard: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert say(f"{guard}.means", "rocker switch, no E-stop") == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "would hold as before; nothing was saved" in told
    assert f"--about {guard} --answer digital-input --licensed WHICH" in told
    assert is_held()


def test_words_that_name_another_danger_are_kept_and_hold(guard: str) -> None:
    assert say(f"{guard}.means", "seat switch") == 0
    assert is_held()


def test_other_words_count(guard: str) -> None:
    assert say(f"{guard}.means", "rocker switch") == 0
    assert not is_held()


def test_what_the_refusal_names_counts(guard: str) -> None:
    assert say(guard, "digital-input", "--licensed", "vehicle electrician, card 4411") == 0
    assert not is_held()


@pytest.fixture
def surveyed(two_papers: Callable[[str, str], Path]) -> Path:
    """A job whose switch read 0 V with the ignition off and on."""
    folder = two_papers(OLD, OLD.replace("old plug", "new plug"))
    lines = "old.3 0 V off\nold.3 0 V on\nold.4 0 V on\n"
    Path("bench.txt").write_text(lines, "utf-8")
    main(["survey", "job.yaml", "--readings", "bench.txt", "--save"])
    return folder


@pytest.mark.parametrize(
    ("about", "how", "kept"),
    [
        ("old.3", "12.4 V on with hopper up", False),
        ("old.3", "12.4 V on with hopper up, 0 V down", True),
        ("old.3", "sure: 12.4 V on with hopper up, the survey was with it down", True),
        ("old.3", "0.02 V on", True),
        ("old.3", "12.4 V with hopper up", True),
        ("old.4", "5.0 V on", True),
    ],
)
@pytest.mark.usefixtures("surveyed")
def test_told_volts_are_held_against_the_survey(
    about: str, how: str, kept: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    """A position that is not told is held against nothing, a sensor's supply not at all."""
    capsys.readouterr()
    call = ["next", "job.yaml", "--about", f"{about}.basis", "--answer", "measured", "--how", how]
    assert (main(call) == 0) == kept
    told = " ".join(capsys.readouterr().err.split())
    assert ("the survey read 0 V there, ignition on (RK" in told) == (not kept)


def test_words_for_a_function_are_told_what_they_read_as(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Words that say nothing are told an example that is theirs."""
    monkeypatch.chdir(tmp_path)
    Path("a.yaml").write_text(
        "wiremap: pinout/1\ntitle: a\ncavities:\n  1: {signal: '?'}\n", "utf-8"
    )
    call = ["next", "a.yaml", "--about", "1", "--how", "leaflet", "--by", "VK", "--answer"]
    assert main([*call, "left indicator"]) == 2
    assert "as: lamp-feed, as which these words read" in capsys.readouterr().err
    assert main([*call, "xyzzy"]) == 2
    assert "as: power-ground" in capsys.readouterr().err
    assert main([*call, "lamp-feed"]) == 0
