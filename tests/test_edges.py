"""Edges of what single lines of code count, halve and compare: at the edge, and one beside it.

The figures are the program's own conventions (common practice where nothing else is said), typed here anew.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from demo_jobs import DEMO_JOB

from wiremap.cli.next_words import tell_all
from wiremap.entries.numbers import read_seen
from wiremap.entries.power_lines import TypedPower, taken_apart
from wiremap.entries.told_readings import told_ohms
from wiremap.evidence.meter import says
from wiremap.evidence.opened import open_job
from wiremap.model import Cavity, Entry, EntryKind, Seen, Span
from wiremap.naming import read_signal
from wiremap.propose.details import Weighing
from wiremap.share.column_hints import looks_like
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
