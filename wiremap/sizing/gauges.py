"""Answers about conductors: a gauge, an area, the resistance and size of a wire."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from wiremap.sizing.conductor import (
    ASTM,
    FILE,
    METRIC,
    REFERENCE_C,
    SCALE,
    STRANDED,
    WALLS,
    Cable,
    awg_area_mm2,
    awg_diameter_mm,
    awg_of_area,
    cable,
    check_copper,
    constant,
    gauge_label,
    gauge_number,
    iso_memory,
    limit,
    metric_cables,
    metric_sizes,
    outside_of,
    resistance_basis,
)
from wiremap.sizing.sized import (
    MEMORY,
    ROUND,
    SECOND_HAND,
    Origin,
    Sized,
    Value,
    in_range,
    row_origin,
    source_title,
)
from wiremap.trade.tables import Row, table

GAUGE = Origin(ASTM, "computed")
EXACT = "n = 36 - 39 ln(d / 0.127 mm) / ln 92"
THICKEST = -3  # 4/0
_TYPED_MM2 = re.compile(r"\s*([0-9.,]+)\s*mm(?:2|²|\^2)\s*")


def _rows(section: str) -> tuple[Row, ...]:
    return table(FILE).sections[section]


def size_awg(gauge: str) -> Sized:
    """Area [mm2], diameter [mm] and resistance [mohm/m] of a gauge, and its namesakes.

    Raises OutOfRange for an unknown gauge.  Sources: ASTM B258, IEC 60028, SAE J1128.
    """
    metric = _TYPED_MM2.fullmatch(gauge)
    if metric is not None:
        return size_area(float(metric[1].replace(",", ".")))
    label = gauge_label(gauge_number(gauge))
    return Sized(
        results=tuple(_gauge_results(label)),
        inputs=(("awg", label),),
        assumptions=(
            "solid copper of 100 % conductivity: a stranded or tinned wire of the same gauge "
            "measures higher",
            "an AWG area, a metric size and an SAE J1128 size of like name are three different "
            "conductors",
        ),
    )


def _gauge_results(label: str) -> Iterator[Value]:
    area = awg_area_mm2(label)
    yield GAUGE.value("area", area, "mm2", "A = pi d^2 / 4")
    diameter = awg_diameter_mm(label)
    yield GAUGE.value("diameter", diameter, "mm", "d = 0.127 x 92^((36 - n)/39)")
    solid = constant("resistivity_20C") / area * 1000
    copper = Origin(source_title(FILE, "iec60028"), "computed")
    formula = "R = 1/58 ohm mm2/m / A, solid copper"
    yield copper.value("resistance_20C", solid, "mohm/m", formula)
    yield from _tabled_by_gauge(label, area)
    for size in metric_sizes():
        if size >= area:
            formula = "the smallest ISO size whose nominal area is not below"
            yield iso_memory().value("metric_not_smaller", size, "mm2", formula)
            return


def _tabled_by_gauge(label: str, area: float) -> Iterator[Value]:
    """What tables have under a gauge's number: the SAE size of that name, and stranded wire."""
    for row in _rows("sae_j1128"):
        if row["gauge"] == label:
            yield from _sae_namesake(row, area)
    for row in _rows("faa_11_9"):
        if row["gauge"] == label:
            stranded = float(row["milliohm_per_m"])
            formula = f"table row of {label} AWG, whose strands have an area of their own"
            origin = row_origin(FILE, row)
            yield origin.value("resistance_20C_stranded", stranded, "mohm/m", formula)


def _sae_namesake(row: Row, area: float) -> Iterator[Value]:
    origin = row_origin(FILE, row)
    formula = f"table row of number {row['gauge']}"
    least = float(row["least_area_mm2"])
    yield origin.value("sae_least_area", least, "mm2", formula)
    share = (least / area - 1) * 100
    yield origin.value("sae_against_awg", share, "%", "(SAE least area / AWG area - 1) x 100")
    yield origin.value("metric_sold_as", float(row["csa_mm2"]), "mm2", formula)


def size_area(area_mm2: float) -> Sized:
    """The gauge of an area [mm2], both neighbours told.

    Valid from 0.05 to 107.3 mm2, raises OutOfRange outside.  Source: ASTM B258.
    """
    area = in_range(
        "area", area_mm2, limit("least_mm2"), limit("most_mm2"), unit="mm2", source=SCALE
    )
    return Sized(
        results=tuple(_area_results(area)),
        inputs=(("area_mm2", area),),
        assumptions=(
            "the area alone is compared: strands and resistance of the two systems differ",
        ),
    )


def _area_results(area: float) -> Iterator[Value]:
    exact = awg_of_area(area)
    yield GAUGE.value("awg_exact", exact, "AWG", EXACT)
    thick = math.floor(exact + ROUND)
    if thick >= THICKEST:
        formula = f"the thinnest gauge of at least this area, {_area_text(thick)}"
        yield GAUGE.value("awg_not_smaller", gauge_label(thick), "AWG", formula)
    formula = f"its area is {_area_text(thick + 1)}, below the {area:g} mm2 asked for"
    yield GAUGE.value("awg_next_thinner", gauge_label(thick + 1), "AWG", formula)


