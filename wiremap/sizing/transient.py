"""The heat balance of one insulated conductor in time: how hot after so many seconds."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from wiremap.sizing.air import shed_W_per_m
from wiremap.sizing.conductor import Cable, constant, linear_ratio, outside_mm
from wiremap.sizing.heat import (
    MELTING_C,
    heat_at_W_per_m,
    insulation_Km_per_W,
    steady_temperature_C,
)
from wiremap.sizing.sized import ROUND, OutOfRange

SETTLED_AFTER = 12  # time constants, by which all but 1/160000 of the rise has come
STEP_K = 0.02  # error allowed in one step
STILL_K = 0.01  # what the rest of the time would add at most when the steps end early
FIRST_S = 1e-2  # length of the first step [s]
# Bogacki and Shampine's pair of formulas: the third order, and how far the second lies from it
THIRD_ORDER = (2 / 9, 3 / 9, 4 / 9)
APART = (-5 / 72, 1 / 12, 1 / 9, -1 / 8)
SHORTEST, LONGEST, CAREFUL = 0.2, 4.0, 0.9  # how the next step may grow, and the share of it taken
Rates = Callable[[float, float], "Nodes"]


class Nodes(NamedTuple):
    """A quantity at the two nodes of a wire: its conductor and its surface."""

    core: float
    skin: float


def heat_nodes_J_per_Km(wire: Cable) -> Nodes:
    """Heat capacity of a metre, at the conductor and at the surface [J/K m].

    The insulation is parted by the van Wormer share 1/(2 ln(D/d)) - 1/((D/d)^2 - 1), as in
    IEC 60853.  Raises OutOfRange for a wire of unknown outside diameter.
    """
    copper = constant("heat_capacity") * wire.area_mm2 * 1e-6
    outside = outside_mm(wire)
    inner = wire.conductor_mm
    if outside <= inner * (1 + ROUND):
        return Nodes(copper, 0.0)
    area = math.pi / 4 * (outside**2 - inner**2)
    insulation = constant("insulation_heat_capacity") * area * 1e-6
    ratio = outside / inner
    share = 1 / (2 * math.log(ratio)) - 1 / (ratio**2 - 1)
    return Nodes(copper + share * insulation, (1 - share) * insulation)


@lru_cache(maxsize=2048)
def temperature_after_C(
    wire: Cable, amps: float, seconds: float, start_C: float, ambient_C: float
) -> float:
    """Conductor temperature after a constant current has flowed for some time [C].

    At most that of molten copper.  Two nodes (conductor and surface) in balance at `start_C`,
    explicit steps of third order with the error held.  Valid from about a second on: before that
    the insulation has not taken up its share, and `adiabatic_temperature_C` is the bound.
    Raises OutOfRange without an outside diameter.
    """
    settled = _settled_C(wire, amps, seconds, ambient_C)
    if settled is not None:
        return settled
    heat = heat_nodes_J_per_Km(wire)
    outside = outside_mm(wire)
    resistance = insulation_Km_per_W(wire.conductor_mm, outside)
    power = amps * amps * wire.ohm_per_m_20C

    def bare_rates(core: float, _skin: float) -> Nodes:
        shed = shed_W_per_m(core, ambient_C, outside)
        return Nodes((power * linear_ratio(core) - shed) / heat.core, 0.0)

    def rates(core: float, skin: float) -> Nodes:
        through = (core - skin) / resistance
        shed = shed_W_per_m(skin, ambient_C, outside)
        gained = power * linear_ratio(core) - through
        return Nodes(gained / heat.core, (through - shed) / heat.skin)

    bare = heat.skin == 0.0
    return _integrate(
        bare_rates if bare else rates, start_nodes_C(wire, start_C, ambient_C), seconds
    )


def _settled_C(wire: Cable, amps: float, seconds: float, ambient_C: float) -> float | None:
    """The steady temperature if more than twelve time constants pass, else None.

    The slowest constant is that of the settled wire: heat capacity over what more heat leaves
    than comes in for each kelvin.
    """
    try:
        final = steady_temperature_C(wire, amps, ambient_C)
    except OutOfRange:
        return None
    leaves = heat_at_W_per_m(final + 1, ambient_C, wire.conductor_mm, outside_mm(wire))
    comes = amps * amps * wire.ohm_per_m_20C * linear_ratio(final + 1)
    capacity = sum(heat_nodes_J_per_Km(wire))
    if seconds * (leaves - comes) > SETTLED_AFTER * capacity:
        return final
    return None


def start_nodes_C(wire: Cable, start_C: float, ambient_C: float) -> Nodes:
    """Temperatures of conductor and surface in balance [C], the conductor being at `start_C`.

    Raises OutOfRange without an outside diameter.
    """
    outside = outside_mm(wire)
    heat = heat_at_W_per_m(start_C, ambient_C, wire.conductor_mm, outside)
    return Nodes(start_C, start_C - heat * insulation_Km_per_W(wire.conductor_mm, outside))


def _integrate(rates: Rates, at: Nodes, seconds: float) -> float:
    """The core's temperature after so many seconds from `at` [C].

    Bogacki and Shampine's pair of orders 2 and 3: their difference is the error by which a step is
    taken or tried shorter.  Ended early once nothing moves any more.
    """
    done = 0.0
    step = min(seconds, FIRST_S)
    one = rates(*at)
    while done < seconds:
        step = min(step, seconds - done)
        two = rates(*_moved(at, step / 2, one))
        three = rates(*_moved(at, step * 3 / 4, two))
        slope = Nodes(*map(_third_order, one, two, three))
        new = _moved(at, step, slope)
        four = rates(*new)
        error = step * max(map(_error, one, two, three, four))
        if error <= STEP_K:
            done += step
            at, one = new, four
            if at.core >= MELTING_C:
                return MELTING_C
            if max(map(abs, one)) * (seconds - done) < STILL_K:
                break
        step *= _stride(error)
    return at.core


def _moved(at: Nodes, seconds: float, slope: Nodes) -> Nodes:
    return Nodes(at.core + seconds * slope.core, at.skin + seconds * slope.skin)


def _third_order(one: float, two: float, three: float) -> float:
    a, b, c = THIRD_ORDER
    return a * one + b * two + c * three


def _error(one: float, two: float, three: float, four: float) -> float:
    """How far the steps of second and third order lie apart [K/s]."""
    a, b, c, d = APART
    return abs(a * one + b * two + c * three + d * four)


def _stride(error: float) -> float:
    """How much longer the next step may be."""
    if not error:
        return LONGEST
    return min(LONGEST, max(SHORTEST, CAREFUL * math.cbrt(STEP_K / error)))
