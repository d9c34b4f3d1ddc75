"""What is one question to a person is asked once for several contacts, and kept of each by itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from keyboard import Keyboard

from wiremap.cli.main import main
from wiremap.entries.told_readings import tells_reading, told_volts
from wiremap.evidence.settle import settle
from wiremap.files import load_job, load_notebook
from wiremap.survey.question import FoundAt, Question, of_table
from wiremap.survey.questions import questions
from wiremap.survey.together import MOST_TOGETHER, spread, together

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: Battery +, red
  2: Ignition, black
  3: earth, brown
"""
NEW = OLD.replace("old plug", "new plug")
VOLTS = ("new.1.volts", "new.2.volts")


@pytest.fixture
def folder(two_papers: Callable[[str, str], Path]) -> Path:
    return two_papers(OLD, NEW)


def typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr("sys.stdin", Keyboard("".join(f"{line}\n" for line in lines)))


def kept() -> list[tuple[str, str]]:
    read = load_notebook("job-notebook.yaml").value
    assert read is not None
    return [(entry.about, entry.answer) for entry in read.entries]


def standing() -> list[Question]:
    job = load_job("job.yaml").value
    assert job is not None
    return list(questions(settle(job)))


def of_volts(about: str) -> Question:
    return of_table("unit_volts", f"{about}.volts", at=about)


def test_contacts_of_one_unit_are_one_question() -> None:
    """Those of another unit are another; each stands where its first stood."""
    found = together([of_volts("a.1"), of_volts("b.1"), of_volts("a.2")])
    assert [each.all_about for each in found] == [("a.1.volts", "a.2.volts"), ("b.1.volts",)]
    assert "a.1; a.2" in found[0].text and found[1].text == of_volts("b.1").text


def test_no_question_grows_beyond_what_a_person_takes_in() -> None:
    found = together([of_volts(f"a.{n}") for n in range(MOST_TOGETHER + 2)])
    assert [len(each.all_about) for each in found] == [MOST_TOGETHER, 2]


def test_what_was_asked_for_singly_is() -> None:
    found = together([of_volts("a.1"), of_volts("a.2")], singly={"a.1.volts", "a.2.volts"})
    assert [each.all_about for each in found] == [("a.1.volts",), ("a.2.volts",)]


@pytest.mark.parametrize("row", ["unknown", "face", "fuse_amps", "amps"])
def test_what_differs_from_contact_to_contact_is_asked_of_each(row: str) -> None:
    """An unknown wire, a front, a fuse and a load: one answer for two would be a guess at one."""
    told = {"at": "", "wire": "", "end": ""}
    pair = [of_table(row, f"a.{n}.x", **told) for n in (1, 2)]
    assert len(together(pair)) == 2


def test_guesses_are_one_question_only_where_their_doubts_are_the_same() -> None:
    def of(points: str, doubts: str) -> Question:
        return of_table("circuit", points, points=points, doubts=doubts)

    found = together([of("a.1 - b.1", "its wording"), of("a.2 - b.2", "its wording")])
    other = together([of("a.1 - b.1", "its wording"), of("a.2 - b.2", "its colour")])
    assert (len(found), len(other)) == (1, 2)


def test_what_nobody_knew_is_not_mixed_with_what_is_new() -> None:
    at_leaflet = of_volts("a.1")
    assert at_leaflet.found_at is FoundAt.LEAFLET
    known = Question(**{**_fields(at_leaflet), "about": "a.2.volts", "not_known": "RK"})
    assert len(together([at_leaflet, known])) == 2


def _fields(question: Question) -> dict[str, object]:
    return {name: getattr(question, name) for name in Question.__slots__}


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("24", [("a", "24"), ("b", "24")]),
        ("12; 24", [("a", "12"), ("b", "24")]),
        ("1;2;3", "2 are asked of, 3 answers were given"),
    ],
)
def test_one_answer_for_all_or_one_each(said: str, found: object) -> None:
    assert spread(("a", "b"), said) == found


