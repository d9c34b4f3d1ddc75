"""Volts lost on the way out and back."""

from __future__ import annotations

from wiremap.sizing.ampacity import running_temperature_C
from wiremap.sizing.conductor import FILE as CONDUCTORS
from wiremap.sizing.conductor import Cable, cable, metric_sizes
from wiremap.sizing.sized import OutOfRange, Sized, Value, in_range, rule_row, source_title, weakest
from wiremap.trade.tables import table

FILE = "drop.toml"
FORMULA = "U = I (2 L R' + R_parts), R' at the conductor's temperature"
CLASS_A_VOLTS = 60.0
CLASS_A = "voltage class A, ISO 6469-3: above it this program sizes nothing"


def drop_volts(amps: float, length_m: float, ohm_per_m: float, parts_ohms: float = 0.0) -> float:
    """Volts lost by a current over a length one way, out and back [V]: U = I (2 L R' + R_parts).

    Valid for DC, R' at the conductor's temperature.  FAA AC 43.13-1B Table 11-7, 6 AWG row: 20 A, 107 ft in all,
    0.00044 ohm/ft, printed check value 0.942 V:
    >>> round(drop_volts(20, 107 / 2, 0.00044), 3)
    0.942
    """
    return amps * (2 * length_m * ohm_per_m + parts_ohms)


def least_area_mm2(amps: float, total_m: float, volts: float, temperature_C: float = 20.0) -> float:
    """Area that keeps the drop, by nominal copper alone [mm2]: A = I L rho(T) / U; `total_m` is out and back.

    This is the circular-mil formula CM = K I L / E in SI; the cable's own greatest resistance may ask for more.
    """
    rho = float(rule_row(CONDUCTORS, "copper", "resistivity_20C")["value"])
    return amps * total_m * rho * (234.5 + temperature_C) / 254.5 / volts


def allowed_percent(name: str) -> float:
    """The allowed share of the nominal voltage: `critical` 3 %, `other` 10 %."""
    return float(rule_row(FILE, "allowed_percent", name)["percent"])


def check_supply(volts: float, name: str = "volts") -> None:
    """Raises OutOfRange for no voltage or one above class A."""
    if not 0 < volts <= CLASS_A_VOLTS:
        raise OutOfRange(
            f"{name} must be above 0 and at most {CLASS_A_VOLTS:g} V DC ({CLASS_A}); got {volts:g}"
        )


def check_length(length_mm: float) -> None:
    """Raises OutOfRange for a length outside 1 mm to 200 m."""
    if not 1 <= length_mm <= 200_000:
        raise OutOfRange(
            "length must be from 0.001 to 200 m (the harness lengths this program sizes); "
            f"got {length_mm / 1000:g} m"
        )


def size_drop(
    size: str,
    length_mm: float,
    amps: float,
    volts: float,
    *,
    ambient_C: float | None = None,
    temperature_C: float | None = None,
    wall: str = "thin",
    family: str = "",
    parts_ohms: float = 0.0,
    intermittent: bool = False,
) -> Sized:
    """Drop of a circuit out and back, in volts and per cent, and the sizes that would keep the usual limits.

    The conductor stands at `temperature_C`, or at the temperature the current brings in `ambient_C`, or at 20 C.
    """
    check_supply(volts)
    check_length(length_mm)
    in_range("amps", amps, 1e-3, 1000, "A", "currents of the heat balance")
    in_range(
        "the parts' resistance", parts_ohms, 0, 100, "ohm", "contacts, joints and fuse together"
    )
    wire = cable(size, wall, family)
    at, told = _temperature(wire, amps, ambient_C, temperature_C)
    ohms = wire.ohm_per_m(at)
    lost = drop_volts(amps, length_mm / 1000, ohms, parts_ohms)
    if lost >= volts:
        return Sized(
            (),
            _inputs(wire, length_mm, amps, volts, at),
            why=(
                f"{amps:g} A cannot flow here: {wire.name} over {length_mm / 1000:g} m out and back would lose "
                f"{lost:.3g} V of {volts:g} V"
            ),
        )
    source = f"{wire.source}; {source_title(CONDUCTORS, 'faa-11-66')}"
    status = weakest("computed", wire.status)
    results = [
        Value("drop", lost, "V", FORMULA, source, status),
        Value("drop_percent", lost / volts * 100, "%", "U / nominal volts x 100", source, status),
        Value(
            "conductor_temperature",
            at,
            "C",
            told,
            "heat balance" if ambient_C is not None else "as stated",
            "computed",
        ),
        Value(
            "resistance",
            2 * length_mm / 1000 * ohms + parts_ohms,
            "ohm",
            "2 L R' + R_parts",
            source,
            status,
        ),
    ]
    results += _hot(wire, length_mm, amps, volts, parts_ohms, temperature_C, ambient_C)
    results += _limits(lost, volts, intermittent)
    results += _sizes(wire, length_mm, amps, volts, at, parts_ohms)
    return Sized(
        tuple(results),
        _inputs(wire, length_mm, amps, volts, at),
        (
            "the return is a conductor of the same size and length",
            f"conductor at {at:.3g} C ({told})",
            "greatest resistance of the cable's standard, not its nominal area",
        ),
        cautions=_verdict(lost / volts * 100),
    )


