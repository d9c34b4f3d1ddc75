"""The supply, feed, return or ground of a load is read by the noun at the head of its wording.

`load_words.toml` holds invented wordings of the trade and what a tradesman expects of each (common practice).  No wording
that names a load or a switch becomes a supply, and no battery contact is offered to a load's feed.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from wiremap.model import Cavity
from wiremap.naming import Meaning, read_signal
from wiremap.propose.compare import compare
from wiremap.trade.functions import FUNCTIONS

WORDS = tomllib.loads(Path(__file__).with_name("load_words.toml").read_text())["words"]


def wordings(*kinds: str) -> Iterator[tuple[str, str]]:
    for row in WORDS:
        if not kinds or row["expect"] in kinds:
            for said in row["said"]:
                yield row["expect"], said


def as_expected(expect: str, read: Meaning) -> bool:
    electrical = FUNCTIONS[read.function].electrical
    match expect:
        case "lamp":
            return read.function == "lamp-feed"
        case "load":
            return electrical == "drive" and not read.settled
        case "return":
            return electrical == "ground"
        case "input":
            return electrical == "input" and read.function != "wake"
        case "held":
            return electrical != "supply" and not read.settled
    raise AssertionError(expect)


@pytest.mark.parametrize(("expect", "said"), list(wordings()))
def test_the_head_of_a_wording_decides(expect: str, said: str) -> None:
    read = read_signal(said)
    assert as_expected(expect, read), (read.function, read.settled, read.may_be)


def test_the_cases_are_many_and_differ() -> None:
    said = [said for _, said in wordings()]
    assert len(said) == len(set(said)) >= 190


def contact(signal: str, stated: str | None = None) -> Cavity:
    read = read_signal(signal, stated=stated)
    return Cavity(name="1", signal=signal, reading=read)


@pytest.mark.parametrize("said", [said for _, said in wordings("lamp", "load", "held")])
@pytest.mark.parametrize("battery", ["KL30", "Battery +12 V always", "Pump battery feed", "Feed"])
def test_no_battery_is_offered_to_a_loads_feed(battery: str, said: str) -> None:
    """Neither by its wording nor where the paper states that nothing switches it."""
    feed = contact(said)
    for source in (contact(battery), contact(said, stated="permanent-supply")):
        assert source.function == "permanent-supply"
        assert compare(source, feed).refused
        assert compare(feed, source).refused


@pytest.mark.parametrize(
    ("said", "function"),
    [
        ("Solenoid valve supply, pos. 30", "permanent-supply"),  # ISO 7638-1 contact 1
        ("Electronics supply 15", "permanent-supply"),
        ("ground via switch", "switched-ground"),  # DIN 72552 terminal 31b
        ("main power supply", "permanent-supply"),
        ("Display supply", "permanent-supply"),
        ("sensor supply", "sensor-supply"),
        ("Guard feed", "interlock-out"),
        ("permanent feed for interior lamp", "permanent-supply"),
        ("lighting earth", "restricted-ground"),  # ISO 1724, ISO 11446
    ],
)
def test_a_supply_that_feeds_a_unit_stays_one(said: str, function: str) -> None:
    assert read_signal(said).function == function


@pytest.mark.parametrize("said", ["alimentazione elettronica da batteria", "sensore da tramoggia"])
def test_a_small_word_of_a_sentence_is_no_serial_circuit(said: str) -> None:
    """`DA` is a circuit of a serial port (EIA-232), `da` is "from" in Italian and Portuguese."""
    assert FUNCTIONS[read_signal(said).function].electrical != "data"
