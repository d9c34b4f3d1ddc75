"""Resistors, diodes and seals: Ohm's law by hand, and what a maker's range is held against."""

from __future__ import annotations

import math

import pytest

from wiremap.model import Wire
from wiremap.sizing.conductor import cable
from wiremap.sizing.load import cable_of
from wiremap.sizing.parts import (
    amps_behind,
    diode_stress,
    resistor_stress,
    resistor_watts,
    volts_behind,
)


@pytest.mark.parametrize(
    ("volts", "ohms", "watts"),
    [(12, 1, 144), (12, 120, 1.2), (2.5, 120, 0.0520833), (28, 680, 1.152941)],
)
def test_watts_by_ohms_law(volts: float, ohms: float, watts: float) -> None:
    """Worked by hand, U2/R; a bus terminator at 2.5 V stays under the 0.22 W that it must stand."""
    assert resistor_watts(volts, ohms) == pytest.approx(watts, rel=1e-5)
    assert resistor_watts(volts, 0) == math.inf


@pytest.mark.parametrize(
    ("rated", "over", "known"), [(None, False, False), (2.41, False, True), (2.39, True, True)]
)
def test_a_resistor_bears_half_its_rating(rated: float | None, over: bool, known: bool) -> None:
    """120 ohm across 12 V bear 1.2 W: 2.4 W is the least rating in a sleeve."""
    stress = resistor_stress(12, 120, rated)
    assert (stress.over, stress.known) == (over, known)


def test_a_resistor_keeps_no_volts_from_an_input() -> None:
    """Into nothing all 12 V pass; into 100 ohm half of them; what it drives is Ohm's law."""
    assert volts_behind(12, 100) == 12
    assert volts_behind(12, 100, 100) == pytest.approx(6)
    assert amps_behind(12, 100, 5) == pytest.approx(0.07)
    assert amps_behind(12, 0) == math.inf


@pytest.mark.parametrize(("amps", "over"), [(2.99, False), (3.0, False), (3.01, True)])
def test_a_diode_by_its_amperes(amps: float, over: bool) -> None:
    """Equality is allowed."""
    assert diode_stress(amps, 3.0).over == over
    assert not diode_stress(amps, None).known


@pytest.mark.parametrize("size", ["0.22", "0.35", "0.5", "0.75", "1", "1.5", "2.5", "4", "6", "10"])
def test_a_wire_lies_between_its_least_and_its_greatest_diameter(size: str) -> None:
    """ISO 6722-1 least walls and greatest diameters (from memory): 8 to 20 % apart."""
    found = cable(size)
    assert found.least_outside_mm is not None and found.outside_mm is not None
    assert 0.78 * found.outside_mm <= found.least_outside_mm < found.outside_mm


def test_a_stated_diameter_has_no_room() -> None:
    """What was measured is neither thinner nor thicker; of thick walls no least is tabled."""
    stated = cable_of(Wire("0.5 RD", 0.5, outside_mm=1.5))
    assert (stated.least_outside_mm, stated.outside_mm) == (1.5, 1.5)
    assert cable("0.5", "thick").least_outside_mm is None
