"""The heat balance of one insulated conductor in still air, at rest, and of a short pulse."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

from wiremap.sizing.air import INSULATION_W_PER_MK, shed_W_per_m
from wiremap.sizing.conductor import ZERO_C, Cable, constant, limit, linear_ratio, outside_mm
from wiremap.sizing.sized import OutOfRange, in_range

AMBIENT_C, CLASS_A_C = 23.0, 85.0  # taken where nobody states them: a room, ISO 6722 class A
MELTING_C = constant("melting_C")
RANGE = "range of the heat balance"
CLASSES = "temperature classes of ISO 6722 and ISO 19642, A 85 C to H 250 C"
_ROUNDS = 200  # of the root search: far more than it ever takes
_CERTAINLY_MOLTEN = 5.0  # in powers of e: beyond any solid copper


def insulation_Km_per_W(conductor_mm: float, outside_mm_: float) -> float:
    """Thermal resistance of a metre of insulation [K m/W]: ln(D/d) / (2 pi k).

    Raises OutOfRange for an outside diameter below the conductor's.  k is 0.17 W/mK, usual PVC.
    """
    if outside_mm_ < conductor_mm:
        least = f"not be below the conductor's {conductor_mm:.3g} mm"
        raise OutOfRange(f"the outside diameter must {least}; got {outside_mm_:g} mm")
    return math.log(outside_mm_ / conductor_mm) / (2 * math.pi * INSULATION_W_PER_MK)


def root(f: Callable[[float], float], low: float, high: float, tolerance: float = 1e-9) -> float:
    """Where a function that changes sign from `low` to `high` is nil, to `tolerance`.

    False position: a straight line between the ends is followed; the value at an end that stays
    twice running is halved, so that it moves too (Illinois).
    """
    f_low = f(low)
    f_high = f(high)
    if f_low == 0.0:
        return low
    was_high: bool | None = None  # whether the high end moved last
    for _ in range(_ROUNDS):
        if f_high == f_low or high - low < tolerance:
            break
        x = (low * f_high - high * f_low) / (f_high - f_low)
        if not low < x < high:
            x = (low + high) / 2
        f_x = f(x)
        on_high = (f_x > 0) == (f_high > 0)
        moved = abs(high - x) if on_high else abs(x - low)  # by how much its end will
        if f_x == 0.0 or moved < tolerance:
            return x
        if on_high:
            high, f_high = x, f_x
            if was_high is True:
                f_low /= 2
        else:
            low, f_low = x, f_x
            if was_high is False:
                f_high /= 2
        was_high = on_high
    return (low + high) / 2


@lru_cache(maxsize=4096)
def heat_at_W_per_m(
    conductor_C: float, ambient_C: float, conductor_mm: float, outside_mm_: float
) -> float:
    """Heat that leaves a metre of a wire whose conductor is held at a temperature [W/m].

    Raises OutOfRange for an outside diameter below the conductor's.
    """
    resistance = insulation_Km_per_W(conductor_mm, outside_mm_)
    if conductor_C <= ambient_C:
        return 0.0
    if resistance == 0.0:
        return shed_W_per_m(conductor_C, ambient_C, outside_mm_)

    def gap(surface: float) -> float:
        shed = shed_W_per_m(surface, ambient_C, outside_mm_)
        return resistance * shed - (conductor_C - surface)

    surface = root(gap, ambient_C, conductor_C)
    return (conductor_C - surface) / resistance


@lru_cache(maxsize=4096)
def ampacity_amps(wire: Cable, limit_C: float, ambient_C: float) -> float:
    """Steady current that brings a single wire in free air to its limit [A].

    0 where the air is as hot as the limit.  Raises OutOfRange without an outside diameter.
    """
    heat = heat_at_W_per_m(limit_C, ambient_C, wire.conductor_mm, outside_mm(wire))
    return math.sqrt(heat / wire.ohm_per_m(limit_C))


@lru_cache(maxsize=4096)
def steady_temperature_C(wire: Cable, amps: float, ambient_C: float) -> float:
    """Conductor temperature that a steady current settles at [C].

    Raises OutOfRange if copper melts first, or without an outside diameter.
    """
    if amps == 0:
        return ambient_C
    outside = outside_mm(wire)
    resistance = insulation_Km_per_W(wire.conductor_mm, outside)
    cold_power = amps * amps * wire.ohm_per_m_20C

    def core(surface: float) -> float:
        return surface + resistance * shed_W_per_m(surface, ambient_C, outside)

    def gap(surface: float) -> float:
        heat = shed_W_per_m(surface, ambient_C, outside)
        return heat - cold_power * linear_ratio(core(surface))

    found = math.inf
    if gap(MELTING_C) >= 0:
        found = core(root(gap, ambient_C, MELTING_C))
    if found > MELTING_C:
        melts = f"{amps:g} A would melt a {wire.name} conductor before it settles"
        below = f"below the {MELTING_C:g} C of molten copper"
        raise OutOfRange(f"{melts}: a temperature is only given {below}")
    return found


def adiabatic_k(start_C: float, final_C: float) -> float:
    """The k of I^2 t = k^2 A^2 for copper [A s^0.5/mm2]: 226 sqrt(ln((234.5 + Tf)/(234.5 + Ti))).

    Valid for rising temperatures from -60 C to molten copper; raises OutOfRange otherwise.
    Source: IEC 60364-5-54; IEC 60364-4-43 rounds the PVC case, 70 to 160 C, to 115:
    >>> round(adiabatic_k(70, 160))
    115
    """
    if not limit("least_copper_C") <= start_C < final_C <= MELTING_C:
        span = f"from -60 to at most {MELTING_C:g} C (IEC 60364-5-54)"
        raise OutOfRange(f"temperatures must rise, {span}; got {start_C:g} to {final_C:g}")
    ratio = linear_ratio(final_C) / linear_ratio(start_C)
    return constant("short_circuit_constant") * math.sqrt(math.log(ratio))


def adiabatic_temperature_C(i2t_A2s: float, area_mm2: float, start_C: float) -> float:
    """Conductor temperature after a pulse too short to shed heat [C], at most molten copper's.

    Source: IEC 60364-5-54, solved for the final temperature.
    """
    power = i2t_A2s / (constant("short_circuit_constant") * area_mm2) ** 2
    if power > _CERTAINLY_MOLTEN:
        return MELTING_C
    return min(MELTING_C, (ZERO_C + start_C) * math.exp(power) - ZERO_C)


def running_temperature_C(wire: Cable, amps: float, ambient_C: float) -> float:
    """Conductor temperature in service [C]: the heat balance, or ambient without a diameter.

    Raises OutOfRange if copper melts first.
    """
    if wire.outside_mm is None:
        return ambient_C
    return steady_temperature_C(wire, amps, ambient_C)


def check_ambient(ambient_C: float) -> None:
    """Raises OutOfRange for surroundings outside -60 to 150 C."""
    in_range(
        "ambient",
        ambient_C,
        limit("least_ambient_C"),
        limit("most_ambient_C"),
        unit="C",
        source=RANGE,
    )


def check_limit(limit_C: float) -> None:
    """Raises OutOfRange for an insulation limit outside -20 to 250 C, which class H ends at."""
    least, most = limit("least_limit_C"), limit("most_limit_C")
    in_range("limit", limit_C, least, most, unit="C", source=CLASSES)


def hot_copper(limit_C: float) -> tuple[str, ...]:
    """That plain copper is not made to run as hot as an insulation of this limit [C]."""
    most = limit("plain_copper_C")
    if limit_C <= most:
        return ()
    return (f"plain copper oxidises above about {most:g} C: the strands must be plated for it",)


def check_temperatures(limit_C: float, ambient_C: float) -> None:
    """Raises OutOfRange where no current is left to carry or a temperature is absurd [C]."""
    check_ambient(ambient_C)
    check_limit(limit_C)
    if ambient_C >= limit_C:
        below = f"below the insulation's limit of {limit_C:g} C, or no current is left to carry"
        raise OutOfRange(f"ambient must be {below}; got {ambient_C:g} C")
