"""Conductors: gauge and area both ways, resistance at any temperature, outside diameter."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from wiremap.sizing.sized import (
    MEMORY,
    OutOfRange,
    Sized,
    Value,
    in_range,
    rule_row,
    source_title,
    weakest,
)
from wiremap.sizing.units import gauge_name, section
from wiremap.trade.gauge import solid_diameter_mm
from wiremap.trade.tables import Row, table

FILE = "conductors.toml"
WALLS = ("thin", "thick")
FAMILIES = ("iso", "iec", "jis", "awg", "sae")
LEAST_MM2, MOST_MM2 = 0.05, 107.3  # 30 AWG to 4/0
CMIL_PER_MM2 = (
    1550.0031 * 4 / math.pi
)  # (1 / 0.0254)^2 square mils in a square millimetre, over pi / 4
TEMPERATURE_C = (-60.0, 400.0)
ASTM = "ASTM B258: d = 0.127 mm x 92^((36 - n)/39)"
SCALE = "sizes this program sizes, 30 AWG to 4/0, ASTM B258"


@dataclass(frozen=True, slots=True)
class Cable:
    """One conductor as sized: nominal area, greatest resistance at 20 C, diameters, and where each comes from."""

    name: str
    area_mm2: float
    ohm_per_m_20C: float
    conductor_mm: float
    outside_mm: float | None
    wall: str
    family: str
    source: str
    status: str
    outside_source: str = ""

    @property
    def circular_mils(self) -> float:
        """The nominal area in circular mils."""
        return circular_mils(self.area_mm2)

    def ohm_per_m(self, temperature_C: float = 20.0) -> float:
        """Greatest resistance of a metre at that conductor temperature [ohm/m]."""
        return self.ohm_per_m_20C * copper_ratio(temperature_C)


def constant(name: str) -> float:
    """A material constant of the conductor tables; raises KeyError."""
    return float(rule_row(FILE, "copper", name)["value"])


def gauge_number(gauge: str | int) -> int:
    """The n of the gauge formula, -3 for 4/0 to 40; raises OutOfRange for an unknown gauge."""
    name = gauge_name(str(gauge))
    if (ought := re.fullmatch(r"([1-4])/0", name)) is not None:
        return 1 - int(ought[1])
    if re.fullmatch(r"\d{1,2}", name) is None or not 1 <= int(name) <= 40:
        raise OutOfRange(
            f"gauge must be 4/0, 3/0, 2/0, 1/0 or a whole number from 1 to 40 (ASTM B258); got {gauge!r}"
        )
    return int(name)


def awg_diameter_mm(gauge: str | int) -> float:
    """Diameter of a solid wire of that gauge [mm]: 0.127 x 92^((36 - n)/39).  Source: ASTM B258.

    From the definition, 36 AWG is 0.005 in and 4/0 is 0.46 in:
    >>> round(awg_diameter_mm(36), 4), round(awg_diameter_mm("4/0") / 25.4, 4)
    (0.127, 0.46)
    """
    return solid_diameter_mm(gauge_number(gauge))


def awg_area_mm2(gauge: str | int) -> float:
    """Area of a solid wire of that gauge [mm2].  Source: ASTM B258."""
    return math.pi / 4 * awg_diameter_mm(gauge) ** 2


def awg_of_area(area_mm2: float) -> float:
    """The gauge number, not whole in general, whose ASTM area this is; negative numbers are the ought sizes."""
    in_range("area", area_mm2, 1e-3, MOST_MM2, "mm2", SCALE)
    diameter = math.sqrt(4 * area_mm2 / math.pi)
    return 36 - 39 * math.log(diameter / 0.127) / math.log(92)


def gauge_label(n: int) -> str:
    """How gauge number n is written: 20, 1/0, 4/0."""
    return str(n) if n > 0 else f"{1 - n}/0"


def circular_mils(area_mm2: float) -> float:
    """Area in circular mils: 1 mm2 is 1973.53."""
    return area_mm2 * CMIL_PER_MM2


def copper_ratio(temperature_C: float) -> float:
    """Resistance of copper at a temperature over that at 20 C: (234.5 + T)/254.5.

    Valid from -60 to 400 C; raises OutOfRange outside.  Source: FAA AC 43.13-1B paragraph 11-66.
    """
    if not TEMPERATURE_C[0] <= temperature_C <= 1083.0:
        raise OutOfRange(
            f"temperature must be from {TEMPERATURE_C[0]:g} to {TEMPERATURE_C[1]:g} C (linear law of "
            f"copper, FAA AC 43.13-1B paragraph 11-66); got {temperature_C:g}"
        )
    return (234.5 + temperature_C) / 254.5


def strand_diameter_mm(area_mm2: float) -> float:
    """Width of a stranded conductor where no table gives one [mm]: 1.22 sqrt(4 A / pi), common practice."""
    return constant("diameter_factor") * math.sqrt(4 * area_mm2 / math.pi)


@cache
def cable(size: str, wall: str = "thin", family: str = "") -> Cable:
    """The conductor that a text names: `0.5`, `20 AWG`, `SAE 20`; `family` may force iso, iec, jis, awg or sae.

    Metric sizes follow ISO 6722-1 and, where that has no such size, IEC 60228 class 5 or JIS C 3406.  Raises
    OutOfRange for a size that no table has: the nearest one is never taken in its place.
    """
    if wall not in WALLS:
        raise OutOfRange(f"wall must be thin or thick (ISO 6722-1); got {wall!r}")
    if family and family not in FAMILIES:
        raise OutOfRange(f"family must be one of {', '.join(FAMILIES)}; got {family!r}")
    kind, value = section(size)
    if kind == "awg":
        return _awg(str(value), wall)
    if kind == "sae":
        return _sae(str(value), wall)
    area = in_range("cross-section", float(value), LEAST_MM2, MOST_MM2, "mm2", SCALE)
    for found in _metric(area, wall, (family,) if family else ("iso", "iec", "jis")):
        return found
    known = ", ".join(f"{row['csa_mm2']:g}" for row in table(FILE).sections["iso6722"])
    raise OutOfRange(
        f"no table has a {area:g} mm2 conductor: ISO 6722-1 has {known} mm2, or name a gauge "
        '("20 AWG", "SAE 20")'
    )


def _metric(area: float, wall: str, families: tuple[str, ...]) -> Iterator[Cable]:
    for family in families:
        row = _row({"iso": "iso6722", "iec": "iec60228", "jis": "jis_av"}.get(family, ""), area)
        if row is None:
            continue
        outside = _outside(row, area, wall)
        milliohm = row["class5_milliohm_per_m"] if family == "iec" else row["milliohm_per_m"]
        width = float(row.get("conductor_mm", strand_diameter_mm(area)))
        yield Cable(
            f"{area:g} mm2",
            area,
            milliohm / 1000,
            width,
            outside,
            "thick" if family == "jis" else wall,
            family,
            source_title(FILE, row["source"]),
            row["standing"],
            ""
            if outside is None
            else source_title(FILE, "jis-c3406" if family == "jis" else "iso6722"),
        )


def _row(section_name: str, area: float) -> Row | None:
    rows = table(FILE).sections.get(section_name, ())
    return next((row for row in rows if math.isclose(row["csa_mm2"], area, rel_tol=1e-9)), None)


def _outside(row: Row, area: float, wall: str) -> float | None:
    if "outside_mm" in row:
        return float(row["outside_mm"])
    iso = _row("iso6722", area)
    found = iso.get(f"{wall}_mm") if iso else None
    return None if found is None else float(found)


def _awg(gauge: str, wall: str) -> Cable:
    """An AWG name tells no stranding: the higher of the solid ASTM and the tabulated stranded resistance governs."""
    area = awg_area_mm2(gauge)
    in_range("cross-section", area, LEAST_MM2, MOST_MM2, "mm2", SCALE)
    solid = constant("resistivity_20C") / area
    label = gauge_label(gauge_number(gauge))
    row = next((r for r in table(FILE).sections["faa_11_9"] if r["gauge"] == label), None)
    stranded = row["milliohm_per_m"] / 1000 if row else 0.0
    source = source_title(FILE, "faa-11-9") if stranded > solid else f"{ASTM}, with 1/58 ohm mm2/m"
    outside = _interpolated_outside(area, wall)
    return Cable(
        f"{label} AWG",
        area,
        max(solid, stranded),
        strand_diameter_mm(area),
        outside,
        wall,
        "awg",
        source,
        "read" if stranded > solid else "computed",
        "" if outside is None else "ISO 6722-1 walls on the strand's width",
    )


def _sae(number: str, wall: str) -> Cable:
    rows = table(FILE).sections["sae_j1128"]
    row = next((r for r in rows if r["gauge"] == number), None)
    if row is None:
        raise OutOfRange(
            f"SAE J1128 number must be one of {', '.join(r['gauge'] for r in rows)}; got {number!r}"
        )
    area = float(row["least_area_mm2"])
    outside = _interpolated_outside(area, wall)
    return Cable(
        f"SAE {number}",
        area,
        constant("resistivity_20C") / area,
        strand_diameter_mm(area),
        outside,
        wall,
        "sae",
        source_title(FILE, "sae-j1128") + ", least area",
        MEMORY,
        "" if outside is None else "ISO 6722-1 walls on the strand's width",
    )


def _interpolated_outside(area: float, wall: str) -> float | None:
    """Outside diameter of a gauge: the strand's width plus the ISO wall of the next larger size."""
    for row in table(FILE).sections["iso6722"]:
        if row["csa_mm2"] >= area * 0.97 and f"{wall}_mm" in row:
            wall_mm = row[f"{wall}_mm"] - strand_diameter_mm(row["csa_mm2"])
            return float(strand_diameter_mm(area) + wall_mm)
    return None


