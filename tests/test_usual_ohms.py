"""What is usual of a coil goes by the machine's volts, of a pulse sensor by what its paper tells of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from wiremap.evidence.expected import Quantity
from wiremap.evidence.judged_reading import promises_of
from wiremap.files import load_job
from wiremap.model import Span, Supply

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: {signal: Main supply, function: permanent-supply}
  2: ground
  3: {signal: Water pump relay, function: high-side-drive}
  4: {signal: Fan speed, function: pulse-inputVOLTS}
  5: {signal: Sensor return, function: sensor-return}
"""


@pytest.fixture
def usual(two_papers: Callable[[str, str], Path]) -> Callable[[str, str, float | None], Span]:
    """The ohms that are wanted between two contacts of a machine of so many volts."""

    def between(red: str, black: str, volts: float | None, told: str = "") -> Span:
        paper = OLD.replace("VOLTS", told)
        job = load_job(two_papers(paper, paper.replace("old", "new")) / "job.yaml").value
        assert job is not None
        job = replace(job, supply=Supply(volts=volts))
        rows = promises_of(job)[frozenset((red, black))]
        (row,) = (each for each in rows if each.quantity == Quantity.OHMS)
        assert row.band is not None
        return row.band

    return between


@pytest.mark.parametrize(
    ("volts", "ohms", "fits"),
    [(12, 85, True), (12, 300, False), (24, 300, True), (24, 1000, False), (None, 300, False)],
)
def test_a_relay_of_a_24_volt_machine_may_have_300_ohm(
    usual: Callable[..., Span], volts: float | None, ohms: float, fits: bool
) -> None:
    """Common practice: 85 ohm at 12 V, 300 at 24 V; a dead short fits neither."""
    band = usual("old.3", "chassis", volts)
    assert band.overlaps(Span.of(ohms)) is fits
    assert not band.overlaps(Span.of(0.5))


@pytest.mark.parametrize(
    ("told", "ohms", "fits"),
    [("", 1100, True), ("", 50, False), (", volts: [0, 5]", 1100, False), ("", 20000, True)],
)
def test_a_pickup_of_a_kilohm_is_an_ordinary_pulse_sensor(
    usual: Callable[..., Span], told: str, ohms: float, fits: bool
) -> None:
    """Common practice: inductive 0.2 to 3 kohm; one whose volts are stated is electronic."""
    assert usual("old.4", "old.5", 24, told).overlaps(Span.of(ohms)) is fits
