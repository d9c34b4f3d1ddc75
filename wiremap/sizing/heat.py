"""The heat balance of one insulated conductor in still air, at rest and in time."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

from wiremap.sizing.conductor import Cable, constant, outside_mm
from wiremap.sizing.sized import OutOfRange

INSULATION_W_PER_MK = 0.17
EMISSIVITY = 0.9
STEFAN_BOLTZMANN = 5.670374419e-8
GRAVITY = 9.80665
KELVIN = 273.15
AIR_CP = 1006.0
MELTING_C = 1083.0


def air_nusselt(surface_K: float, ambient_K: float, diameter_m: float) -> tuple[float, float]:
    """Nusselt number of a horizontal cylinder and the air's conductivity at film temperature [1, W/mK].

    Source: Churchill and Chu, Nu = (0.60 + 0.387 Ra^(1/6) / [1 + (0.559/Pr)^(9/16)]^(8/27))^2; air by Sutherland.
    """
    film = (surface_K + ambient_K) / 2
    ratio = (film / KELVIN) ** 1.5
    viscosity = 1.716e-5 * ratio * 383.55 / (film + 110.4)
    conductivity = 0.0241 * ratio * 467.15 / (film + 194.0)
    density = 101325.0 / (287.05 * film)
    prandtl = AIR_CP * viscosity / conductivity
    rayleigh = (
        GRAVITY
        / film
        * abs(surface_K - ambient_K)
        * diameter_m**3
        * (density / viscosity) ** 2
        * prandtl
    )
    root = 0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    return root * root, conductivity


def shed_W_per_m(surface_C: float, ambient_C: float, diameter_mm: float) -> float:
    """Heat that a metre of wire sheds to still air by convection and radiation [W/m]."""
    surface, ambient, diameter = surface_C + KELVIN, ambient_C + KELVIN, diameter_mm / 1000
    if surface <= ambient:
        return 0.0
    nusselt, conductivity = air_nusselt(surface, ambient, diameter)
    convection = nusselt * conductivity / diameter * (surface - ambient)
    radiation = EMISSIVITY * STEFAN_BOLTZMANN * (surface**4 - ambient**4)
    return math.pi * diameter * (convection + radiation)


def insulation_Km_per_W(conductor_mm: float, outside_mm_: float) -> float:
    """Thermal resistance of a metre of insulation [K m/W]: ln(D/d) / (2 pi k)."""
    if outside_mm_ < conductor_mm:
        raise OutOfRange(
            f"the outside diameter must not be below the conductor's {conductor_mm:.3g} mm; "
            f"got {outside_mm_:g} mm"
        )
    return math.log(outside_mm_ / conductor_mm) / (2 * math.pi * INSULATION_W_PER_MK)


def root(f: Callable[[float], float], low: float, high: float, tolerance: float = 1e-9) -> float:
    """Where a function that changes sign from `low` to `high` is nil: false position with the Illinois weight."""
    f_low, f_high = f(low), f(high)
    if f_low == 0.0:
        return low
    side = 0
    for _ in range(200):
        if f_high == f_low or high - low < tolerance:
            break
        x = (low * f_high - high * f_low) / (f_high - f_low)
        if not low < x < high:
            x = (low + high) / 2
        f_x = f(x)
        if f_x == 0.0:
            return x
        if (f_x > 0) == (f_high > 0):
            if abs(high - x) < tolerance:
                return x
            high, f_high = x, f_x
            f_low, side = (f_low / 2, 1) if side == 1 else (f_low, 1)
        else:
            if abs(x - low) < tolerance:
                return x
            low, f_low = x, f_x
            f_high, side = (f_high / 2, -1) if side == -1 else (f_high, -1)
    return (low + high) / 2


@lru_cache(maxsize=4096)
def heat_at_W_per_m(
    conductor_C: float, ambient_C: float, conductor_mm: float, outside_mm_: float
) -> float:
    """Heat that leaves a metre of a wire whose conductor is held at a temperature [W/m]."""
    resistance = insulation_Km_per_W(conductor_mm, outside_mm_)
    if conductor_C <= ambient_C:
        return 0.0
    if resistance == 0.0:
        return shed_W_per_m(conductor_C, ambient_C, outside_mm_)

    def gap(surface: float) -> float:
        return resistance * shed_W_per_m(surface, ambient_C, outside_mm_) - (conductor_C - surface)

    return (conductor_C - root(gap, ambient_C, conductor_C)) / resistance


@lru_cache(maxsize=4096)
def ampacity_amps(wire: Cable, limit_C: float, ambient_C: float) -> float:
    """Steady current that brings a single wire in free air to its limit [A]; 0 where the air is as hot as the limit."""
    heat = heat_at_W_per_m(limit_C, ambient_C, wire.conductor_mm, outside_mm(wire))
    return math.sqrt(heat / wire.ohm_per_m(limit_C))


@lru_cache(maxsize=4096)
def steady_temperature_C(wire: Cable, amps: float, ambient_C: float) -> float:
    """Conductor temperature that a steady current settles at [C]; raises OutOfRange if copper melts first."""
    if amps == 0:
        return ambient_C
    outside = outside_mm(wire)
    resistance = insulation_Km_per_W(wire.conductor_mm, outside)

    def gap(surface: float) -> float:
        heat = shed_W_per_m(surface, ambient_C, outside)
        return (
            heat - amps * amps * wire.ohm_per_m_20C * (234.5 + surface + heat * resistance) / 254.5
        )

    if gap(MELTING_C) < 0:
        raise OutOfRange(
            f"{amps:g} A would melt a {wire.name} conductor before it settles: a temperature is only "
            f"given below the {MELTING_C:g} C of molten copper"
        )
    surface = root(gap, ambient_C, MELTING_C)
    found = surface + resistance * shed_W_per_m(surface, ambient_C, outside)
    if found > MELTING_C:
        raise OutOfRange(
            f"{amps:g} A would melt a {wire.name} conductor before it settles: a temperature is only "
            f"given below the {MELTING_C:g} C of molten copper"
        )
    return found


def heat_nodes_J_per_Km(wire: Cable) -> tuple[float, float]:
    """Heat capacity of a metre, at the conductor and at the surface [J/K m].

    The insulation is parted by the van Wormer share 1/(2 ln(D/d)) - 1/((D/d)^2 - 1), as in IEC 60853.
    """
    copper = constant("heat_capacity") * wire.area_mm2 * 1e-6
    outside, inner = outside_mm(wire), wire.conductor_mm
    if outside <= inner * (1 + 1e-9):
        return copper, 0.0
    insulation = constant("insulation_heat_capacity") * math.pi / 4 * (outside**2 - inner**2) * 1e-6
    ratio = outside / inner
    share = 1 / (2 * math.log(ratio)) - 1 / (ratio**2 - 1)
    return copper + share * insulation, (1 - share) * insulation


@lru_cache(maxsize=2048)
def temperature_after_C(
    wire: Cable, amps: float, seconds: float, start_C: float, ambient_C: float
) -> float:
    """Conductor temperature after a constant current has flowed for some time [C], at most that of molten copper.

    Two-node heat balance (conductor and surface), explicit steps of third order with the error held; the start is
    in balance at `start_C`.  Valid from about a second on: before that the insulation has not yet taken up its share, and
    `adiabatic_temperature_C` is the bound.
    """
    settled = _settled_C(wire, amps, seconds, ambient_C)
    if settled is not None:
        return settled
    state = start_nodes_C(wire, start_C, ambient_C)
    core_J, skin_J = heat_nodes_J_per_Km(wire)
    outside = outside_mm(wire)
    resistance = insulation_Km_per_W(wire.conductor_mm, outside)
    power = amps * amps * wire.ohm_per_m_20C / 254.5

    def rates(core: float, skin: float) -> tuple[float, float]:
        if skin_J == 0.0:
            return (power * (234.5 + core) - shed_W_per_m(core, ambient_C, outside)) / core_J, 0.0
        through = (core - skin) / resistance
        return (
            (power * (234.5 + core) - through) / core_J,
            (through - shed_W_per_m(skin, ambient_C, outside)) / skin_J,
        )

    return _integrate(rates, state, seconds)


def _settled_C(wire: Cable, amps: float, seconds: float, ambient_C: float) -> float | None:
    """The steady temperature if more than twelve time constants pass, else None.

    The slowest constant is that of the settled wire: heat capacity over what more heat leaves than comes in per kelvin.
    """
    try:
        final = steady_temperature_C(wire, amps, ambient_C)
    except OutOfRange:
        return None
    slope = (
        heat_at_W_per_m(final + 1, ambient_C, wire.conductor_mm, outside_mm(wire))
        - amps * amps * wire.ohm_per_m_20C * (final + 235.5) / 254.5
    )
    return final if seconds * slope > 12 * sum(heat_nodes_J_per_Km(wire)) else None


def start_nodes_C(wire: Cable, start_C: float, ambient_C: float) -> tuple[float, float]:
    heat = heat_at_W_per_m(start_C, ambient_C, wire.conductor_mm, outside_mm(wire))
    return start_C, start_C - heat * insulation_Km_per_W(wire.conductor_mm, outside_mm(wire))


def _integrate(
    rates: Callable[[float, float], tuple[float, float]], state: tuple[float, float], seconds: float
) -> float:
    """Bogacki and Shampine's pair, 0.02 K a step, ended early once nothing moves any more."""
    core, skin = state
    done, step = 0.0, min(seconds, 1e-2)
    a1, b1 = rates(core, skin)
    while done < seconds:
        step = min(step, seconds - done)
        a2, b2 = rates(core + step / 2 * a1, skin + step / 2 * b1)
        a3, b3 = rates(core + step * 0.75 * a2, skin + step * 0.75 * b2)
        new_core = core + step * (2 * a1 + 3 * a2 + 4 * a3) / 9
        new_skin = skin + step * (2 * b1 + 3 * b2 + 4 * b3) / 9
        a4, b4 = rates(new_core, new_skin)
        error = step * max(
            abs(-5 / 72 * a1 + a2 / 12 + a3 / 9 - a4 / 8),
            abs(-5 / 72 * b1 + b2 / 12 + b3 / 9 - b4 / 8),
        )
        if error <= 0.02:
            done += step
            core, skin, a1, b1 = new_core, new_skin, a4, b4
            if core >= MELTING_C:
                return MELTING_C
            if max(abs(a1), abs(b1)) * (seconds - done) < 0.01:
                break
        step *= min(4.0, max(0.2, 0.9 * (0.02 / error) ** (1 / 3))) if error > 0 else 4.0
    return core