def outside_mm(found: Cable) -> float:
    """The outside diameter; raises OutOfRange where no table gives one for this wall."""
    if found.outside_mm is None:
        raise OutOfRange(
            f"no outside diameter is tabled for {found.name} {found.wall} wall: give one (ISO 6722-1 has "
            "thin wall from 0.13 and thick wall from 0.5 to 25 mm2)"
        )
    return found.outside_mm


def metric_sizes() -> tuple[float, ...]:
    """The ISO 6722-1 sizes, smallest first [mm2]."""
    return tuple(float(row["csa_mm2"]) for row in table(FILE).sections["iso6722"])


def size_awg(gauge: str) -> Sized:
    """Area, diameter and resistance of a gauge, and how the metric and SAE J1128 sizes of the same use differ."""
    if (metric := re.fullmatch(r"\s*([0-9.,]+)\s*mm(?:2|²|\^2)\s*", gauge)) is not None:
        return size_area(float(metric[1].replace(",", ".")))
    n = gauge_number(gauge)
    label, area, diameter = gauge_label(n), awg_area_mm2(gauge), awg_diameter_mm(gauge)
    solid = constant("resistivity_20C") / area * 1000
    results = [
        Value("area", area, "mm2", "A = pi d^2 / 4", ASTM, "computed"),
        Value("diameter", diameter, "mm", "d = 0.127 x 92^((36 - n)/39)", ASTM, "computed"),
        Value(
            "area_circular_mils", circular_mils(area), "cmil", "(d / 0.0254 mm)^2", ASTM, "computed"
        ),
        Value(
            "resistance_20C",
            solid,
            "mohm/m",
            "R = 1/58 ohm mm2/m / A, solid copper",
            source_title(FILE, "iec60028"),
            "computed",
        ),
    ]
    results += _namesakes(label, area)
    return Sized(
        tuple(results),
        (("awg", label),),
        (
            "solid copper of 100 % conductivity: a stranded or tinned wire of the same gauge measures higher",
            "an AWG area, a metric size and an SAE J1128 size of like name are three different conductors",
        ),
    )