def _area_text(n: int) -> str:
    return f"{awg_area_mm2(gauge_label(n)):.4g} mm2"


def size_conductor(
    size: str, wall: str = "thin", temperature_C: float = REFERENCE_C, family: str = ""
) -> Sized:
    """Greatest resistance of a metre [mohm/m], with area [mm2], gauge and outside diameter [mm].

    Valid from -60 to 400 C; raises OutOfRange outside and for a size no table has.  Sources:
    ISO 6722-1, IEC 60228, JIS C 3406, FAA AC 43.13-1B paragraph 11-66.
    """
    check_copper(temperature_C)
    wire = cable(size, wall, family)
    results = [
        *_resistances(wire, temperature_C),
        *_shape(wire),
        *_namesakes(wire),
        *_other_resistances(wire),
    ]
    return Sized(
        results=tuple(results),
        inputs=(("csa", wire.name), ("wall", wire.wall), ("temperature_C", temperature_C)),
        assumptions=(f"plain copper; {resistance_basis(wire)}",),
    )


def _resistances(wire: Cable, temperature_C: float) -> Iterator[Value]:
    law = source_title(FILE, "faa-11-66")
    hot = wire.ohm_per_m(temperature_C) * 1000
    warm = wire.origin.computed().beside(law)
    yield warm.value("resistance", hot, "mohm/m", "R = R20 (234.5 + T)/254.5")
    formula = f"table row of {wire.name}"
    if wire.family == "sae" or wire.status == "computed":
        formula = f"{STRANDED} / A"
    cold = wire.ohm_per_m_20C * 1000
    yield wire.origin.value("resistance_20C", cold, "mohm/m", formula)
    if wire.family == "awg":
        yield GAUGE.value("area", wire.area_mm2, "mm2", "A = pi d^2 / 4")
    else:
        which = "the standard's least" if wire.family == "sae" else "nominal"
        yield wire.origin.value("area", wire.area_mm2, "mm2", which)


def _shape(wire: Cable) -> Iterator[Value]:
    jis = wire.family == "jis"
    if wire.outside_mm is not None:
        origin = Origin(wire.outside_source, SECOND_HAND if jis else MEMORY)
        formula = f"table row of {wire.name}, {wire.wall} wall"
        yield origin.value("outside_diameter", wire.outside_mm, "mm", formula)
    if wire.family in ("iso", "iec"):
        yield from _other_wall(wire)
    width = Origin(source_title(FILE, "strand-rule"), "common practice")
    formula = "1.22 sqrt(4 A / pi)"
    if jis:
        width = Origin(wire.source, SECOND_HAND)
        formula = "table row"
    yield width.value("conductor_diameter", wire.conductor_mm, "mm", formula)
    yield GAUGE.value("awg_exact", awg_of_area(wire.area_mm2), "AWG", EXACT)


def _other_wall(wire: Cable) -> Iterator[Value]:
    for wall in WALLS:
        outside = outside_of(wire.area_mm2, wall)
        if wall != wire.wall and outside is not None:
            formula = f"table row of {wire.name}, {wall} wall"
            yield iso_memory().value(f"outside_diameter_{wall}", outside, "mm", formula)


def _namesakes(wire: Cable) -> Iterator[Value]:
    """The SAE J1128 number sold beside a metric or AWG wire, and how it differs."""
    if wire.family == "sae":
        return
    for row in _rows("sae_j1128"):
        if math.isclose(row["csa_mm2"], wire.area_mm2):
            gauge = row["gauge"]
            least = f"its least area is {row['least_area_mm2']:g} mm2"
            awg = f"the AWG area of that number {awg_area_mm2(gauge):.4g} mm2"
            formula = f"sold beside it, but {least} and {awg}"
            yield row_origin(FILE, row).value("sae_namesake", gauge, "SAE no.", formula)


def _other_resistances(wire: Cable) -> Iterator[Value]:
    """What other standards say of this nominal area, so that a difference is seen."""
    if wire.family in ("awg", "sae"):
        return
    for row in _rows("jaso_thin"):
        if math.isclose(row["csa_mm2"], wire.area_mm2, rel_tol=ROUND):
            most = f"thin wall, {row['outside_max_mm']:g} mm outside at most"
            formula = f"table row of {wire.name}, {most}"
            milliohm = float(row["milliohm_per_m"])
            yield row_origin(FILE, row).value("resistance_20C_jaso", milliohm, "mohm/m", formula)
    for other in metric_cables(wire.area_mm2, wire.wall, tuple(METRIC)):
        if other.family != wire.family:
            formula = f"table row of {other.name}"
            if other.family == "iec":
                formula += ", class 5"
            name = f"resistance_20C_{other.family}"
            milliohm = other.ohm_per_m_20C * 1000
            yield other.origin.value(name, milliohm, "mohm/m", formula)
