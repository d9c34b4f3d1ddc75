"""What still air takes from a warm wire: natural convection and radiation."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from wiremap.trade.tables import figure, table

FILE = "heat.toml"


def constant(name: str) -> float:
    """A physical constant of the heat balance, in its row's unit; raises KeyError."""
    return figure(FILE, "constants", name)


def _air(name: str) -> float:
    return figure(FILE, "air", name)


def _convection(name: str) -> float:
    return figure(FILE, "convection", name)


KELVIN = constant("kelvin")
EMISSIVITY = constant("emissivity")
INSULATION_W_PER_MK = constant("insulation_conductivity")
AIR_CP = _air("heat_capacity")
_RADIATED = EMISSIVITY * constant("stefan_boltzmann")
_GRAVITY = constant("gravity")
_DENSITY = constant("pressure") / _air("gas_constant")  # times the film's kelvin
# Sutherland's law in numbers: mu = _VISCOSITY (T/273)^1.5 / (T + _VISCOSITY_K), conductivity alike
_VISCOSITY = _air("viscosity") * _air("viscosity_sum")
_VISCOSITY_K = _air("viscosity_add")
_CONDUCTIVITY = _air("conductivity") * _air("conductivity_sum")
_CONDUCTIVITY_K = _air("conductivity_add")
_STILL = _convection("still")  # 0.60 of Churchill and Chu's correlation,
_RISING = _convection("rising")  # 0.387
_INNER, _OUTER, _SIXTH = 9 / 16, 8 / 27, 1 / 6  # its exponents
_SUTHERLAND = 1.5  # exponent of his law
_PRANDTL = _convection("prandtl")  # and 0.559 of it


class Air(NamedTuple):
    """Convection at a surface: Nusselt number [1] and the film's conductivity [W/mK]."""

    nusselt: float
    conductivity: float


def air_nusselt(surface_K: float, ambient_K: float, diameter_m: float) -> Air:
    """Nusselt number of a horizontal cylinder [1] and the air's conductivity [W/mK].

    Source: Churchill and Chu, Nu = (0.60 + 0.387 Ra^(1/6) / [1 + (0.559/Pr)^(9/16)]^(8/27))^2;
    air at film temperature by Sutherland's law.
    """
    film = (surface_K + ambient_K) / 2
    ratio = (film / KELVIN) ** _SUTHERLAND
    viscosity = _VISCOSITY * ratio / (film + _VISCOSITY_K)
    conductivity = _CONDUCTIVITY * ratio / (film + _CONDUCTIVITY_K)
    prandtl = AIR_CP * viscosity / conductivity
    buoyancy = _GRAVITY / film * abs(surface_K - ambient_K) * diameter_m**3
    grashof = buoyancy * (_DENSITY / film / viscosity) ** 2
    shape = (1 + (_PRANDTL / prandtl) ** _INNER) ** _OUTER
    root = _STILL + _RISING * (grashof * prandtl) ** _SIXTH / shape
    return Air(root * root, conductivity)


@cache
def shed_share(outside_mm: float) -> float:
    """Share of the correlation's heat that a wire of this outside diameter is counted to shed [1].

    1 up to 5 mm; less for thicker wires, so that what 10 to 25 mm2 carry stays under the column of
    DIN VDE 0298-4.
    """
    points = table(FILE).sections["shed_share"]
    for thin, thick in pairwise(points):
        if outside_mm <= thick["outside_mm"]:
            part = (outside_mm - thin["outside_mm"]) / (thick["outside_mm"] - thin["outside_mm"])
            share = thin["share"] + max(0.0, part) * (thick["share"] - thin["share"])
            return float(share)
    return float(points[-1]["share"])


def shed_W_per_m(surface_C: float, ambient_C: float, diameter_mm: float) -> float:
    """Heat that a metre of wire sheds to still air by convection and radiation [W/m].

    Of thick wires only the share that a published column of currents allows (`shed_share`).
    """
    if surface_C <= ambient_C:
        return 0.0
    surface = surface_C + KELVIN
    ambient = ambient_C + KELVIN
    diameter = diameter_mm / 1000
    air = air_nusselt(surface, ambient, diameter)
    convection = air.nusselt * air.conductivity / diameter * (surface - ambient)
    radiation = _RADIATED * (surface**4 - ambient**4)
    return shed_share(diameter_mm) * math.pi * diameter * (convection + radiation)