def test_an_answer_is_kept_of_each_contact(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    typed(monkeypatch, "24", "type plate", "")
    main(["next", "job.yaml", "--about", ", ".join(VOLTS)])
    assert kept() == [(about, "24") for about in VOLTS]


def test_each_by_itself(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`s` parts a question; what is answered then is kept of that contact alone."""
    typed(monkeypatch, "s", "24", "type plate", "")
    main(["next", "job.yaml", "--about", ", ".join(VOLTS)])
    assert kept() == [(VOLTS[0], "24")]


def test_one_wrong_answer_of_several_keeps_none(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    call = ["next", "job.yaml", "--about", ", ".join(VOLTS), "--how", "type plate"]
    assert main([*call, "--answer", "24; many"]) == 2
    assert main([*call, "--answer", "24; 24; 24"]) == 2
    assert not Path("job-notebook.yaml").exists()
    assert main([*call, "--answer", "24; 12"]) == 0
    assert kept() == [(VOLTS[0], "24"), (VOLTS[1], "12")]


def test_the_shown_call_answers_all_that_is_asked(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    main(["next", "job.yaml", "--about", "new.1"])
    told = " ".join(capsys.readouterr().out.split())
    asked = [each for each in together(standing()) if each.about.startswith("new.1.")]
    assert f"[{asked[0].about}]" in told
    main(["next", "job.yaml", "--about", ", ".join(VOLTS)])
    told = " ".join(capsys.readouterr().out.split())
    assert f'--about "{", ".join(VOLTS)}"' in told and "parted by `;`" in told


def test_a_line_of_a_batch_answers_several(folder: Path) -> None:
    Path("b.txt").write_text(f"{', '.join(VOLTS)}: 24; how: type plate\n", "utf-8")
    assert main(["next", "job.yaml", "--batch", "b.txt"]) == 0
    assert kept() == [(about, "24") for about in VOLTS]


def test_a_long_batch_is_counted_and_only_what_it_replaces_is_told(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = [
        f"{end}.{n}.basis: document; how: page {n}" for end in ("old", "new") for n in (1, 2, 3)
    ]
    lines += ["supply.volts: 24", "surroundings.wet: yes", "surroundings.ambient_C: 40"]
    lines += ["surroundings.moves: none", "surroundings.bundle: 6", "old.tail_mm: 200"]
    lines += ["new.tail_mm: 300", "old.1.fuse_amps: 10", "old.1.milliohm: 20"]
    Path("b.txt").write_text("\n".join(lines), "utf-8")
    capsys.readouterr()
    assert main(["next", "job.yaml", "--batch", "b.txt"]) == 0
    told = capsys.readouterr().err.splitlines()
    assert told == [f"kept in job-notebook.yaml: {len(lines)} answers"]
    Path("b.txt").write_text("\n".join(lines).replace("volts: 24", "volts: 12"), "utf-8")
    assert main(["next", "job.yaml", "--batch", "b.txt"]) == 0
    told = capsys.readouterr().err.splitlines()
    assert told[1:] == ["kept in job-notebook.yaml: supply.volts: 12 (instead of 24, RK)"]


@pytest.mark.parametrize(
    ("told", "volts", "key"), [("12,5 off", 12.5, "off"), ("12.4 ignition on", 12.4, "on")]
)
def test_a_figure_beside_the_ignition_is_volts(told: str, volts: float, key: str) -> None:
    """For ohms the battery is off; a figure alone tells nothing."""
    assert told_volts(told) == ((volts, key),) and tells_reading(told)
    assert not tells_reading("12.5") and not tells_reading("page 12 off the shelf")


def test_words_that_tell_of_one_of_several_are_kept_of_none(
    two_papers: Callable[[str, str], Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """Where the left valve was found tells nothing of the right one; words for each are kept of each."""
    paper = "wiremap: pinout/1\ntitle: valves\ncavities:\n  1: Valve left\n  2: Valve right\n"
    two_papers(paper, paper)
    call = ["next", "job.yaml", "--about", "new.1.basis, new.2.basis", "--answer", "document"]
    assert main([*call, "--by", "RK", "--how", "leaflet 4711, valve left, page 12"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "does not tell of new.2.basis (right)" in told and "parted by `;`" in told
    how = "leaflet 4711, valve left, page 12; leaflet 4711, valve right, page 13"
    assert main([*call, "--by", "RK", "--how", how]) == 0
    book = load_notebook("job-notebook.yaml").value
    assert book is not None
    assert [entry.how for entry in book.entries] == how.split("; ")
