"""At a terminal `next` goes on from question to question: short answers, don't know, later, stop; all is kept at once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from keyboard import Keyboard

from wiremap.cli.main import main
from wiremap.evidence import surveyed_cavities
from wiremap.evidence.opened import open_job
from wiremap.evidence.settle import settle
from wiremap.files import load_job, load_notebook
from wiremap.model import Entry
from wiremap.survey.question import Question
from wiremap.survey.questions import questions
from wiremap.survey.together import together

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: +12 always, red
  2: earth, brown
  3: spinner valve, green
  4: CAN H, yellow
  5: CAN L, green
"""
NEW = OLD.replace("old plug", "new plug").replace("spinner valve", "disc valve")
TWO_BUSES = """  6: CAN H 2, yellow
  7: CAN L 2, green
"""


@pytest.fixture
def folder(two_papers: Callable[[str, str], Path]) -> Path:
    return two_papers(OLD, NEW)


@pytest.fixture
def typed(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., str]:
    """What `next` shows while these lines are typed."""

    def run(*lines: str, call: tuple[str, ...] = ("next", "job.yaml")) -> str:
        monkeypatch.setattr("sys.stdin", Keyboard("".join(f"{line}\n" for line in lines)))
        capsys.readouterr()
        assert main(list(call)) == 0
        return capsys.readouterr().out

    return run


def kept() -> list[Entry]:
    read = load_notebook("job-notebook.yaml").value
    assert read is not None
    return list(read.entries)


def asked() -> list[Question]:
    job = load_job("job.yaml").value
    assert job is not None
    return list(together(questions(settle(job))))


def test_it_goes_on_until_the_person_stops(typed: Callable[..., str]) -> None:
    """Volts first; the second is not known, the third left for later, then q."""
    order = [", ".join(question.all_about) for question in asked()]
    told = typed("12", "on the type plate", "?", "d", "l", "q")
    assert [(entry.about, entry.answer, entry.how) for entry in kept()] == [
        ("supply.volts", "12", "on the type plate"),
        (order[1], "don't know", ""),
    ]
    for about in order[:4]:
        assert f"[{about}]" in " ".join(told.split())
    assert order[2] in [", ".join(question.all_about) for question in asked()]
    assert told.rstrip().splitlines()[-1].startswith(("next:", "      "))


def test_enter_and_the_end_of_input_stop(typed: Callable[..., str]) -> None:
    for lines in (("",), ()):
        assert "How many volts" in typed(*lines)
        assert not Path("job-notebook.yaml").exists()


def test_the_beginning_of_an_answer_is_enough(typed: Callable[..., str]) -> None:
    """`doc` is document."""
    typed("doc", "drawing 4711, page 2", call=("next", "job.yaml", "--about", "old.1.basis"))
    assert [entry.answer for entry in kept()] == ["document"]


def test_a_part_at_a_contact_is_not_the_beginning_of_a_function(
    two_papers: Callable[[str, str], Path], typed: Callable[..., str]
) -> None:
    """A seat's `switch` is no switched supply."""
    two_papers(OLD + '  6: "?"\n', NEW)
    assert "[old.6" in typed("switch", "q", call=("next", "job.yaml", "--about", "old.6"))
    assert not Path("job-notebook.yaml").exists()


@pytest.mark.parametrize(("word", "meant"), [("nein", "no"), ("Ja", "yes"), ("oui", "yes")])
def test_yes_and_no_are_understood_in_other_languages(
    typed: Callable[..., str], word: str, meant: str
) -> None:
    typed(word, "worked both valves", call=("next", "job.yaml", "--about", "old.3 - new.3"))
    assert [meant] == [entry.answer for entry in kept()]


@pytest.mark.parametrize("how", ["", "paper", "the wiring diagram", "says the manual"])
def test_a_document_counts_by_its_name(typed: Callable[..., str], how: str) -> None:
    """What is not named nobody can open: the word that it is a paper keeps nothing."""
    told = typed("document", how, call=("next", "job.yaml", "--about", "old.1.basis"))
    assert "which paper says it" in " ".join(told.split())
    assert not Path("job-notebook.yaml").exists()


def test_what_the_meter_showed_is_a_basis(typed: Callable[..., str]) -> None:
    """The word measured alone counts for nothing, so the reading itself is what is asked for and taken."""
    call = ("next", "job.yaml", "--about", "old.1.basis")
    assert "answers: what the meter showed, as 12.6 V off, document" in typed("", call=call)
    typed("12.6 V, ignition off", "", call=call)
    assert [entry.answer for entry in kept()] == ["12.6 V, ignition off"]
    opened = open_job("job.yaml")[0]
    assert opened is not None
    assert opened.job.ends["old"].pinout.cavities["1"].basis == "measured"
    assert "old.1" in surveyed_cavities(opened.harness)[0]


