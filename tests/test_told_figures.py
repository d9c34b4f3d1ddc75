"""Figures that a wording tells count as its paper's, and name no circuit; a square wave reads its mean.

Common practice: a meter on its DC range shows the mean of a square wave, half its height at even mark and space.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.files import load_pinout
from wiremap.naming import read_signal
from wiremap.trade.told_figures import told_figures


@pytest.mark.parametrize(
    ("wording", "volts", "amps", "kbit_s"),
    [
        ("CAN high 250 kbit/s", None, None, 250),
        ("CAN high, 1 Mbit/s", None, None, 1000),
        ("CAN low 500k", None, None, 500),
        ("pump, max 12 A", None, 12, None),
        ("work lamp 4,5 A", None, 4.5, None),
        ("horn 3 amps", None, 3, None),
        ("supply 9-32 V, max. 3 A", (9, 32), 3, None),
        ("+12 V always", (12, 12), None, None),
        ("valve 2 A", None, None, None),  # side A of the second valve, perhaps
        ("supply, 15 A fuse", None, None, None),  # of the fuse, not of the load
        ("12 V or 24 V", None, None, None),
    ],
)
def test_a_figure_is_read_with_its_unit(
    wording: str, volts: object, amps: float | None, kbit_s: float | None
) -> None:
    told = told_figures(wording)
    assert (told.volts, told.amps, told.kbit_s) == (volts, amps, kbit_s)


def test_a_key_goes_before_the_wording(tmp_path: Path) -> None:
    (tmp_path / "p.yaml").write_text(
        "wiremap: pinout/1\ntitle: p\ncavities:\n  1: CAN high 250 kbit/s\n"
        "  2: {signal: pump max 12 A, function: high-side-drive, amps: 8}\n"
        "  3: '+12 V always, max 5 A'\n  4: Hall sensor output 12 V square\n",
        "utf-8",
    )
    pinout = load_pinout(tmp_path / "p.yaml").value
    assert pinout is not None
    bus, pump, supply, hall = pinout.cavities.values()
    assert (bus.kbit_s, pump.amps, supply.amps, str(supply.volts)) == (250, 8, 5, "12")
    assert (hall.function, str(hall.volts)) == ("pulse-input", "0 to 12")


@pytest.mark.parametrize(
    ("wording", "function"),
    [
        ("speed 0-12V", "pulse-input"),
        ("speed 0 to 12 V", "pulse-input"),
        ("level 0.5-4.5 V", "analogue-input"),
        ("level 0...10 V", "analogue-input"),
        ("Hall sensor output 12 V", "pulse-input"),
        ("flow +12 V", "sensor-supply"),
    ],
)
def test_a_span_of_volts_is_a_signal_not_a_supply(wording: str, function: str) -> None:
    """Common practice: 0.5 to 4.5 V is a ratiometric sensor's signal, its supply is one voltage."""
    assert read_signal(wording).function == function


@pytest.mark.parametrize(
    ("wording", "function", "qualifiers"),
    [
        ("Hall sensor ground", "sensor-return", {}),
        ("speed sensor ground", "sensor-return", {"circuit": "speed"}),
        ("level sensor earth", "sensor-return", {"circuit": "level"}),
        ("pressure sensor minus", "sensor-return", {"circuit": "pressure"}),
        ("Hall sensor supply", "sensor-supply", {}),
        ("Hall sensor output", "pulse-input", {}),
        ("speed sensor 0-12 V pulse", "pulse-input", {"circuit": "speed"}),
        ("level sensor 0-5 V", "analogue-input", {"circuit": "level"}),
        ("level sensor 5 V", "sensor-supply", {"circuit": "level"}),
        ("low side drive 1", "low-side-drive", {"index": "1"}),
        ("low side drive 2 max 12 A", "low-side-drive", {"index": "2"}),
        ("switched supply no. 15", "switched-supply", {}),
        ("output No 2", "high-side-drive", {"index": "2"}),
        ("switch NO", "digital-input", {"contact": "make"}),
    ],
)
def test_figures_and_numbers_are_no_contacts_and_no_circuits(
    wording: str, function: str, qualifiers: dict[str, str]
) -> None:
    """Common practice: the wire of a three-wire sensor that bears its signal swings, its supply does not."""
    found = read_signal(wording)
    assert (found.function, dict(found.qualifiers)) == (function, qualifiers)


OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: +12 V always, red
  2: earth, brown
  3: Hall sensor output, green
"""
NEW = """wiremap: pinout/1
title: new plug
cavities:
  1: earth, black
  2: +12 V always, red
  3: Hall sensor output WAVE
"""


@pytest.fixture
def held(
    two_papers: Callable[[str, str], Path],
) -> Callable[..., list[str]]:
    """What mends measured-live, where the leaflet words the sensor so, 6.1 V was read, and a word answered."""

    def fixes(wave: str, answer: str = "") -> list[str]:
        folder = two_papers(OLD, NEW.replace("WAVE", wave))
        (folder / "bench.txt").write_text("old.3 6.1 V on\n", "utf-8")
        main(["survey", "job.yaml", "--readings", "bench.txt", "--save"])
        if answer:
            main(["next", "job.yaml", "--about", "old.3.volts", "--answer", answer])
        return [each.fix for each in check(["job.yaml"]).findings if each.rule == "measured-live"]

    return fixes


def test_a_square_wave_is_judged_by_its_mean(held: Callable[..., list[str]]) -> None:
    assert held("12 V square") == []


def test_a_wave_of_less_than_was_read_stops(held: Callable[..., list[str]]) -> None:
    assert len(held("5 V square")) == 1


def test_a_named_person_says_between_which_volts_it_switches(
    held: Callable[..., list[str]],
) -> None:
    (fix,) = held("")
    assert "--about old.3.volts" in fix
    assert held("", "0 to 12") == []
