"""Fuse and wire as lines of current against time, for drawing: what the fuse may do, what the wire can stand."""

from __future__ import annotations

import math

from wiremap.sizing.ampacity import bundle_factor, short_circuit_limit_C
from wiremap.sizing.conductor import Cable
from wiremap.sizing.fuse_judge import ADIABATIC_S, Circuit, running_C
from wiremap.sizing.fuse_limits import gates
from wiremap.sizing.heat import adiabatic_k, ampacity_amps, temperature_after_C

LONG_S = (10.0, 30.0, 100.0, 300.0, 1000.0)
SHORT_S = (0.01, ADIABATIC_S)
Points = tuple[tuple[float, float], ...]


def fuse_curves(rating: float, family: str = "blade") -> tuple[Points, Points]:
    """Shortest and longest opening times of a rating: (amps, seconds) at each gate, then on with constant I2t."""
    least = [(g.times * rating, g.least_s) for g in gates(rating, family)]
    most = [(g.times * rating, g.most_s) for g in gates(rating, family)]
    return (*least, (2 * least[-1][0], least[-1][1] / 4)), (
        *most,
        (2 * most[-1][0], most[-1][1] / 4),
    )


def wire_curve(circuit: Circuit, rating: float) -> Points:
    """What the wire stands: (amps, seconds) by k2A2 up to 5 s, by the heat balance beyond; ends at its ampacity."""
    start = running_C(rating, circuit)
    k = adiabatic_k(start, short_circuit_limit_C(circuit.limit_C))
    short = [(k * circuit.wire.area_mm2 / math.sqrt(t), t) for t in SHORT_S]
    factor = bundle_factor(circuit.bundle)[0]
    steady = ampacity_amps(circuit.wire, circuit.limit_C, circuit.ambient_C)
    long = [
        (
            _stood_amps(circuit.wire, t, start, circuit.ambient_C, circuit.limit_C, steady)
            * factor,
            t,
        )
        for t in LONG_S
    ]
    return (*short, *long, (steady * factor, 10 * LONG_S[-1]))


def _stood_amps(
    wire: Cable, seconds: float, start_C: float, ambient_C: float, limit_C: float, steady: float
) -> float:
    """The current that brings the wire to its limit in this time [A], by halving between ampacity and thirty times it."""
    low, high = steady, 30 * steady
    while high - low > 0.005 * low:
        middle = (low + high) / 2
        if temperature_after_C(wire, middle, seconds, start_C, ambient_C) > limit_C:
            high = middle
        else:
            low = middle
    return low
