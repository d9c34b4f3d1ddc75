"""Small readers of wordings at their edges: figures with prefixes, dashes, volts, letters that count, slips."""

from __future__ import annotations

import pytest

from wiremap.diagnose.explain import first_half
from wiremap.trade.functions import nearest
from wiremap.trade.names import _is_minus
from wiremap.trade.slipping import weight_of
from wiremap.trade.told_figures import _rate, watts_in
from wiremap.trade.wording import _level, counted


@pytest.mark.parametrize(
    ("wording", "kbit_s"),
    [
        ("CAN 500 kbit/s", 500.0),
        ("CAN 1 Mbit/s", 1000.0),
        ("CAN high", None),
        ("250 kbit/s or 500 kbit/s", None),
    ],
)
def test_one_rate_is_read_in_kilobits_and_of_two_neither(
    wording: str, kbit_s: float | None
) -> None:
    assert kbit_s == _rate(wording)


@pytest.mark.parametrize(
    ("wording", "watts"),
    [
        ("lamp 21 W", (21.0,)),
        ("lamps 2 x 55 W", (110.0,)),
        ("heater 1.2 kW", (1200.0,)),
        ("lamp 21 W, lamp 5 W", (21.0, 5.0)),
        ("lamp", ()),
    ],
)
def test_watts_are_read_times_their_count_and_prefix(
    wording: str, watts: tuple[float, ...]
) -> None:
    assert watts == watts_in(wording)


@pytest.mark.parametrize(
    ("text", "at", "minus"),
    [
        ("-5", 0, True),
        ("2 -5", 2, True),
        ("a-b", 1, False),
        ("a - b", 2, False),
        ("a-", 1, True),
        ("a -", 2, True),
        ("a -)", 2, True),
        ("(-5", 1, True),
    ],
)
def test_a_dash_is_a_minus_before_a_number_or_behind_a_name(
    text: str, at: int, minus: bool
) -> None:
    assert minus == _is_minus(text, at)


@pytest.mark.parametrize(
    ("volts", "idea"),
    [(0.0, "minus"), (1.0, "lowvolts"), (5.0, "v5"), (12.0, "volts"), (400.0, "classb")],
)
def test_a_number_of_volts_says_what_kind_of_supply_it_is(volts: float, idea: str) -> None:
    assert idea == _level(volts)


@pytest.mark.parametrize(
    ("index", "number"), [("a", "1"), ("B", "2"), ("z", "26"), ("12", "12"), ("ab", "ab")]
)
def test_a_letter_counts_from_a(index: str, number: str) -> None:
    assert number == counted(index)


@pytest.mark.parametrize(
    ("typed", "meant", "alike"),
    [
        ("pressure", "pressure", False),  # nothing slipped
        ("presure", "pressure", True),
        ("pressrue", "pressure", True),
        ("rpessure", "pressure", False),  # the first letter is hit
        ("temperatur", "temperature", True),
        ("pump", "lamp", False),
    ],
)
def test_a_slip_of_the_hand_weighs_something_and_another_word_nothing(
    typed: str, meant: str, alike: bool
) -> None:
    assert alike == bool(weight_of(typed, meant))


@pytest.mark.parametrize(
    ("points", "half"), [("a", "a"), ("ab", "a"), ("abc", "ab"), ("abcd", "ab")]
)
def test_half_of_some_points_is_the_larger_half(points: str, half: str) -> None:
    assert tuple(half) == first_half(tuple(points))


def test_a_mistyped_function_is_held_against_three_at_most() -> None:
    assert "power-ground" == nearest("power-grund")[0]
    assert 3 >= len(nearest("supply"))
    assert () == nearest("xyzzy")
