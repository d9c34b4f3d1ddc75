"""What the display should do at a reading, and whether a build would surely show something else."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum

from wiremap.evidence import metered
from wiremap.evidence.meter import displayed
from wiremap.mistakes.beeper import Beeper
from wiremap.mistakes.build import AS_USUAL, FORWARD, Build
from wiremap.model import CHASSIS, Span, State


class Shows(StrEnum):
    """What a display does at a reading; DIODE is asked for in diode range."""

    BEEP = "beep"
    SILENT = "silent"
    OHMS = "ohms"
    DIODE = "diode"


@dataclass(frozen=True, slots=True)
class Expectation:
    """What the display should do; with OHMS the figure lies between `low` and `high` [ohm]."""

    shows: Shows
    low: float | None = None
    high: float | None = None


def expected_apart(
    build: Build, red: Collection[str], black: Collection[str], state: State = AS_USUAL
) -> Expectation:
    """What two combs of points that are not one metal should show: silence, or ohms."""
    span = build.ohms(red, black, state)
    if math.isinf(span.low):
        return Expectation(Shows.SILENT)
    shown = _in_a_row(build, red, black, span, state) or displayed(span)
    return Expectation(Shows.OHMS, shown.low, shown.high)


def _in_a_row(
    build: Build, red: Collection[str], black: Collection[str], span: Span, state: State
) -> Span | None:
    """The ohms of two loads in a row by way of ground, where they are that; else None.

    Each is read against ground as well.  So that two which were right there are right here, the
    meter's error is counted for each.
    """
    if CHASSIS in red or CHASSIS in black or state != AS_USUAL:
        return None
    one, two = (build.ohms(each, (CHASSIS,), state) for each in (red, black))
    by_ground = math.isclose(one.low + two.low, span.low)
    if not one.low or not two.low or not by_ground or math.isinf(span.high):
        return None
    first, second = displayed(one), displayed(two)
    return Span(round(first.low + second.low, 6), round(first.high + second.high, 6))


def contradicts(
    expected: Expectation,
    build: Build,
    red: Collection[str],
    black: Collection[str],
    state: State = AS_USUAL,
) -> bool:
    """Whether this build would surely show something else than expected."""
    span = build.ohms(red, black, state)
    if expected.shows == Shows.DIODE and build.diode(red, black) != FORWARD:
        return True
    return misses(expected, span, build.drawn.beeper)


def misses(expected: Expectation, span: Span, beeper: Beeper) -> bool:
    """Whether a true band of ohms surely shows something else than expected."""
    if expected.shows == Shows.BEEP:
        return span.low >= beeper.silent_ohms
    if expected.shows in (Shows.SILENT, Shows.DIODE):
        return span.high <= beeper.sounds_ohms
    assert expected.low is not None and expected.high is not None
    return not metered(span).overlaps(Span(expected.low, expected.high))
