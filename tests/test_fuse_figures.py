"""A stop of a fuse that need not open shows what the short's current was worked out from."""

from __future__ import annotations

import re
from pathlib import Path

from wiremap.check import check

CASE = Path(__file__).parent / "cases" / "fuse-does-not-clear" / "bad.yaml"


def test_a_stop_of_clearing_shows_the_figures_it_rests_on() -> None:
    """Ohm's law over the figures shown gives the amperes shown, by hand."""
    found = [each for each in check([CASE]).findings if each.rule == "fuse-does-not-clear"]
    assert found
    for each in found:
        told = re.search(
            r"draws ([\d.]+) A \(([\d.]+) V over ([\d.]+) milliohm before .* and ([\d.]+) of",
            each.message,
        )
        assert told is not None, each.message
        amps, volts, before, wires = map(float, told.groups())
        assert abs(volts / (before + wires) * 1000 - amps) < 0.02 * amps
