"""Who says `measured`, a paper or a person, is asked for the reading: the bare word counts nowhere as surveyed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.survey.questions import questions

OLD = """wiremap: pinout/1
title: old plug
source: {name: typed at the machine, basis: measured}
cavities:
  1: {signal: "+12 always", function: permanent-supply, volts: 12}
  2: {signal: ground, function: power-ground}
  3: {signal: horn, function: high-side-drive}
"""
NEW = OLD.replace("old plug", "new plug").replace("basis: measured", "basis: document")
WHY = "the paper says `measured`, and no reading says so here"


@pytest.fixture
def folder(two_papers: Callable[[str, str], Path]) -> Path:
    return two_papers(OLD, NEW)


def claims() -> list[tuple[str, ...]]:
    """The contacts that are called measured with nothing behind it."""
    (job,) = check(["job.yaml"]).jobs
    return [each.subject for each in job.not_judged if WHY in each.why]


def test_a_bare_claim_is_counted_with_what_to_type(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line a paper: supplies and grounds of the machine, not its outputs, not the unit's."""
    assert claims() == [("old.1", "old.2")]
    capsys.readouterr()
    main(["check", "job.yaml", "--full"])
    told = " ".join(capsys.readouterr().out.split())
    assert "wiremap survey job.yaml --readings FILE --save" in told
    assert "wiremap next job.yaml --about old.1.basis --answer measured --how" in told


def test_a_reading_that_fits_is_behind_it(folder: Path) -> None:
    Path("bench.txt").write_text("old.1 12.6 V off\nold.1 12.6 V on\n", "utf-8")
    main(["survey", "job.yaml", "--readings", "bench.txt", "--save"])
    assert claims() == [("old.2",)]


def test_a_reading_against_it_is_not(folder: Path) -> None:
    Path("bench.txt").write_text("old.2 12.6 V on\n", "utf-8")
    main(["survey", "job.yaml", "--readings", "bench.txt", "--save"])
    assert claims() == [("old.1", "old.2")]


def test_a_told_reading_is_behind_it(folder: Path) -> None:
    main(["next", "job.yaml", "--about", "old.2.basis", "--answer", "measured", "--how", "0.2 ohm"])
    assert claims() == [("old.1",)]


def surveyed() -> list[int]:
    """How many contacts count as surveyed, of how many, as `check --json` has it."""
    (job,) = check(["job.yaml"]).jobs
    return job.as_dict()["boxes"]["surveyed"]


def test_the_bare_word_of_a_paper_is_no_survey(folder: Path) -> None:
    """Three contacts of the machine, all called measured by their paper, none with a reading."""
    assert surveyed() == [0, 3]


@pytest.mark.parametrize(
    ("how", "counts"),
    [
        ("12.6 V, ignition off", True),
        ("12,6 Volt, ignition off", True),
        ("12,6 Volt", False),  # with the ignition on a switched supply reads so too
        ("12.6 V, engine running", False),
        ("12.6 V when the pump is on, 0 V off", False),  # what is dead at times is not always live
        ("1.9k to old.2", False),  # ohms tell no supply
        ("0.2 \u03a9 to the battery minus", False),  # that is a ground
        ("beeps to chassis", False),
        ("12.6 V, ignition on", False),  # so does every switched supply
        ("ignition off: 12.6 V, ignition on: 12.4 V", True),
        ("7 V off", False),
        ("x", False),
        ("", False),
        ("by RK on 2026-03-02", False),
        ("plug of 12 ways, sheet 4", False),
        ("0.02 V, ignition off", False),  # a supply that is dead is none: a reading against it
    ],
)
def test_a_person_says_what_the_meter_showed(
    folder: Path, capsys: pytest.CaptureFixture[str], how: str, counts: bool
) -> None:
    call = ["next", "job.yaml", "--about", "old.1.basis", "--answer", "measured", "--how", how]
    assert main(call) == (0 if counts else 2)
    assert surveyed() == [int(counts), 3]
    assert ("nothing was saved" in capsys.readouterr().err) is not counts


