"""Fuse and wire as lines of current against time, for drawing: what each may do and stands."""

from __future__ import annotations

import math
from typing import NamedTuple

from wiremap.sizing.bundled import bundle_factor
from wiremap.sizing.circuit import Protected
from wiremap.sizing.fuse_judge import ADIABATIC_S, stood_C, withstand_k
from wiremap.sizing.fuse_limits import gates
from wiremap.sizing.heat import ampacity_amps
from wiremap.sizing.transient import temperature_after_C

LONG_S = (10.0, 30.0, 100.0, 300.0, 1000.0)
SHORT_S = (0.01, ADIABATIC_S)
BEYOND = 2  # so many times the last opening limit's current the lines are drawn, with constant I2t
MOST_TIMES = 30  # the ampacity: no current that is searched for is higher
CLOSE = 0.005  # of the current: near enough for a line on paper


class CurvePoint(NamedTuple):
    """A point of a line: amps and seconds."""

    amps: float
    seconds: float


Points = tuple[CurvePoint, ...]


def fuse_curves(rating: float, family: str) -> tuple[Points, Points]:
    """Shortest and longest opening times of a rating: each opening limit, then constant I2t."""
    least = []
    most = []
    for gate in gates(rating, family):
        amps = gate.times * rating
        least.append(CurvePoint(amps, gate.least_s))
        most.append(CurvePoint(amps, gate.most_s))
    return _drawn_on(least), _drawn_on(most)


def _drawn_on(line: list[CurvePoint]) -> Points:
    last = line[-1]
    return (*line, CurvePoint(BEYOND * last.amps, last.seconds / BEYOND**2))


def wire_curve(circuit: Protected) -> Points:
    """What the wire stands: k2A2 up to 5 s, the heat balance beyond, at last its ampacity.

    Points at which the surroundings leave it no current are left out.  Raises OutOfRange where the
    heat balance of the wire does not hold.
    """
    k = withstand_k(circuit)
    area = circuit.wire.area_mm2
    line = [CurvePoint(k * area / math.sqrt(seconds), seconds) for seconds in SHORT_S]
    factor = bundle_factor(circuit.bundle).factor
    for seconds in LONG_S:
        line.append(CurvePoint(_stood_amps(circuit, seconds) * factor, seconds))
    steady = ampacity_amps(circuit.wire, circuit.limit_C, circuit.ambient_C)
    line.append(CurvePoint(steady * factor, 10 * LONG_S[-1]))
    return tuple(point for point in line if point.amps > 0)


def _stood_amps(circuit: Protected, seconds: float) -> float:
    """The current that takes a single wire from its class temperature to what it stands for this
    time [A], by halving.
    """
    wire = circuit.wire
    low = ampacity_amps(wire, circuit.limit_C, circuit.ambient_C)
    high = MOST_TIMES * low
    limit_C = stood_C(circuit, seconds)
    while high - low > CLOSE * low:
        middle = (low + high) / 2
        reached = temperature_after_C(wire, middle, seconds, circuit.limit_C, circuit.ambient_C)
        if reached > limit_C:
            high = middle
        else:
            low = middle
    return low
