"""Conductors: gauge and area both ways, resistance at any temperature, outside diameter."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from wiremap.sizing.sized import (
    MEMORY,
    ROUND,
    Origin,
    OutOfRange,
    in_range,
    memory,
    row_origin,
    source_title,
)
from wiremap.sizing.units import MM_PER_INCH, gauge_name, section
from wiremap.trade.gauge import gauge_of_diameter, solid_diameter_mm
from wiremap.trade.tables import Row, figure, table

FILE = "conductors.toml"
WALLS = ("thin", "thick")
FAMILIES = ("iso", "iec", "jis", "awg", "sae")
METRIC = {"iso": "iso6722", "iec": "iec60228", "jis": "jis_av"}
REFERENCE_C = 20.0  # at which tables state resistance
THINNEST_GAUGE = 40
CMIL_PER_MM2 = 4 / math.pi * (1000 / MM_PER_INCH) ** 2
ASTM = "ASTM B258: d = 0.127 mm x 92^((36 - n)/39)"
SCALE = "sizes this program sizes, 30 AWG to 4/0, ASTM B258"
STRAND_WALLS = "ISO 6722-1 walls on the strand's width"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """One conductor as sized: area, greatest resistance at 20 C, diameters, origin of each."""

    name: str
    area_mm2: float
    ohm_per_m_20C: float
    conductor_mm: float  # diameter of the strands together
    outside_mm: float | None  # greatest; None where no table gives one
    wall: str  # of WALLS
    family: str  # of FAMILIES, or `lead` for a part's own lead
    source: str  # of area and resistance, with their standing
    status: str
    outside_source: str = ""
    least_outside_mm: float | None = None

    @property
    def circular_mils(self) -> float:
        """The nominal area [circular mils]."""
        return circular_mils(self.area_mm2)

    @property
    def origin(self) -> Origin:
        """Where area and resistance come from."""
        return Origin(self.source, self.status)

    def ohm_per_m(self, temperature_C: float = REFERENCE_C) -> float:
        """Greatest resistance of a metre at that conductor temperature [ohm/m].

        Raises OutOfRange outside -60 to 400 C.  Source: FAA AC 43.13-1B paragraph 11-66.
        """
        return self.ohm_per_m_20C * copper_ratio(temperature_C)


def constant(name: str) -> float:
    """A material constant of the conductor tables, in its row's unit; raises KeyError."""
    return figure(FILE, "copper", name)


ZERO_C = constant("beta_C")  # the linear law gives copper no resistance at minus this many C


def limit(name: str) -> float:
    """A limit of what is sized, in its row's unit; raises KeyError."""
    return figure(FILE, "limits", name)


def gauge_number(gauge: str | int) -> int:
    """The n of the gauge formula, -3 for 4/0 to 40; raises OutOfRange for an unknown gauge."""
    name = gauge_name(str(gauge))
    noughts = re.fullmatch(r"([1-4])/0", name)
    if noughts is not None:
        return 1 - int(noughts[1])
    if re.fullmatch(r"\d{1,2}", name) and 1 <= int(name) <= THINNEST_GAUGE:
        return int(name)
    known = f"4/0, 3/0, 2/0, 1/0 or a whole number from 1 to {THINNEST_GAUGE}"
    raise OutOfRange(f"gauge must be {known} (ASTM B258); got {gauge!r}")


def awg_diameter_mm(gauge: str | int) -> float:
    """Diameter of a solid wire of that gauge [mm]: 0.127 x 92^((36 - n)/39).  Source: ASTM B258.

    Raises OutOfRange for an unknown gauge.  From the definition, 36 AWG is 0.005 in and 4/0 0.46:
    >>> round(awg_diameter_mm(36), 4), round(awg_diameter_mm("4/0") / 25.4, 4)
    (0.127, 0.46)
    """
    return solid_diameter_mm(gauge_number(gauge))


def awg_area_mm2(gauge: str | int) -> float:
    """Area of a solid wire of that gauge [mm2].  Source: ASTM B258.  Raises OutOfRange."""
    return area_of_mm(awg_diameter_mm(gauge))


def area_of_mm(diameter_mm: float) -> float:
    """Area of a round wire of a diameter [mm2]."""
    return math.pi / 4 * diameter_mm**2


def awg_of_area(area_mm2: float) -> float:
    """The gauge number, not whole in general, whose ASTM area this is; 1/0 to 4/0 are 0 to -3.

    Valid from 0.001 to 107.3 mm2; raises OutOfRange outside.  Source: ASTM B258.
    """
    in_range(
        "area", area_mm2, limit("least_gauge_mm2"), limit("most_mm2"), unit="mm2", source=SCALE
    )
    return gauge_of_diameter(solid_mm(area_mm2))


