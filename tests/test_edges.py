"""Edges of what single lines of code count, halve and compare: at the edge, and one beside it.

The figures are the program's own conventions (common practice where nothing else is said), typed here anew.
"""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest
from demo_jobs import DEMO_JOB

from wiremap.cli.main import main
from wiremap.cli.next_words import tell_all
from wiremap.entries.numbers import read_seen
from wiremap.entries.power_lines import TypedPower, taken_apart
from wiremap.entries.told_readings import told_ohms
from wiremap.evidence.meter import says
from wiremap.evidence.opened import open_job
from wiremap.files.strict import Scalar
from wiremap.model import Cavity, Entry, EntryKind, Seen, Span
from wiremap.model.notebook import named_licence, names_paper, says_what
from wiremap.naming import read_signal
from wiremap.propose.details import Weighing
from wiremap.propose.likeness import likeness
from wiremap.propose.returns import _names
from wiremap.share.column_hints import looks_like
from wiremap.share.headings import is_headings
from wiremap.share.members import _with_moved_references
from wiremap.sizing.drop import check_supply
from wiremap.sizing.sized import OutOfRange
from wiremap.survey.question import of_table


def test_a_beep_leaves_everything_from_nothing_on_possible() -> None:
    beep = Entry(kind=EntryKind.PROBE, seen=Seen.BEEP)
    silent = Entry(kind=EntryKind.PROBE, seen=Seen.SILENT)
    assert says(beep) == Span(0.0, 50.0)
    assert says(silent) == Span(20.0, math.inf)


@pytest.mark.parametrize("volts", [0.1, 0.5, 1, 60])
def test_a_supply_may_be_as_low_as_a_cell_and_as_high_as_class_a(volts: float) -> None:
    check_supply(volts)


@pytest.mark.parametrize("volts", [0, -1, 60.1])
def test_a_supply_of_nothing_or_above_class_a_is_refused(volts: float) -> None:
    with pytest.raises(OutOfRange):
        check_supply(volts)


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        (["0.5", "1.0", "black", "thick"], ""),  # half of them
        (["0.5", "1.0", "1.5", "black"], "size"),
        (["red", "black", "x1", "x2"], ""),
        (["red", "black", "blue", "x2"], "wire"),
        (["red", "black", "blue", "x"], "colour"),
    ],
)
def test_a_column_is_what_more_than_half_of_it_looks_like(texts: list[str], field: str) -> None:
    assert looks_like(texts) == field


def test_one_line_of_first_power_names_one_state() -> None:
    states = ("beam through", "beam cut")
    assert taken_apart("16 beam through 3 V beam cut", states) == "one line holds one reading"
    told = taken_apart("16 beam cut 3 V", states)
    assert isinstance(told, TypedPower) and told.state == "beam cut"


def test_ohms_without_a_prefix_count_as_they_are() -> None:
    assert told_ohms("12 ohm, then 4.7 kohm, then 4k7") == (12.0, 4700.0, 4700.0)


def test_no_joint_that_may_be_made_weighs_nothing() -> None:
    one = Cavity(name="1", reading=read_signal("hopper level"))
    assert Weighing(old=one, new=one, weight=0).result().weight == 1


def test_two_questions_of_one_why_keep_the_answers_of_their_own(
    capsys: pytest.CaptureFixture[str],
) -> None:
    opened, _ = open_job(DEMO_JOB.as_posix())
    assert opened is not None
    first = of_table("volts", "supply.volts")
    tell_all(opened, [first, replace(first, answers=("yes", "no"))])
    assert 2 == capsys.readouterr().out.count("answers: ")
    tell_all(opened, [first, first])
    assert 1 == capsys.readouterr().out.count("answers: ")


@pytest.mark.parametrize(
    ("word", "seen"),
    [("beeps", Seen.BEEP), ("Quiet", Seen.SILENT), ("no beep", None), ("not quiet", None)],
)
def test_an_answer_is_read_whole_or_not_at_all(word: str, seen: Seen | None) -> None:
    """`no beep` must never be taken for a beep."""
    assert read_seen(word) is seen


@pytest.mark.parametrize(
    ("line", "headings"),
    [("pin\tsignal", True), ("pin;colour", True), ("pin\tcontact", False), ("pin", False)],
)
def test_a_row_of_headings_names_two_columns(line: str, headings: bool) -> None:
    assert is_headings(line) == headings


@pytest.mark.parametrize(
    ("one", "two", "alike"),
    [
        ("", "lamp", 0.0),
        ("", "", 0.0),
        ("?", "?", 1.0),
        ("lamp left", "lamp", 1.0),  # all words of the shorter
        ("lamp left", "left", 1.0),
        ("abc", "xyz", 0.0),
        ("ab", "ac", 1 / 3),  # of twice a, b, c, ab, ac the letter a is shared
    ],
)
def test_wordings_are_alike_by_what_they_share(one: str, two: str, alike: float) -> None:
    """By the words of the shorter one, or by letters and pairs (Dice's coefficient, 1945)."""
    assert likeness(one, two) == pytest.approx(alike)


@pytest.mark.parametrize(
    ("serves", "names"),
    [("3-5", ["3", "4", "5"]), ("4-4", ["4"]), ("2, 7-8", ["2", "7", "8"]), ("a-b", ["a-b"])],
)
def test_a_run_of_contacts_that_a_return_serves_holds_both_its_ends(
    serves: str, names: list[str]
) -> None:
    cavity = SimpleNamespace(serves=(), reading=SimpleNamespace(qualifier=lambda _: serves))
    assert _names(cast(Any, cavity)) == names


@pytest.mark.parametrize("written", ["old/p.yaml", "'old/p.yaml'", '"old/p.yaml"'])
def test_a_reference_is_moved_at_its_own_line_and_column(written: str) -> None:
    text = f"a: 1\n  pinout: {written}  # read\nb: {written}\n"
    spot = Scalar("old/p.yaml", 2, 11, plain=False)
    moved = _with_moved_references(text.encode(), [(spot, "p.yaml")])
    assert moved.decode() == f'a: 1\n  pinout: "p.yaml"  # read\nb: {written}\n'


@pytest.mark.parametrize(("word", "told"), [("w", False), ("wd", True), ("ww", False), ("7", True)])
def test_a_word_of_two_letters_names_something_and_a_letter_does_not(word: str, told: bool) -> None:
    assert says_what(word) is told
    assert names_paper(word) is told


@pytest.mark.parametrize(
    ("said", "named"),
    [
        ("no. 47", False),
        ("no. 471", True),
        ("crane 4", True),
        ("crane fitter", False),
        ("crane, the district", True),
    ],
)
def test_a_licence_is_named_by_its_number_or_by_who_gave_it(said: str, named: bool) -> None:
    """Three figures alone, or fewer behind what it is for; who gave it behind a comma."""
    assert bool(named_licence(said)) is named


@pytest.mark.parametrize(
    ("words", "code"), [(["-h"], 0), (["--help"], 0), (["--version"], 0), ([], 2)]
)
def test_help_that_was_asked_for_is_no_wrong_call(
    words: list[str], code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == code
    assert capsys.readouterr().out
