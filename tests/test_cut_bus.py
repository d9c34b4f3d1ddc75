"""What each half of a cut bus must show, by itself and with its units mated."""

from __future__ import annotations

import math
from dataclasses import replace

from sheet_cases import demo_given

from wiremap.content.bus import bus_halves
from wiremap.graph import Harness
from wiremap.model import Span
from wiremap.survey.cut_bus import alone_ohms, mated_ohms


def test_a_half_by_itself_shows_what_lies_in_it() -> None:
    """120 ohm far off in the machine, a tenth, 2 % and 0.5 ohm either way; the new unit over 10 kilohm."""
    machine, unit = bus_halves(demo_given())
    assert Span(105, 136) == alone_ohms(demo_given().harness, machine.question)
    assert Span(9700, math.inf) == alone_ohms(demo_given().harness, unit.question)


def test_a_half_of_which_no_paper_tells_has_no_band() -> None:
    """Without ohms behind the loom the reading is noted, and the rule stands beside it."""
    job = demo_given().harness.job
    loom = job.ends["loom"]
    bare = replace(loom, pinout=replace(loom.pinout, behind=()))
    given = replace(demo_given(), harness=Harness(replace(job, ends={**job.ends, "loom": bare})))
    machine, _ = bus_halves(given)
    assert machine.ohms_alone is None
    assert any("120 Ω: one terminator" in words for words in machine.meanings)


def test_a_whole_half_shows_two_terminators() -> None:
    """Two of 120 ohm side by side are 60: a tenth, 2 % and 0.5 ohm either way are 52.4 to 67.9."""
    for half in bus_halves(demo_given()):
        band = mated_ohms(demo_given().harness, half.question)
        assert 52.0 <= band.low <= 52.5 and 67.8 <= band.high <= 68.0


def test_a_half_with_a_band_and_no_switch_is_right_or_stops() -> None:
    """No figure outside the band has a way on: what else was read would mean is not told."""
    machine, _ = bus_halves(demo_given())
    (only,) = replace(machine, switch=None).meanings
    assert only.startswith("Anything else: stop")
