"""What a wire carries: current at its limit, temperature at its current, alone or in a bundle."""

from __future__ import annotations

import math

from wiremap.sizing.conductor import FILE as CONDUCTORS
from wiremap.sizing.conductor import Cable, cable, outside_mm
from wiremap.sizing.heat import (
    AIR_CP,
    EMISSIVITY,
    INSULATION_W_PER_MK,
    adiabatic_k,
    adiabatic_temperature_C,
    air_nusselt,
    ampacity_amps,
    heat_at_W_per_m,
    heat_nodes_J_per_Km,
    insulation_Km_per_W,
    running_temperature_C,
    shed_W_per_m,
    start_nodes_C,
    steady_temperature_C,
    temperature_after_C,
)
from wiremap.sizing.sized import OutOfRange, Sized, Value, in_range, rule_row, source_title, weakest
from wiremap.trade.tables import table

__all__ = [
    "AIR_CP",
    "INSULATION_W_PER_MK",
    "adiabatic_k",
    "adiabatic_temperature_C",
    "air_nusselt",
    "ampacity_amps",
    "bundle_factor",
    "check_temperatures",
    "heat_at_W_per_m",
    "heat_nodes_J_per_Km",
    "insulation_Km_per_W",
    "insulation_limit",
    "running_temperature_C",
    "shed_W_per_m",
    "short_circuit_limit_C",
    "size_ampacity",
    "steady_temperature_C",
    "temperature_after_C",
]

FILE = "ampacity.toml"
MODEL = (
    "steady heat balance of one wire in still air: conduction through the insulation, Churchill-Chu convection "
    "of a horizontal cylinder, radiation"
)
FORMULA = "I^2 R(Tc) = (Tc - Ts)/R_ins = pi D [h (Ts - Ta) + eps sigma (Ts^4 - Ta^4)]"
RANGE = "range of the heat balance"


def bundle_factor(wires: int) -> tuple[float, str, str]:
    """Factor, condition and standing for a number of loaded wires lying together; 1 for a single wire.

    A number between two rows takes the row of the larger bundle, which is the lower factor.  Raises OutOfRange
    above the table.
    """
    rows = table(FILE).sections["bundle_factors"]
    if not isinstance(wires, int) or isinstance(wires, bool) or not 1 <= wires <= rows[-1]["wires"]:
        raise OutOfRange(
            f"the number of loaded wires must be a whole number from 1 to {rows[-1]['wires']} "
            f"({source_title(FILE, 'vde0298-26')}); got {wires}"
        )
    if wires == 1:
        return 1.0, "single wire in free air", "computed"
    row = next(r for r in rows if r["wires"] >= wires)
    told = "" if row["wires"] == wires else f", row of {row['wires']} taken for {wires}"
    note = next(s["note"] for s in table(FILE).sections["sources"] if s["id"] == "vde0298-26")
    return (
        float(row["factor"]),
        f"{source_title(FILE, 'vde0298-26')}: {note}{told}",
        row["standing"],
    )


def check_temperatures(limit_C: float, ambient_C: float) -> None:
    """Raises OutOfRange where no current is left to carry or a temperature is absurd."""
    in_range("ambient", ambient_C, -60, 150, "C", RANGE)
    in_range("limit", limit_C, -20, 400, "C", RANGE)
    if ambient_C >= limit_C:
        raise OutOfRange(
            f"ambient must be below the insulation's limit of {limit_C:g} C, or no current is left to "
            f"carry; got {ambient_C:g} C"
        )


def size_ampacity(
    size: str,
    wall: str = "thin",
    ambient_C: float = 23.0,
    limit_C: float = 85.0,
    bundle: int = 1,
    amps: float | None = None,
    family: str = "",
    seconds: float | None = None,
) -> Sized:
    """Current at the insulation's limit and, for a stated current, the temperature it brings (also after a time)."""
    check_temperatures(limit_C, ambient_C)
    wire = cable(size, wall, family)
    single = ampacity_amps(wire, limit_C, ambient_C)
    factor, condition, standing = bundle_factor(bundle)
    status = weakest("computed", wire.status, standing)
    source = f"{MODEL}; {wire.source}"
    first = Value(
        "ampacity",
        single * factor,
        "A",
        FORMULA if bundle == 1 else f"{factor:g} x single wire",
        source if bundle == 1 else f"{source}; {condition}",
        status,
    )
    results = [first]
    if bundle > 1:
        results += [
            Value(
                "ampacity_single", single, "A", FORMULA, source, weakest("computed", wire.status)
            ),
            Value("bundle_factor", factor, "1", "table row", condition, standing),
        ]
    results += _temperatures(wire, amps, seconds, ambient_C, source)
    results += _published(wire)
    results.append(
        Value(
            "surface_temperature",
            start_nodes_C(wire, limit_C, ambient_C)[1],
            "C",
            "Ts at the limit, single wire",
            source,
            weakest("computed", wire.status),
        )
    )
    return Sized(
        tuple(results),
        (
            ("csa", wire.name),
            ("wall", wire.wall),
            ("ambient_C", ambient_C),
            ("limit_C", limit_C),
            ("bundle", bundle),
            ("amps", amps),
            ("seconds", seconds),
        ),
        _assumptions(wire, bundle, condition),
    )


