"""Volts lost on the way out and back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from wiremap.sizing.ampacity import FILE as AMPACITY
from wiremap.sizing.ampacity import heat_caution
from wiremap.sizing.conductor import FILE as CONDUCTORS
from wiremap.sizing.conductor import (
    REFERENCE_C,
    Cable,
    cable,
    check_copper,
    iso_memory,
    metric_sizes,
    resistance_basis,
)
from wiremap.sizing.heat import CLASS_A_C, check_ambient, check_limit, running_temperature_C
from wiremap.sizing.sized import (
    MEMORY,
    ROUND,
    Origin,
    OutOfRange,
    Sized,
    Value,
    in_range,
    row_origin,
    source_title,
)
from wiremap.trade.limits import limit as voltage_limit
from wiremap.trade.tables import figure, named_row, table

FILE = "drop.toml"
FORMULA = "U = I (2 L R' + R_parts), R' at the conductor's temperature"
WHOLE_CIRCUIT = ("critical", "other")
CLASS_A = "voltage class A, ISO 6469-3: above it this program sizes nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class DropWay:
    """A wire out and its like back, with the parts on it, carrying a current at a temperature."""

    wire: Cable
    length_mm: float
    amps: float
    volts: float  # nominal
    at_C: float  # temperature of the conductor,
    told: str  # and how it came about
    parts_ohms: float
    ambient_C: float  # in which the current warms it
    stated_C: float | None  # of the conductor, where somebody said
    limit_C: float  # of the insulation

    @property
    def ohms(self) -> float:
        """Resistance out and back with the parts [ohm].

        Raises OutOfRange outside -60 to 400 C.
        """
        return 2 * self.length_mm / 1000 * self.wire.ohm_per_m(self.at_C) + self.parts_ohms

    def lost(self, wire: Cable, temperature_C: float) -> float:
        """Volts that this current loses on this way with a wire at a temperature [V].

        Raises OutOfRange outside -60 to 400 C.
        """
        ohm_per_m = wire.ohm_per_m(temperature_C)
        return drop_volts(self.amps, self.length_mm / 1000, ohm_per_m, self.parts_ohms)


def limit(name: str) -> float:
    """A limit of voltage or length, in its row's unit; raises KeyError."""
    return figure(FILE, "limits", name)


CLASS_A_VOLTS = voltage_limit("class-b-dc-volts")


def drop_volts(amps: float, length_m: float, ohm_per_m: float, parts_ohms: float = 0.0) -> float:
    """Volts lost by a current over a length one way, out and back [V]: U = I (2 L R' + R_parts).

    Valid for DC, R' at the conductor's temperature.  FAA AC 43.13-1B Table 11-7, 6 AWG row:
    20 A, 107 ft in all, 0.00044 ohm/ft, printed check value 0.942 V:
    >>> round(drop_volts(20, 107 / 2, 0.00044), 3)
    0.942
    """
    return amps * (2 * length_m * ohm_per_m + parts_ohms)


def allowed_percent(name: str) -> float:
    """The allowed share of the nominal voltage [%]; raises KeyError.

    Of a whole circuit `critical` 3 and `other` 10; of what a job adds to it `job-caution` 5 and
    `job-stop` 10.
    """
    return figure(FILE, "allowed_percent", name, "percent")


def check_supply(volts: float, name: str = "volts") -> None:
    """Raises OutOfRange for no voltage or one above class A [V]."""
    if not 0 < volts <= CLASS_A_VOLTS:
        span = f"above 0 and at most {CLASS_A_VOLTS:g} V DC ({CLASS_A})"
        raise OutOfRange(f"{name} must be {span}; got {volts:g}")


