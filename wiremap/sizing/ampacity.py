"""What a wire carries: current at its limit, temperature at its current, alone or in a bundle."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wiremap.sizing.air import EMISSIVITY, INSULATION_W_PER_MK, shed_share
from wiremap.sizing.bundled import Lying, bundle_factor, lying_told
from wiremap.sizing.conductor import FILE as CONDUCTORS
from wiremap.sizing.conductor import Cable, cable, outside_mm
from wiremap.sizing.heat import (
    AMBIENT_C,
    CLASS_A_C,
    RANGE,
    ampacity_amps,
    check_temperatures,
    hot_copper,
    steady_temperature_C,
)
from wiremap.sizing.sized import (
    ROUND,
    Origin,
    OutOfRange,
    Sized,
    Value,
    in_range,
    row_origin,
    weakest,
)
from wiremap.sizing.transient import start_nodes_C, temperature_after_C
from wiremap.trade.tables import figure, table

FILE = "ampacity.toml"
MODEL = (
    "steady heat balance of one wire in still air: conduction through the insulation, "
    "Churchill-Chu convection of a horizontal cylinder, radiation"
)
FORMULA = "I^2 R(Tc) = (Tc - Ts)/R_ins = {share}pi D [h (Ts - Ta) + eps sigma (Ts^4 - Ta^4)]"


def heat_formula(wire: Cable) -> str:
    """The balance that a wire's figures come from, with the share that a thick one is counted to
    shed.  Raises OutOfRange without an outside diameter.
    """
    share = shed_share(outside_mm(wire))
    return FORMULA.format(share="" if share == 1 else f"{share:.3g} ")


def size_ampacity(
    size: str,
    wall: str = "thin",
    ambient_C: float = AMBIENT_C,
    limit_C: float = CLASS_A_C,
    bundle: int = 1,
    *,
    amps: float | None = None,
    family: str = "",
    seconds: float | None = None,
) -> Sized:
    """Current at the insulation's limit [A] and, for a stated current, the temperature [C].

    With `seconds`, also the temperature after that time.  Valid from -60 to 150 C ambient and
    limits to 250 C; raises OutOfRange outside.  Source: the heat balance; MIL-W-5088L
    and DIN VDE 0298-4 for bundles.
    """
    check_temperatures(limit_C, ambient_C)
    wire = cable(size, wall, family)
    inputs = (
        ("csa", wire.name),
        ("wall", wire.wall),
        ("ambient_C", ambient_C),
        ("limit_C", limit_C),
        ("bundle", bundle),
        ("amps", amps),
        ("seconds", seconds),
    )
    origin = Origin(f"{MODEL}; {wire.source}", wire.status).computed()
    results = list(_carried(wire, limit_C, ambient_C, bundle, origin))
    cautions: list[str] = []
    if amps is not None:
        in_range("amps", amps, 0, figure(FILE, "limits", "most_amps"), unit="A", source=RANGE)
        lies = Lying(wire, ambient_C, bundle_factor(bundle))
        results += _temperatures(lies, amps, seconds, origin)
        cautions += heat_caution(wire, amps, ambient_C, limit_C, bundle)
    results += _published(
        wire, cool=bundle == 1 and ambient_C <= figure(FILE, "limits", "free_air_ambient_C")
    )
    surface = start_nodes_C(wire, limit_C, ambient_C).skin
    formula = "Ts at the limit, single wire"
    results.append(origin.value("surface_temperature", surface, "C", formula))
    return Sized(
        results=tuple(results),
        inputs=inputs,
        assumptions=_assumptions(wire, bundle, ambient_C, limit_C),
        cautions=(*hot_copper(limit_C), *cautions),
    )


def _carried(
    wire: Cable, limit_C: float, ambient_C: float, bundle: int, origin: Origin
) -> Iterator[Value]:
    """What the wire carries at its limit; in a bundle, also what it would alone."""
    single = ampacity_amps(wire, limit_C, ambient_C)
    if bundle == 1:
        yield origin.value("ampacity", single, "A", heat_formula(wire))
        return
    share = bundle_factor(bundle)
    status = weakest(origin.status, share.standing)
    together = Origin(f"{origin.source}; {share.condition}", status)
    formula = f"{share.factor:g} x single wire"
    yield together.value("ampacity", single * share.factor, "A", formula)
    yield origin.value("ampacity_single", single, "A", heat_formula(wire))
    row = Origin(share.condition, share.standing)
    yield row.value("bundle_factor", share.factor, "1", "table row")


def _temperatures(
    lies: Lying, amps: float, seconds: float | None, origin: Origin
) -> Iterator[Value]:
    """How warm a current makes a wire, after some time if one is given, and once it has settled.

    Raises OutOfRange where it would melt before it settles and no time is given.
    """
    wire, ambient_C, _ = lies
    alone = lies.alone(amps)
    if seconds is not None:
        scope = "range of the two-node heat balance; shorter pulses by k2 A2"
        in_range(
            "seconds", seconds, 1, figure(FILE, "limits", "most_seconds"), unit="s", source=scope
        )
        after = temperature_after_C(wire, alone, seconds, ambient_C, ambient_C)
        formula = f"two-node heat balance over {seconds:g} s from ambient{lies.told(amps)}"
        yield origin.value("temperature_after", after, "C", formula)
    try:
        settled = steady_temperature_C(wire, alone, ambient_C)
    except OutOfRange:
        if seconds is None:
            raise
        return
    formula = f"{heat_formula(wire)}, solved for Tc{lies.told(amps)}"
    yield origin.value("temperature", settled, "C", formula)


def heat_caution(
    wire: Cable, amps: float, ambient_C: float, limit_C: float, bundle: int = 1
) -> Iterator[str]:
    """That a current settles beyond what the insulation stands, or that nobody can tell.

    Raises OutOfRange for a bundle beyond the table.
    """
    if wire.outside_mm is None:
        yield f"how warm {wire.name} runs is not judged: no table has its outside diameter"
        return
    most = ampacity_amps(wire, limit_C, ambient_C) * bundle_factor(bundle).factor
    if amps <= most * (1 + ROUND):
        return
    try:
        at = steady_temperature_C(wire, amps / bundle_factor(bundle).factor, ambient_C)
        settles = f"{amps:g} A in {ambient_C:g} C brings a {wire.name} wire to {at:.3g} C"
    except OutOfRange:
        settles = f"{amps:g} A in {ambient_C:g} C would melt a {wire.name} wire"
    lies = "singly" if bundle == 1 else f"among {bundle} loaded wires"
    yield f"{settles}, beyond its insulation's {limit_C:g} C: {lies} it carries {most:.3g} A"


def _published(wire: Cable, *, cool: bool) -> Iterator[Value]:
    """What standards print for this size under their own conditions, to hold the figure against.

    `cool` where the wire lies alone and in air no warmer than the free-air column's.
    """
    for row in table(FILE).sections["vde_free_air"]:
        if cool and wire.family in ("iso", "iec") and math.isclose(row["csa_mm2"], wire.area_mm2):
            formula = "single core free in air, 70 C in 30 C"
            amps = float(row["least_amps"])
            yield row_origin(FILE, row).value("vde_free_air", amps, "A", formula)
    for row in table(CONDUCTORS).sections["faa_11_9"]:
        if wire.name == f"{row['gauge']} AWG":
            formula = f"105 C in 70 C, bundle of {row['bundle_wires']}, 60,000 ft"
            amps = float(row["amps_105C"])
            yield row_origin(CONDUCTORS, row).value("faa_bundle", amps, "A", formula)
    for row in table(CONDUCTORS).sections["jis_av"]:
        if wire.family == "jis" and math.isclose(row["csa_mm2"], wire.area_mm2):
            amps = float(row["limit_amps"])
            formula = "catalogue's current limit"
            yield row_origin(CONDUCTORS, row).value("jis_limit", amps, "A", formula)


def _assumptions(wire: Cable, bundle: int, ambient_C: float, limit_C: float) -> tuple[str, ...]:
    size = f"outside diameter {outside_mm(wire):.3g} mm, conductor {wire.conductor_mm:.3g} mm"
    copper = f"{wire.ohm_per_m_20C * 1000:.4g} mohm/m at 20 C ({wire.status})"
    heat = f"insulation {INSULATION_W_PER_MK} W/mK, emissivity {EMISSIVITY}"
    lines = [f"{ambient_C:g} C around it, insulation to {limit_C:g} C; {lying_told(bundle)}"]
    lines += [f"{size}, {copper}", f"{heat}, still air, horizontal wire"]
    share = shed_share(outside_mm(wire))
    if share < 1:
        held = "so that DIN VDE 0298-4's column for thick wires holds"
        lines.append(f"of the heat that the correlation sheds {share:.3g} is counted, {held}")
    if bundle > 1:
        condition = bundle_factor(bundle).condition
        lines.append(f"bundle factor belongs to this condition: {condition}")
        lines.append("the factor is put on the figure of a single wire in free air")
    return tuple(lines)


def short_circuit_limit_C(limit_C: float) -> float:
    """Short-circuit temperature of the insulation class that a running limit reaches [C].

    PVC's up to 105 C, that of cross-linked insulation above, class H's at most.  Source:
    IEC 60364-4-43, from memory.
    """
    classes = table(CONDUCTORS).sections["insulation"]
    for row in classes:
        if limit_C <= row["limit_C"]:
            return float(row["short_circuit_C"])
    return limit_C + overload_C(0.0)


def class_of(limit_C: float) -> str:
    """The letter of the temperature class with this limit; empty where none has it."""
    for row in table(CONDUCTORS).sections["insulation"]:
        if row["limit_C"] == limit_C and row["name"].isalpha():
            return str(row["name"])
    return ""


def overload_C(seconds: float) -> float:
    """How far above its class an insulation may be for this long [C]: 50 up to 6 h, 25 up to 240 h.

    0 for longer: the class temperature itself is for its whole life.  Source: ISO 19642-2.
    """
    for row in table(CONDUCTORS).sections["overload"]:
        if seconds <= row["seconds"]:
            return float(row["above_C"])
    return 0.0
