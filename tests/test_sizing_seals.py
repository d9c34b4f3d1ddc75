"""Least and greatest diameters of wires, which a maker's seal range is held against."""

from __future__ import annotations

import pytest

from wiremap.model import Wire
from wiremap.sizing.conductor import cable
from wiremap.sizing.load import cable_of


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
