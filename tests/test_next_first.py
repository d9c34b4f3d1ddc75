"""What is asked first, and how a circuit is settled without typing YAML."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: +24 always, red
  2: earth, brown
  3: ignition, black
  4: brush motor valve, yellow
  5: "?, white/green"
  6: emergency stop loop in, black/red
  7: emergency stop loop out, black/white
  8: CAN high, yellow/green
  9: CAN low, yellow/brown
"""
NEW = """wiremap: pinout/1
title: new plug
cavities:
  1: ground, brown
  2: supply +24 permanent, red
  3: ignition, black
  4: brush motor valve, blue
  5: CAN high, yellow
  6: CAN low, green
  7: emergency stop in, black/red
  8: emergency stop out, black/white
"""
READ = "old.1 26.4 V ignition off\nold.5 26.2 V ignition on\nold.4 0 V ignition on\n"
GUARD_LIVE = "old.6 26.2 V ignition on\n"
HINT = re.compile(r"wiremap next job\.yaml --about (\S+)")


@pytest.fixture
def job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Path:
    """A proposed job of two typed papers on a 24 V machine; the working folder."""
    for name, text in (("old", OLD), ("new", NEW), ("read", READ), ("guard", GUARD_LIVE)):
        ending = "yaml" if name in ("old", "new") else "txt"
        (tmp_path / f"{name}.{ending}").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    main(["propose", "old.yaml", "new.yaml", "-o", "job.yaml"])
    main(["next", "job.yaml", "--answer", "24", "--by", "RK"])
    capsys.readouterr()
    return tmp_path


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What a command prints as its result."""
    main(words)
    return capsys.readouterr().out


def read(capsys: pytest.CaptureFixture[str], file: str) -> str:
    return told(capsys, "survey", "job.yaml", "--readings", file, "--save", "--by", "RK")


def test_an_unknown_contact_that_read_live_is_asked_first(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before what nobody has seen yet; and the survey says so and leads there."""
    surveyed = read(capsys, "read.txt")
    assert "old.5" in HINT.findall(surveyed)
    asked = told(capsys, "next", "job.yaml")
    assert asked.startswith("old.5 read 26.2 V, ignition on")


def test_the_survey_leads_to_what_it_names(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The contact that its hint names is what the question there speaks of, and leads `next`."""
    (about,) = HINT.findall(read(capsys, "guard.txt"))
    assert about == "old.6"
    first = told(capsys, "next", "job.yaml", "--about", about).splitlines()[0]
    assert "old.6 does not read as guard-loop-back should" in first
    assert told(capsys, "next", "job.yaml").splitlines()[0] == first


def test_a_circuit_is_settled_by_a_name(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An `ask` is asked about by its contact, and holds no more once somebody has said yes."""
    asked = told(capsys, "next", "job.yaml", "--about", "old.4")
    assert re.search(r"Are old\.4 \(.+\) and new\.4 \(.+\) one signal\?", asked)
    assert '--about "old.4 - new.4"' in asked
    assert ("old.4",) in unsettled(job)
    said = ("--about", "old.4 - new.4", "--answer", "yes", "--how", "worked it", "--by", "RK")
    assert main(["next", "job.yaml", *said]) == 0
    assert ("old.4",) not in unsettled(job)


def test_a_settlement_goes_with_its_points(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Joined to another contact, the same circuit is asked about again."""
    main(
        [
            "next",
            "job.yaml",
            "--about",
            "old.4 - new.4",
            "--answer",
            "yes",
            "--how",
            "x",
            "--by",
            "R",
        ]
    )
    file = job / "job.yaml"
    moved = file.read_text(encoding="utf-8").replace("[old.4, new.4]", "[old.4, new.3]")
    file.write_text(moved, encoding="utf-8")
    assert ("old.4",) in unsettled(job)


def unsettled(job: Path) -> list[tuple[str, ...]]:
    """The circuits that hold because nobody has settled them."""
    (found,) = check([job / "job.yaml"]).jobs
    return [each.subject for each in found.findings if each.rule == "ask-unsettled" and each.holds]


def test_units_volts_and_bit_rate_are_asked(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What the check wants of the unit is asked, and taken."""
    every = told(capsys, "next", "job.yaml", "--full")
    assert "[new.2.volts]" in every and "[new.5.kbit_s]" in every
    assert (
        main(["next", "job.yaml", "--about", "new.2.volts", "--answer", "9 to 32", "--by", "R"])
        == 0
    )
    assert "[new.2.volts]" not in told(capsys, "next", "job.yaml", "--full")


def test_a_face_that_nobody_knows_is_not_asked_again(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Rows in words are an answer, and "don't know"; nothing else is."""
    words = ("next", "job.yaml", "--about", "old.face", "--by", "RK", "--answer")
    assert main([*words, "mating"]) == 2
    assert "rows from left to right" in capsys.readouterr().err
    assert main([*words, "don't know"]) == 0
    assert "[old.face]" not in told(capsys, "next", "job.yaml", "--full")


def test_force_is_named_where_it_is_taken(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file that is there is kept; only a command that can write over it says how."""
    for words, forced in (
        (("propose", "old.yaml", "new.yaml", "-o", "job.yaml"), False),
        (("sheet", "job.yaml", "-o", "read.txt"), True),
        (("start", "pinout", "--cavities", "2", "-o", "old.yaml"), True),
    ):
        assert main(words) == 2
        assert ("--force" in capsys.readouterr().err) == forced


def test_a_no_is_no_reading_against_the_paper(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who said no to a circuit is asked for its partner, not sent to read again what read as it should."""
    said = ("--about", "old.4 - new.4", "--answer", "no", "--how", "worked it", "--by", "RK")
    main(["next", "job.yaml", *said])
    (job / "fits.txt").write_text("old.1 26.4 V ignition off\n", encoding="utf-8")
    surveyed = read(capsys, "fits.txt")
    assert "which is true" not in surveyed


def test_each_question_stands_with_its_own_answers(
    two_papers: Callable[[str, str], Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """Two faces of unlike size: neither's answers stand below the other's; a ground is not worked."""
    old = "wiremap: pinout/1\ntitle: old\nconnector: {shell: 8-way}\ncavities: {1: {signal: ground, wire: 1 BN}}\n"
    two_papers(old, old.replace("8-way", "10-way").replace("ground", "Ground"))
    main(["propose", "old.yaml", "new.yaml", "-o", "job.yaml"])
    lines = told(capsys, "next", "job.yaml", "--full").splitlines()
    faces = [n for n, line in enumerate(lines) if line.startswith("On ")]
    for begin in faces:
        end = next(n for n, line in enumerate(lines) if n > begin and "answers:" in line)
        assert not any(line.startswith(("On ", "  why")) for line in lines[begin + 1 : end])
    whole = " ".join(" ".join(lines).split())
    assert "Are old.1 (ground, 1 BN) and new.1 (Ground, 1 BN) one signal?" in whole
    assert "work it and see" not in whole and "0 ohm to chassis" in whole