@pytest.mark.parametrize(
    ("how", "counts"),
    [
        ("0.2 \u03a9 to the battery minus", True),
        ("0.1 ohm", True),
        ("200 mohm to chassis", True),
        ("beeps to chassis, 0.01 V", True),
        ("12.6 V off", False),  # something feeds it
        ("12.6 V off, beeps to chassis", False),
        ("0.02 V on", False),  # an open wire reads so too
        ("1k9 to chassis", False),
        ("no beep to chassis", False),
        ("silent to chassis", False),
    ],
)
def test_a_ground_is_measured_by_ohms(folder: Path, how: str, counts: bool) -> None:
    """What a meter shows at a ground says that it is one, or it is not kept as said of it."""
    call = ["next", "job.yaml", "--about", "old.2.basis", "--answer", how, "--how", "meter"]
    assert main(call) == (0 if counts else 2)
    assert surveyed() == [int(counts), 3]


def test_a_figure_of_an_older_notebook_is_held_against_the_function(folder: Path) -> None:
    entry = "{kind: answer, about: old.2.basis, answer: measured, by: RK, volts: 12.6}"
    text = f"wiremap: notebook/1\nentries:\n  - {entry}\n"
    Path("job-notebook.yaml").write_text(text, "utf-8")
    assert surveyed() == [0, 3]


def test_the_question_offers_a_reading_that_fits_it(folder: Path) -> None:
    """Ohms for a ground, volts for a supply: what is offered is what would be kept."""
    text = OLD.replace("measured", "told")
    Path("old.yaml").write_text(text, "utf-8")
    (job,) = check(["job.yaml"]).jobs
    offered = {each.about: each.answers[0] for each in questions(job.job)}
    assert offered["old.1.basis"] == "what the meter showed, as 12.6 V off"
    assert offered["old.2.basis"] == "what the meter showed, as 0.1 ohm"


def test_what_an_older_notebook_says_in_words_counts_no_more(folder: Path) -> None:
    """And the question is asked again."""
    entry = "{kind: answer, about: old.1.basis, answer: measured, by: RK, date: 2026-03-02, how: x}"
    text = f"wiremap: notebook/1\nentries:\n  - {entry}\n"
    Path("job-notebook.yaml").write_text(text, "utf-8")
    report = check(["job.yaml"])
    assert surveyed() == [0, 3]
    assert any("what the meter showed" in each.message for each in report.findings)


def test_a_reading_as_its_source_is_behind_it(folder: Path) -> None:
    text = OLD.replace("volts: 12}", 'volts: 12, source: "12.6 V off, RK 2026-03-02"}')
    Path("old.yaml").write_text(text, "utf-8")
    assert claims() == [("old.2",)]
    assert surveyed() == [1, 3]


def test_a_paper_as_its_source_is_not(folder: Path) -> None:
    text = OLD.replace("volts: 12}", "volts: 12, source: drawing sheet 12}")
    Path("old.yaml").write_text(text, "utf-8")
    assert claims() == [("old.1", "old.2")]
    assert surveyed() == [0, 3]


def test_a_reading_as_its_source_that_denies_it_is_not(folder: Path) -> None:
    text = OLD.replace("power-ground}", 'power-ground, source: "12.6 V off, RK 2026-03-02"}')
    Path("old.yaml").write_text(text, "utf-8")
    assert claims() == [("old.1", "old.2")]


@pytest.mark.parametrize(
    ("about", "how", "counts"),
    [
        ("old.3", "the horn sounded when it was fed", True),
        ("old.3", "coil clicked", True),
        ("old.3", "12 V off", True),
        ("old.3", "clicked", False),
        ("old.3", "seen on the machine by RK", False),
        ("old.1", "the lamp burned on it", False),  # so it does on any live wire
        ("old.2", "the lamp burned to it", False),
    ],
)
def test_what_was_seen_at_an_output_counts_without_a_figure(
    folder: Path, capsys: pytest.CaptureFixture[str], about: str, how: str, counts: bool
) -> None:
    """Told as the answer or as how; a refusal tells words that count."""
    capsys.readouterr()
    call = ["next", "job.yaml", "--about", f"{about}.basis", "--answer"]
    assert main([*call, "measured", "--how", how]) == (0 if counts else 2)
    told = capsys.readouterr().err
    if not counts:
        example = {"old.1": "12.6 V off", "old.2": "0.1 ohm"}
        assert f'--how "{example.get(about, "the coil clicked when it was fed")}"' in (
            " ".join(told.split())
        )
    assert main([*call, how]) == (0 if counts else 2)