def _temperature(
    wire: Cable, amps: float, ambient_C: float | None, temperature_C: float | None
) -> tuple[float, str]:
    if temperature_C is not None:
        return in_range(
            "temperature", temperature_C, -60, 400, "C", "linear law of copper"
        ), "as stated"
    if ambient_C is None:
        return (
            20.0,
            "20 C, at which the tables state resistance; give an ambient for the running temperature",
        )
    in_range("ambient", ambient_C, -60, 150, "C", "range of the heat balance")
    return running_temperature_C(
        wire, amps, ambient_C
    ), f"running temperature in {ambient_C:g} C ambient"


def _hot(
    wire: Cable,
    length_mm: float,
    amps: float,
    volts: float,
    parts_ohms: float,
    temperature_C: float | None,
    ambient_C: float | None,
) -> list[Value]:
    """Beside the figure at 20 C, what the same wire loses when it is warm from its own current at 20 C ambient."""
    if temperature_C is not None or ambient_C is not None or wire.outside_mm is None:
        return []
    try:
        at = running_temperature_C(wire, amps, 20.0)
    except OutOfRange:
        return []
    lost = drop_volts(amps, length_mm / 1000, wire.ohm_per_m(at), parts_ohms)
    return [
        Value(
            "drop_running",
            lost,
            "V",
            f"the same at {at:.3g} C, which the current brings in 20 C ambient",
            f"heat balance; {wire.source}",
            weakest("computed", wire.status),
        )
    ]


def _limits(lost: float, volts: float, intermittent: bool) -> list[Value]:
    found = []
    for row in table(FILE).sections["allowed_percent"]:
        found.append(
            Value(
                f"allowed_{row['name']}",
                volts * row["percent"] / 100,
                "V",
                f"{row['percent']:g} % of nominal",
                source_title(FILE, row["source"]),
                row["standing"],
            )
        )
    for row in table(FILE).sections["allowed_volts"]:
        if row["system_volts"] == volts:
            key = "intermittent_volts" if intermittent else "continuous_volts"
            found.append(
                Value(
                    "allowed_aircraft",
                    float(row[key]),
                    "V",
                    f"table row of {volts:g} V, {key[:-6]}",
                    source_title(FILE, row["source"]),
                    "from memory, unverified" if intermittent else row["standing"],
                )
            )
    return found


def _sizes(
    wire: Cable, length_mm: float, amps: float, volts: float, at: float, parts_ohms: float
) -> list[Value]:
    found = []
    for name in ("critical", "other"):
        limit = volts * allowed_percent(name) / 100
        size = smallest_size(length_mm, amps, limit, at, parts_ohms)
        if size is not None:
            found.append(
                Value(
                    f"size_{name}",
                    size,
                    "mm2",
                    f"smallest ISO size whose greatest resistance keeps {limit:.3g} V at {at:.3g} C",
                    source_title(CONDUCTORS, "iso6722"),
                    "from memory, unverified",
                )
            )
    return found


def smallest_size(
    length_mm: float, amps: float, volts: float, temperature_C: float, parts_ohms: float = 0.0
) -> float | None:
    """Smallest ISO size that loses at most `volts` by its greatest resistance [mm2]; None if the largest loses more."""
    for area in metric_sizes():
        ohms = cable(f"{area:g}").ohm_per_m(temperature_C)
        if drop_volts(amps, length_mm / 1000, ohms, parts_ohms) <= volts * (1 + 1e-12):
            return area
    return None


def _verdict(percent: float) -> tuple[str, ...]:
    critical, other = allowed_percent("critical"), allowed_percent("other")
    if percent > other:
        return (f"{percent:.3g} % is over {other:g} %, the most for any circuit",)
    if percent > critical:
        return (
            f"{percent:.3g} % is over {critical:g} % (critical circuits) and under {other:g} % (others)",
        )
    return ()


def _inputs(
    wire: Cable, length_mm: float, amps: float, volts: float, at: float
) -> tuple[tuple[str, object], ...]:
    return (
        ("csa", wire.name),
        ("wall", wire.wall),
        ("length_one_way_m", length_mm / 1000),
        ("amps", amps),
        ("volts", volts),
        ("conductor_temperature_C", at),
    )