def _namesakes(label: str, area: float) -> Iterator[Value]:
    for row in table(FILE).sections["sae_j1128"]:
        if row["gauge"] == label:
            least, metric = row["least_area_mm2"], row["csa_mm2"]
            yield Value(
                "sae_least_area",
                float(least),
                "mm2",
                f"table row of number {label}",
                source_title(FILE, "sae-j1128"),
                row["standing"],
            )
            yield Value(
                "sae_against_awg",
                (least / area - 1) * 100,
                "%",
                "(SAE least area / AWG area - 1) x 100",
                source_title(FILE, "sae-j1128"),
                row["standing"],
            )
            yield Value(
                "metric_sold_as",
                float(metric),
                "mm2",
                f"table row of number {label}",
                source_title(FILE, "sae-j1128"),
                row["standing"],
            )
    for row in table(FILE).sections["faa_11_9"]:
        if row["gauge"] == label:
            yield Value(
                "resistance_20C_stranded",
                float(row["milliohm_per_m"]),
                "mohm/m",
                f"table row of {label} AWG",
                source_title(FILE, "faa-11-9"),
                row["standing"],
            )
    larger = [size for size in metric_sizes() if size >= area]
    if larger:
        yield Value(
            "metric_not_smaller",
            larger[0],
            "mm2",
            "the smallest ISO size whose nominal area is not below",
            source_title(FILE, "iso6722"),
            MEMORY,
        )


def size_area(area_mm2: float) -> Sized:
    """The gauge of an area, both neighbours told."""
    area = in_range("area", area_mm2, LEAST_MM2, MOST_MM2, "mm2", SCALE)
    n = awg_of_area(area)
    not_smaller = math.floor(n + 1e-9)
    results = [
        Value("awg_exact", n, "AWG", "n = 36 - 39 ln(d / 0.127 mm) / ln 92", ASTM, "computed")
    ]
    if not_smaller >= -3:
        results.append(
            Value(
                "awg_not_smaller",
                gauge_label(not_smaller),
                "AWG",
                f"the thinnest gauge of at least this area, {_area_text(not_smaller)}",
                ASTM,
                "computed",
            )
        )
    results += [
        Value(
            "awg_next_thinner",
            gauge_label(not_smaller + 1),
            "AWG",
            f"its area is {_area_text(not_smaller + 1)}, below the {area:g} mm2 asked for",
            ASTM,
            "computed",
        ),
        Value("area_circular_mils", circular_mils(area), "cmil", "A x 1973.53", ASTM, "computed"),
    ]
    return Sized(
        tuple(results),
        (("area_mm2", area),),
        ("the area alone is compared: strands and resistance of the two systems differ",),
    )