def test_measured_by_word_alone_asks_for_the_reading(typed: Callable[..., str]) -> None:
    call = ("next", "job.yaml", "--about", "old.1.basis")
    assert "what the meter showed" in typed("measured", "12.6 V, ignition off", call=call)
    assert [(entry.answer, entry.how) for entry in kept()] == [("measured", "12.6 V, ignition off")]


def test_what_is_no_answer_is_asked_again(typed: Callable[..., str]) -> None:
    told = typed("many", "?", "24", "", "q")
    assert "`many` is no answer" in told
    assert "wanted here: a number from 1 to 60 V (as: 24)" in told
    assert [entry.answer for entry in kept()] == ["24"]


def test_who_answers_is_asked_once(
    typed: Callable[..., str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("WIREMAP_BY")
    assert "your name" in typed("HM", "24", "", "q")
    assert [entry.by for entry in kept()] == ["HM"]


def test_a_single_pair_needs_no_name_and_of_two_a_name_is_offered(
    folder: Path, typed: Callable[..., str]
) -> None:
    """Halves belong together where there are no others; else A, then B is proposed."""
    assert not [question for question in asked() if question.about.endswith(".pair")]
    for name, text in (("old", OLD), ("new", NEW)):
        Path(f"{name}.yaml").write_text(text + TWO_BUSES, "utf-8")
    first = next(question for question in asked() if question.about == "old.4.pair")
    assert first.answers[0] == "A"
    typed("A", "", "q", call=("next", "job.yaml", "--about", "old.4.pair"))
    second = next(question for question in asked() if question.about == "old.6.pair")
    assert second.answers[:2] == ("A", "B")


def test_all_questions_tell_a_reason_once(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    main(["next", "job.yaml", "--full"])
    told = capsys.readouterr().out
    assert sum(f"[{about}]" in told for each in asked() for about in each.all_about) > 8
    lines = told.splitlines()
    whys, hows = ([each for each in lines if each.startswith(f"  {w}: ")] for w in ("why", "how"))
    reasons = list(zip(whys, hows, strict=True))
    assert len(reasons) == len(set(reasons)) < len(asked())


def test_a_line_of_a_batch_tells_how_it_was_found(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its own, else the one of the call."""
    lines = ["old.1.basis: measured; how: 12.6 V, ignition off", "supply.volts: 12"]
    Path("answers.txt").write_text("\n".join(lines) + "\n", "utf-8")
    assert main(["next", "job.yaml", "--batch", "answers.txt", "--how", "type plate"]) == 0
    assert {entry.about: entry.how for entry in kept()} == {
        "old.1.basis": "12.6 V, ignition off",
        "supply.volts": "type plate",
    }
    Path("answers.txt").write_text("old.2.basis: measured\n", "utf-8")
    assert main(["next", "job.yaml", "--batch", "answers.txt"]) == 2
    assert "; how: ..." in capsys.readouterr().err


@pytest.mark.parametrize(
    ("about", "usual", "strange"),
    [
        ("old.1.milliohm", "40", "3500"),
        ("old.1.length_mm", "2000", "80"),
        ("old.1.length_mm", "2 m", "45 m"),
    ],
)
def test_a_figure_beyond_what_is_usual_is_asked_back(
    typed: Callable[..., str],
    capsys: pytest.CaptureFixture[str],
    about: str,
    usual: str,
    strange: str,
) -> None:
    """With the range and its source; said again it is kept with how it was found, by a single
    call only with that. A usual one is not doubted.
    """
    kept = Path("job-notebook.yaml")
    call = ("next", "job.yaml", "--about", about, "--by", "RK")
    shown = typed(strange, usual, "tape", call=call)
    assert "is unusual" in shown and "common practice" in shown
    assert f"answer: {usual}" in kept.read_text("utf-8").replace('"', "")
    before = kept.read_text("utf-8")
    assert main([*call, "--answer", strange]) == 2
    assert "is unusual" in " ".join(capsys.readouterr().err.split())
    assert before == kept.read_text("utf-8")
    assert main([*call, "--answer", strange, "--how", "tape"]) == 2
    assert '--how "sure: tape"' in " ".join(capsys.readouterr().err.split())
    assert before == kept.read_text("utf-8")
    assert main([*call, "--answer", strange, "--how", "sure: ok"]) == 2
    capsys.readouterr()
    assert main([*call, "--answer", strange, "--how", "sure: tape"]) == 0
    assert main([*call, "--answer", usual, "--how", "tape"]) == 0
    assert "unusual" not in capsys.readouterr().err