def check_length(length_mm: float) -> None:
    """Raises OutOfRange for a length outside 1 mm to 200 m [mm]."""
    if not limit("least_length_mm") <= length_mm <= limit("most_length_mm"):
        span = "from 0.001 to 200 m (the harness lengths this program sizes)"
        raise OutOfRange(f"length must be {span}; got {length_mm / 1000:g} m")


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
    limit_C: float = CLASS_A_C,
) -> Sized:
    """Drop of a circuit out and back [V and %], and the sizes that would keep the usual limits.

    The conductor stands at `temperature_C`, or at the temperature the current brings in
    `ambient_C`, or at 20 C.  A size is named only if it runs within `limit_C` in `ambient_C`, or
    in 20 C, and is taken as warm as it runs there.  Valid for DC up to 60 V; raises OutOfRange.
    Sources: the cable's table, FAA AC 43.13-1B paragraph 11-66.
    """
    check_supply(volts)
    check_length(length_mm)
    check_limit(limit_C)
    least, most = figure(AMPACITY, "limits", "least_amps"), figure(AMPACITY, "limits", "most_amps")
    in_range("amps", amps, least, most, unit="A", source="currents of the heat balance")
    parts = "contacts, joints and fuse together"
    in_range(
        "the parts' resistance", parts_ohms, 0, limit("most_parts_ohms"), unit="ohm", source=parts
    )
    wire = cable(size, wall, family)
    at, told = _temperature(wire, amps, ambient_C, temperature_C)
    way = DropWay(
        wire=wire,
        length_mm=length_mm,
        amps=amps,
        volts=volts,
        at_C=at,
        told=told,
        parts_ohms=parts_ohms,
        ambient_C=REFERENCE_C if ambient_C is None else ambient_C,
        stated_C=temperature_C,
        limit_C=limit_C,
    )
    lost = way.lost(wire, at)
    warm = _warm(way) if temperature_C is None and ambient_C is None else None
    worst = lost if warm is None else max(lost, warm.lost_volts)
    if worst >= volts:
        over = f"{wire.name} over {length_mm / 1000:g} m out and back"
        would = f"would lose {worst:.3g} V of {volts:g} V"
        runs = "" if warm is None or lost >= volts else f" at the {warm.at_C:.3g} C it runs at"
        why = f"{amps:g} A cannot flow here: {over} {would}{runs}"
        return Sized(inputs=_inputs(way), why=why)
    results = list(_lost(way, lost, as_stated=ambient_C is None))
    if warm is not None:
        results.append(_running(way, warm))
    results += _limits(volts, intermittent=intermittent)
    results += _sizes(way)
    return Sized(
        results=tuple(results),
        inputs=_inputs(way),
        assumptions=(
            "the return is a conductor of the same size and length",
            f"conductor at {at:.3g} C ({told})",
            resistance_basis(wire),
        ),
        cautions=(
            *heat_caution(wire, amps, way.ambient_C, limit_C),
            *_unserved(way),
            *drop_verdict(worst / volts * 100),
            *_not_tabled(volts, intermittent=intermittent),
        ),
    )


def _lost(way: DropWay, lost: float, *, as_stated: bool) -> Iterator[Value]:
    law = source_title(CONDUCTORS, "faa-11-66")
    origin = way.wire.origin.computed().beside(law)
    yield origin.value("drop", lost, "V", FORMULA)
    yield origin.value("drop_percent", lost / way.volts * 100, "%", "U / nominal volts x 100")
    heat = Origin("as stated" if as_stated else "heat balance", "computed")
    yield heat.value("conductor_temperature", way.at_C, "C", way.told)
    yield origin.value("resistance", way.ohms, "ohm", "2 L R' + R_parts")


def _temperature(
    wire: Cable, amps: float, ambient_C: float | None, temperature_C: float | None
) -> tuple[float, str]:
    """The conductor's temperature [C] and how it came about."""
    if temperature_C is not None:
        check_copper(temperature_C)
        return float(temperature_C), "as stated"
    if ambient_C is None:
        give = "give an ambient for the running temperature"
        return REFERENCE_C, f"20 C, at which the tables state resistance; {give}"
    check_ambient(ambient_C)
    at = running_temperature_C(wire, amps, ambient_C)
    return at, f"running temperature in {ambient_C:g} C ambient"


class Warm(NamedTuple):
    """How warm a wire runs [C], and what it loses then [V]."""

    at_C: float
    lost_volts: float


def _warm(way: DropWay) -> Warm | None:
    """The wire warm from its own current in 20 C ambient.

    None where it would be warmer than the law of resistance holds: `heat_caution` tells that.
    """
    if way.wire.outside_mm is None:
        return None
    try:
        at = running_temperature_C(way.wire, way.amps, REFERENCE_C)
        return Warm(at, way.lost(way.wire, at))
    except OutOfRange:
        return None