def solid_mm(area_mm2: float) -> float:
    """Diameter of a solid round wire of an area [mm]."""
    return math.sqrt(4 * area_mm2 / math.pi)


def gauge_label(n: int) -> str:
    """How gauge number n is written: 20, 1/0, 4/0."""
    return str(n) if n > 0 else f"{1 - n}/0"


def circular_mils(area_mm2: float) -> float:
    """An area in mm2 as circular mils [circular mils]: 1 mm2 is 1973.53."""
    return area_mm2 * CMIL_PER_MM2


def mm2_of_cmil(cmil: float) -> float:
    """An area in circular mils as mm2 [mm2]."""
    return cmil / CMIL_PER_MM2


def linear_ratio(temperature_C: float) -> float:
    """Resistance of copper over that at 20 C by the linear law, for any temperature [1].

    For solvers that look beyond the law's range; `copper_ratio` refuses what it does not cover.
    """
    return (ZERO_C + temperature_C) / (ZERO_C + REFERENCE_C)


def check_copper(temperature_C: float) -> None:
    """Raises OutOfRange where the linear law of copper does not hold: outside -60 to 400 C."""
    law = "linear law of copper, FAA AC 43.13-1B paragraph 11-66"
    low, high = limit("least_copper_C"), limit("most_copper_C")
    in_range("temperature", temperature_C, low, high, unit="C", source=law)


def copper_ratio(temperature_C: float) -> float:
    """Resistance of copper at a temperature over that at 20 C: (234.5 + T)/254.5 [1].

    Valid from -60 to 400 C; raises OutOfRange outside.  Source: FAA AC 43.13-1B paragraph 11-66.
    """
    check_copper(temperature_C)
    return linear_ratio(temperature_C)


def strand_diameter_mm(area_mm2: float) -> float:
    """Width of a stranded conductor where no table gives one [mm]: 1.22 sqrt(4 A / pi).

    Source: common practice.
    """
    return constant("diameter_factor") * solid_mm(area_mm2)


