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
from wiremap.model import Span, State


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
    shown = displayed(span)
    return Expectation(Shows.OHMS, shown.low, shown.high)


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