def _temperatures(
    wire: Cable, amps: float | None, seconds: float | None, ambient_C: float, source: str
) -> list[Value]:
    if amps is None:
        return []
    in_range("amps", amps, 0, 1000, "A", RANGE)
    status = weakest("computed", wire.status)
    found = []
    if seconds is not None:
        in_range(
            "seconds",
            seconds,
            1,
            360000,
            "s",
            "range of the two-node heat balance; shorter pulses by k2 A2",
        )
        found.append(
            Value(
                "temperature_after",
                temperature_after_C(wire, amps, seconds, ambient_C, ambient_C),
                "C",
                f"two-node heat balance over {seconds:g} s from ambient",
                source,
                status,
            )
        )
    try:
        settled = steady_temperature_C(wire, amps, ambient_C)
    except OutOfRange:
        if seconds is None:
            raise
        return found
    return [
        *found,
        Value(
            "temperature", settled, "C", FORMULA + ", solved for Tc, single wire", source, status
        ),
    ]


def _published(wire: Cable) -> list[Value]:
    """What standards print for this size under their own conditions, to hold the figure against."""
    found = []
    for row in table(FILE).sections["vde_free_air"]:
        if wire.family in ("iso", "iec") and math.isclose(row["csa_mm2"], wire.area_mm2):
            found.append(
                Value(
                    "vde_free_air",
                    float(row["least_amps"]),
                    "A",
                    "single core free in air, 70 C in 30 C",
                    source_title(FILE, row["source"]),
                    row["standing"],
                )
            )
    for row in table(CONDUCTORS).sections["faa_11_9"]:
        if wire.name == f"{row['gauge']} AWG":
            found.append(
                Value(
                    "faa_bundle",
                    float(row["amps_105C"]),
                    "A",
                    f"105 C in 70 C, bundle of {row['bundle_wires']}, 60,000 ft",
                    source_title(CONDUCTORS, row["source"]),
                    row["standing"],
                )
            )
    for row in table(CONDUCTORS).sections["jis_av"]:
        if wire.family == "jis" and math.isclose(row["csa_mm2"], wire.area_mm2):
            found.append(
                Value(
                    "jis_limit",
                    float(row["limit_amps"]),
                    "A",
                    "catalogue's current limit",
                    source_title(CONDUCTORS, row["source"]),
                    row["standing"],
                )
            )
    return found


def _assumptions(wire: Cable, bundle: int, condition: str) -> tuple[str, ...]:
    lines = [
        f"outside diameter {outside_mm(wire):.3g} mm, conductor {wire.conductor_mm:.3g} mm, "
        f"{wire.ohm_per_m_20C * 1000:.4g} mohm/m at 20 C ({wire.status})",
        f"insulation {INSULATION_W_PER_MK} W/mK, emissivity {EMISSIVITY}, still air, horizontal wire",
    ]
    if bundle == 1:
        lines.append(
            "one wire in free air: a wire in a bundle carries far less (say how many are loaded: bundle)"
        )
    else:
        lines.append(f"bundle factor belongs to this condition: {condition}")
        lines.append("the factor is put on the figure of a single wire in free air")
    return tuple(lines)


def insulation_limit(name: str) -> tuple[float, float]:
    """Running limit and short-circuit limit of an insulation [C, C]; raises KeyError."""
    row = rule_row(CONDUCTORS, "insulation", name)
    return float(row["limit_C"]), float(row["short_circuit_C"])


def short_circuit_limit_C(limit_C: float) -> float:
    """Short-circuit temperature that goes with a running limit: that of PVC up to 105 C, of XLPE above [C]."""
    return (
        insulation_limit("pvc")[1]
        if limit_C <= insulation_limit("pvc-105")[0]
        else insulation_limit("xlpe")[1]
    )