def adiabatic_k(start_C: float, final_C: float) -> float:
    """The k of I^2 t = k^2 A^2 for copper [A s^0.5/mm2]: 226 sqrt(ln((234.5 + Tf)/(234.5 + Ti))).

    IEC 60364-4-43 rounds the PVC case, 70 to 160 C, to 115:
    >>> round(adiabatic_k(70, 160))
    115
    """
    if not -60 <= start_C < final_C <= MELTING_C:
        raise OutOfRange(
            f"temperatures must rise, from -60 to at most {MELTING_C:g} C (IEC 60364-5-54); "
            f"got {start_C:g} to {final_C:g}"
        )
    return constant("short_circuit_constant") * math.sqrt(
        math.log((234.5 + final_C) / (234.5 + start_C))
    )


def adiabatic_temperature_C(i2t_A2s: float, area_mm2: float, start_C: float) -> float:
    """Conductor temperature after a pulse too short to shed heat [C], at most that of molten copper."""
    power = i2t_A2s / (constant("short_circuit_constant") * area_mm2) ** 2
    if power > 5:
        return MELTING_C
    return min(MELTING_C, (234.5 + start_C) * math.exp(power) - 234.5)


def running_temperature_C(wire: Cable, amps: float, ambient_C: float) -> float:
    """Conductor temperature in service [C]: the heat balance, or ambient where no outside diameter is known."""
    return steady_temperature_C(wire, amps, ambient_C) if wire.outside_mm is not None else ambient_C