@cache
def cable(size: str, wall: str = "thin", family: str = "") -> Cable:
    """The conductor that a text names: `0.5`, `20 AWG`, `SAE 20`.

    `family` may force iso, iec, jis, awg or sae.  Metric sizes follow ISO 6722-1 and, where that
    has no such size, IEC 60228 class 5 or JIS C 3406.  Raises OutOfRange for a size that no table
    has: the nearest one is never taken in its place.
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
    area = _in_scale("cross-section", float(value))
    families = (family,) if family else tuple(METRIC)
    for wire in metric_cables(area, wall, families):
        return wire
    known = ", ".join(f"{size:g}" for size in metric_sizes())
    gauge = 'or name a gauge ("20 AWG", "SAE 20")'
    raise OutOfRange(f"no table has a {area:g} mm2 conductor: ISO 6722-1 has {known} mm2, {gauge}")


def _in_scale(name: str, area_mm2: float) -> float:
    return in_range(name, area_mm2, limit("least_mm2"), limit("most_mm2"), unit="mm2", source=SCALE)


def metric_cables(area_mm2: float, wall: str, families: tuple[str, ...]) -> Iterator[Cable]:
    """The conductors of this nominal area in the tables of these families, in their order."""
    for family in families:
        row = _row(METRIC.get(family, ""), area_mm2)
        if row is not None:
            yield _metric(row, area_mm2, wall, family)


def _metric(row: Row, area: float, wall: str, family: str) -> Cable:
    column = "class5_milliohm_per_m" if family == "iec" else "milliohm_per_m"
    width = strand_diameter_mm(area)
    outside = outside_of(area, wall)
    outside_source = source_title(FILE, "iso6722")
    least = _least_outside_mm(area, wall)
    if family == "jis":
        least = None
        wall = "thick"
        width = row["conductor_mm"]
        outside = row["outside_mm"]
        outside_source = source_title(FILE, "jis-c3406")
    origin = row_origin(FILE, row)
    return Cable(
        name=f"{area:g} mm2",
        area_mm2=area,
        ohm_per_m_20C=row[column] / 1000,
        conductor_mm=width,
        outside_mm=outside,
        wall=wall,
        family=family,
        source=origin.source,
        status=origin.status,
        outside_source="" if outside is None else outside_source,
        least_outside_mm=least,
    )


def _least_outside_mm(area: float, wall: str) -> float | None:
    """How thin a thin-wall ISO 6722-1 wire may be: strand and least wall; None if not tabled."""
    row = _row("iso6722", area)
    if row is None or wall != "thin" or "least_wall_mm" not in row:
        return None
    walls: float = 2 * row["least_wall_mm"]
    return strand_diameter_mm(area) + walls


def _row(section_name: str, area: float) -> Row | None:
    for row in table(FILE).sections.get(section_name, ()):
        if math.isclose(row["csa_mm2"], area, rel_tol=ROUND):
            return row
    return None


def outside_of(area_mm2: float, wall: str) -> float | None:
    """Greatest outside diameter of an ISO 6722-1 size [mm]; None where the table has none."""
    row = _row("iso6722", area_mm2)
    if row is None:
        return None
    found: float | None = row.get(f"{wall}_mm")
    return found


def _gauge_row(section_name: str, gauge: str) -> Row | None:
    for row in table(FILE).sections[section_name]:
        if row["gauge"] == gauge:
            return row
    return None


STRANDED = f"1/58 ohm mm2/m x {constant('strands_over_solid'):g}"


def _awg(gauge: str, wall: str) -> Cable:
    """A wire named by its gauge, which tells no stranding: of the most that strands of that area
    have and a table's resistance the higher counts.
    """
    area = _in_scale("cross-section", awg_area_mm2(gauge))
    label = gauge_label(gauge_number(gauge))
    ohm_per_m = _stranded_ohm_per_m(area)
    origin = Origin(f"{ASTM}, with {STRANDED}", "computed")
    row = _gauge_row("faa_11_9", label)
    if row is not None and row["milliohm_per_m"] / 1000 > ohm_per_m:
        ohm_per_m = row["milliohm_per_m"] / 1000
        origin = Origin(source_title(FILE, "faa-11-9"), "read")
    return _of_gauge(f"{label} AWG", area, ohm_per_m, wall, origin)


def _sae(number: str, wall: str) -> Cable:
    row = _gauge_row("sae_j1128", number)
    if row is None:
        known = ", ".join(row["gauge"] for row in table(FILE).sections["sae_j1128"])
        raise OutOfRange(f"SAE J1128 number must be one of {known}; got {number!r}")
    area = row["least_area_mm2"]
    origin = Origin(f"{source_title(FILE, 'sae-j1128')}, least area", MEMORY)
    return _of_gauge(f"SAE {number}", area, _stranded_ohm_per_m(area), wall, origin)


def _stranded_ohm_per_m(area_mm2: float) -> float:
    """The most that strands of this area have at 20 C [ohm/m], where no table tells."""
    return constant("resistivity_20C") / area_mm2 * constant("strands_over_solid")


def _of_gauge(name: str, area: float, ohm_per_m: float, wall: str, origin: Origin) -> Cable:
    outside = _interpolated_outside(area, wall)
    return Cable(
        name=name,
        area_mm2=area,
        ohm_per_m_20C=ohm_per_m,
        conductor_mm=strand_diameter_mm(area),
        outside_mm=outside,
        wall=wall,
        family="sae" if name.startswith("SAE") else "awg",
        source=origin.source,
        status=origin.status,
        outside_source="" if outside is None else STRAND_WALLS,
    )


def _interpolated_outside(area: float, wall: str) -> float | None:
    """Outside diameter of a gauge: the strand's width plus the ISO wall of the next larger size."""
    like = limit("like_size")
    column = f"{wall}_mm"
    for row in table(FILE).sections["iso6722"]:
        size = row["csa_mm2"]
        if size >= area * like and column in row:
            wall_mm: float = row[column] - strand_diameter_mm(size)
            return strand_diameter_mm(area) + wall_mm
    return None


def outside_mm(wire: Cable) -> float:
    """The outside diameter [mm]; raises OutOfRange where no table gives one for this wall."""
    if wire.outside_mm is not None:
        return wire.outside_mm
    tabled = "ISO 6722-1 has thin wall from 0.13 and thick wall from 0.5 to 25 mm2"
    named = f"{wire.name} {wire.wall} wall"
    raise OutOfRange(f"no outside diameter is tabled for {named}: give one ({tabled})")


def resistance_basis(wire: Cable) -> str:
    """What a cable's resistance is: its standard's greatest, or that of copper without strands."""
    if wire.family == "sae" or (wire.family == "awg" and wire.status == "computed"):
        area = "the standard's least area" if wire.family == "sae" else "that area"
        return f"resistance of {area}, {STRANDED}: strands lie 2 to 8 % above solid copper"
    return "greatest resistance of the cable's standard, not its nominal area"


@cache
def metric_sizes() -> tuple[float, ...]:
    """The ISO 6722-1 sizes, smallest first [mm2]."""
    return tuple(float(row["csa_mm2"]) for row in table(FILE).sections["iso6722"])


def iso_memory() -> Origin:
    """The origin of ISO 6722-1 figures, which were recalled."""
    return memory(FILE, "iso6722")