def _running(way: DropWay, warm: Warm) -> Value:
    """The drop at running temperature, beside the figure at 20 C."""
    origin = Origin(f"heat balance; {way.wire.source}", way.wire.status).computed()
    formula = f"the same at {warm.at_C:.3g} C, which the current brings in 20 C ambient"
    return origin.value("drop_running", warm.lost_volts, "V", formula)


def _not_tabled(volts: float, *, intermittent: bool) -> Iterator[str]:
    """That a short load is allowed no more where no row says how much."""
    rows = table(FILE).sections["allowed_volts"]
    known = [row["system_volts"] for row in rows]
    if intermittent and volts not in known:
        listed = " and ".join(f"{each:g}" for each in known)
        yield f"`intermittent` changes nothing at {volts:g} V: it is tabled for {listed} V alone"


def _limits(volts: float, *, intermittent: bool) -> Iterator[Value]:
    for name in WHOLE_CIRCUIT:
        row = named_row(FILE, "allowed_percent", name)
        percent = row["percent"]
        formula = f"{percent:g} % of nominal"
        yield row_origin(FILE, row).value(f"allowed_{name}", volts * percent / 100, "V", formula)
    kind = "intermittent" if intermittent else "continuous"
    for row in table(FILE).sections["allowed_volts"]:
        if row["system_volts"] == volts:
            status = MEMORY if intermittent else row["standing"]
            origin = Origin(source_title(FILE, row["source"]), status)
            allowed = float(row[f"{kind}_volts"])
            yield origin.value(
                "allowed_aircraft", allowed, "V", f"table row of {volts:g} V, {kind}"
            )


def _sizes(way: DropWay) -> Iterator[Value]:
    for name in WHOLE_CIRCUIT:
        most = way.volts * allowed_percent(name) / 100
        size = _smallest_size(way, most)
        if size is not None:
            at = f"at the {size.at_C:.3g} C it runs at in {way.ambient_C:g} C"
            if size.at_C == way.stated_C:
                at = f"at the stated {size.at_C:g} C"
            formula = f"smallest ISO size within {way.limit_C:g} C that keeps {most:.3g} V {at}"
            yield iso_memory().value(f"size_{name}", size.area_mm2, "mm2", formula)


def _unserved(way: DropWay) -> Iterator[str]:
    """What no size serves, and a stated temperature that the insulation does not stand."""
    if way.stated_C is not None and way.stated_C > way.limit_C:
        yield f"the stated {way.stated_C:g} C is beyond the insulation's {way.limit_C:g} C"
    for name in WHOLE_CIRCUIT:
        most = way.volts * allowed_percent(name) / 100
        if _smallest_size(way, most) is None:
            yield f"no ISO size keeps {most:.3g} V and runs within {way.limit_C:g} C"


class Size(NamedTuple):
    """A standard size [mm2] and how warm it runs [C]."""

    area_mm2: float
    at_C: float


def _smallest_size(way: DropWay, volts: float) -> Size | None:
    """Smallest ISO size that loses at most `volts` and runs within the limit; None without one."""
    for area in metric_sizes():
        wire = cable(f"{area:g}")
        try:
            runs = running_temperature_C(wire, way.amps, way.ambient_C)
        except OutOfRange:  # it would melt
            continue
        at = runs if way.stated_C is None else max(runs, way.stated_C)
        if at <= way.limit_C and way.lost(wire, at) <= volts * (1 + ROUND):
            return Size(area, at)
    return None


def drop_verdict(percent: float) -> tuple[str, ...]:
    """In which circuits such a share of the nominal volts [%] is too much; empty if in none."""
    critical = allowed_percent("critical")
    other = allowed_percent("other")
    if percent > other:
        return (f"{percent:.3g} % is over {other:g} %, the most for any circuit",)
    if percent > critical:
        over = f"over {critical:g} % (critical circuits) and under {other:g} % (others)"
        return (f"{percent:.3g} % is {over}",)
    return ()


def _inputs(way: DropWay) -> tuple[tuple[str, object], ...]:
    return (
        ("csa", way.wire.name),
        ("wall", way.wire.wall),
        ("length_one_way_m", way.length_mm / 1000),
        ("amps", way.amps),
        ("volts", way.volts),
        ("conductor_temperature_C", way.at_C),
        ("limit_C", way.limit_C),
    )
