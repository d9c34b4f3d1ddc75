"""Paper and meter that differ are settled by a reading or by how somebody found out, never by a signature."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.base import Finding
from wiremap.check import check
from wiremap.cli.main import main

OLD = """wiremap: pinout/1
title: old plug
source: {name: drawing, basis: document}
cavities:
  1: {signal: "+12 always", function: permanent-supply, volts: 12}
  2: {signal: ground, function: power-ground}
  3: {signal: CAN high, function: can-high}
  4: {signal: CAN low, function: can-low}
"""
NEW = OLD.replace("old plug", "new plug")
SIGNED = (
    "{kind: accept, rule: survey-contradicts, subject: [old.3], by: RK, date: 2026-03-02, "
    "why: bus was asleep}"
)
ANSWER = ["next", "job.yaml", "--about", "old.3", "--answer", "can-high"]


@pytest.fixture
def read(two_papers: Callable[[str, str], Path]) -> Path:
    """A bus wire that read 0.02 V with the ignition on."""
    folder = two_papers(OLD, NEW)
    meter("old.3 0.02 V on")
    return folder


def meter(line: str) -> None:
    Path("bench.txt").write_text(line + "\n", "utf-8")
    main(["survey", "job.yaml", "--readings", "bench.txt", "--save"])


def against() -> list[Finding]:
    (job,) = check(["job.yaml"]).jobs
    return [each for each in job.findings if each.rule == "survey-contradicts"]


def lacks() -> list[str]:
    (job,) = check(["job.yaml"]).jobs
    return [each.why for each in job.not_judged if "old.3" in each.subject]


def test_no_signature_waives_it(read: Path) -> None:
    notebook = Path("job-notebook.yaml")
    notebook.write_text(f"{notebook.read_text('utf-8').rstrip()}\n  - {SIGNED}\n", "utf-8")
    (found,) = against()
    assert found.holds and not found.acceptable


def test_a_reading_that_fits_takes_its_place(read: Path) -> None:
    meter("old.3 2.6 V on")
    assert against() == []


def test_the_survey_says_what_settles_it(read: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Not any named answer does: the words are those that the two tests beside this one hold."""
    capsys.readouterr()
    main(["survey", "job.yaml", "--readings", "bench.txt", "--full"])
    told = " ".join(capsys.readouterr().out.split())
    assert "until a reading fits, or somebody who knows both stands to one" in told
    assert "until a named answer" not in told


def answered(how: str, more: str = "") -> str:
    """The paper's own word as an answer, written into the notebook by hand."""
    return f"{{kind: answer, about: old.3, answer: can-high, by: RK, date: 2026-03-02, how: {how}{more}}}"


def written(*entries: str) -> None:
    """Entries at the end of the notebook."""
    notebook = Path("job-notebook.yaml")
    lines = "".join(f"\n  - {entry}" for entry in entries)
    notebook.write_text(f"{notebook.read_text('utf-8').rstrip()}{lines}\n", "utf-8")


TRACED = "traced to the bus plug of the valve block"


def test_a_word_for_the_paper_is_asked_back_with_both_shown(
    read: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """How it was found does not outweigh the meter until somebody stands to it who was shown both."""
    assert main([*ANSWER]) == 2
    assert "a meter read otherwise there" in capsys.readouterr().err
    assert main([*ANSWER, "--how", TRACED]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "0.02 V" in told and "which of the two is true?" in told
    assert f'--how "sure: {TRACED}"' in told
    assert against()
    assert main([*ANSWER, "--how", f"sure: {TRACED}"]) == 0
    assert against() == []


def test_an_older_notebooks_word_does_not_outweigh_the_meter(read: Path) -> None:
    """With how or without: nobody was shown both."""
    written(answered("seen"), answered(TRACED))
    assert against()


def test_a_licensed_person_outweighs_it(read: Path) -> None:
    written(answered(TRACED, ", licensed: 'bus training 12, guild of Ulm'"))
    assert against() == []


def test_what_was_said_before_the_reading_settles_nothing(read: Path) -> None:
    """Who stood to the paper before the meter spoke was not shown what it said."""
    written(answered(f"'sure: {TRACED}'"))
    assert against() == []
    meter("old.3 0.03 V on")
    assert against()


def test_another_function_needs_no_standing_to(read: Path) -> None:
    """An answer that follows the meter is judged by what it says."""
    call = ["next", "job.yaml", "--about", "old.3", "--answer", "power-ground"]
    assert main([*call, "--how", "it goes to the frame bolt, seen"]) == 0


def test_what_was_read_is_not_told_as_unmeasured(read: Path) -> None:
    assert any("does not prove it" in why for why in lacks())
    assert not any("nobody measured it" in why for why in lacks())
