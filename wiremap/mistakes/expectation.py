"""What the display should do at a reading, and whether a build would surely show something else."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum

from wiremap.evidence import metered
from wiremap.evidence.meter import displayed
from wiremap.mistakes.beeper import Beeper
from wiremap.mistakes.build import FORWARD, NOWHERE, Build
from wiremap.model import CHASSIS, Span, State


class Shows(StrEnum):
    """What a display can do, and what is asked for."""

    BEEP = "beep"
    SILENT = "silent"
    OHMS = "ohms"
    DIODE = "diode"


@dataclass(frozen=True, slots=True)
class Expectation:
    """What the display should do; ohms lie between `low` and `high`."""

    shows: Shows
    low: float | None = None
    high: float | None = None


def apart(
    build: Build, red: Collection[str], black: Collection[str], state: State = NOWHERE
) -> Expectation:
    """What two combs of nets that are no one metal should show."""
    span = build.ohms(red, black, state)
    if math.isinf(span.low):
        return Expectation(Shows.SILENT)
    shown = _in_a_row(build, red, black, span, state) or displayed(span)
    return Expectation(Shows.OHMS, shown.low, shown.high)


def _in_a_row(
    build: Build, red: Collection[str], black: Collection[str], span: Span, state: State
) -> Span | None:
    """Two loads in a row by way of ground: what both may show when each is read by itself.

    Two that were right singly are right here: the meter's doubt and its leads count twice.
    """
    if CHASSIS in red or CHASSIS in black or state != NOWHERE:
        return None
    one, two = (build.ohms(each, (CHASSIS,), state) for each in (red, black))
    by_ground = math.isclose(one.low + two.low, span.low)
    if min(one.low, two.low) <= 0 or not by_ground or math.isinf(span.high):
        return None
    first, second = displayed(one), displayed(two)
    return Span(round(first.low + second.low, 6), round(first.high + second.high, 6))


def contradicts(
    expected: Expectation,
    build: Build,
    red: Collection[str],
    black: Collection[str],
    state: State = NOWHERE,
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