def _area_text(n: int) -> str:
    return f"{awg_area_mm2(gauge_label(n)):.4g} mm2"


def size_conductor(
    size: str, wall: str = "thin", temperature_C: float = 20.0, family: str = ""
) -> Sized:
    """Greatest resistance of a metre at a temperature, with area, gauge and outside diameter."""
    in_range("temperature", temperature_C, *TEMPERATURE_C, "C", source_title(FILE, "faa-11-66"))
    found = cable(size, wall, family)
    results = [
        Value(
            "resistance",
            found.ohm_per_m(temperature_C) * 1000,
            "mohm/m",
            "R = R20 (234.5 + T)/254.5",
            f"{found.source}; {source_title(FILE, 'faa-11-66')}",
            weakest("computed", found.status),
        ),
        Value(
            "resistance_20C",
            found.ohm_per_m_20C * 1000,
            "mohm/m",
            f"table row of {found.name}" if found.status != "computed" else "1/58 ohm mm2/m / A",
            found.source,
            found.status,
        ),
        Value(
            "area",
            found.area_mm2,
            "mm2",
            "nominal" if found.family not in ("awg",) else "A = pi d^2 / 4",
            found.source if found.family != "awg" else ASTM,
            found.status if found.family != "awg" else "computed",
        ),
    ]
    results += _shape(found)
    results += _other_resistances(found)
    return Sized(
        tuple(results),
        (("csa", found.name), ("wall", found.wall), ("temperature_C", temperature_C)),
        ("plain copper; resistances are greatest values of the standard, a good cable lies below",),
    )


def _shape(found: Cable) -> Iterator[Value]:
    if found.outside_mm is not None:
        yield Value(
            "outside_diameter",
            found.outside_mm,
            "mm",
            f"table row of {found.name}, {found.wall} wall",
            found.outside_source,
            "read" if found.family == "jis" else MEMORY,
        )
    other = "thick" if found.wall == "thin" else "thin"
    if found.family in ("iso", "iec") and (also := _outside({}, found.area_mm2, other)) is not None:
        yield Value(
            f"outside_diameter_{other}",
            also,
            "mm",
            f"table row of {found.name}, {other} wall",
            source_title(FILE, "iso6722"),
            MEMORY,
        )
    jis = found.family == "jis"
    yield Value(
        "conductor_diameter",
        found.conductor_mm,
        "mm",
        "table row" if jis else "1.22 sqrt(4 A / pi)",
        found.source if jis else source_title(FILE, "strand-rule"),
        "read" if jis else "common practice",
    )
    yield Value(
        "awg_exact",
        awg_of_area(found.area_mm2),
        "AWG",
        "n = 36 - 39 ln(d / 0.127 mm) / ln 92",
        ASTM,
        "computed",
    )
    for row in table(FILE).sections["sae_j1128"]:
        if math.isclose(row["csa_mm2"], found.area_mm2) and found.family != "sae":
            yield Value(
                "sae_namesake",
                row["gauge"],
                "SAE no.",
                f"sold beside it, but its least area is {row['least_area_mm2']:g} mm2 and the AWG area of that "
                f"number {awg_area_mm2(row['gauge']):.4g} mm2",
                source_title(FILE, "sae-j1128"),
                row["standing"],
            )


def _other_resistances(found: Cable) -> Iterator[Value]:
    """What the other standards say of the same nominal area, so that a difference is seen."""
    if found.family in ("awg", "sae"):
        return
    if (thin := _row("jaso_thin", found.area_mm2)) is not None:
        yield Value(
            "resistance_20C_jaso",
            float(thin["milliohm_per_m"]),
            "mohm/m",
            f"table row of {found.name}, thin wall, {thin['outside_max_mm']:g} mm outside at most",
            source_title(FILE, thin["source"]),
            thin["standing"],
        )
    for family in ("iso", "iec", "jis"):
        for other in _metric(found.area_mm2, found.wall, (family,)):
            if family != found.family:
                yield Value(
                    f"resistance_20C_{family}",
                    other.ohm_per_m_20C * 1000,
                    "mohm/m",
                    f"table row of {other.name}" + (", class 5" if family == "iec" else ""),
                    other.source,
                    other.status,
                )
