"""Conductors against gauge tables and standards' rows, each with its source beside it."""

from __future__ import annotations

import math

import pytest
from fluids.piping import t_from_gauge
from hypothesis import given
from hypothesis import strategies as st

from wiremap.sizing.conductor import (
    awg_area_mm2,
    awg_diameter_mm,
    awg_of_area,
    cable,
    circular_mils,
    copper_ratio,
    gauge_label,
    metric_sizes,
)
from wiremap.sizing.gauges import size_area, size_awg, size_conductor
from wiremap.sizing.sized import OutOfRange, UnknownSize
from wiremap.sizing.units import length_mm
from wiremap.trade.tables import table


@pytest.mark.parametrize("gauge", range(1, 37))
def test_gauges_agree_with_an_independent_table(gauge: int) -> None:
    """Source: the gauge table of the `fluids` library, inches to three significant digits."""
    assert awg_diameter_mm(gauge) == pytest.approx(
        t_from_gauge(gauge, SI=True, schedule="AWG") * 1000, rel=4.5e-3
    )


@pytest.mark.parametrize(("gauge", "mils"), [("4/0", 460.0), ("36", 5.0)])
def test_gauges_stand_on_their_two_defining_diameters(gauge: str, mils: float) -> None:
    """ASTM B258 defines 4/0 as 0.46 in and 36 as 0.005 in."""
    assert awg_diameter_mm(gauge) / 0.0254 == pytest.approx(mils, rel=1e-12)


@pytest.mark.parametrize(
    ("gauge", "area", "cmil", "milliohm"),
    [
        ("20", 0.5176, 1021.5, 33.31),
        ("16", 1.3087, 2583, 13.17),
        ("10", 5.261, 10383, 3.277),
        ("4/0", 107.22, 211600, 0.1608),
    ],
)
def test_area_circular_mils_and_resistance_of_solid_copper(
    gauge: str, area: float, cmil: float, milliohm: float
) -> None:
    """Worked from ASTM B258 and 1/58 ohm mm2/m (IEC 60028)."""
    sized = size_awg(gauge)
    assert sized.answer.name == "area"
    assert sized.number("area") == pytest.approx(area, rel=2e-4)
    assert circular_mils(sized.number("area")) == pytest.approx(cmil, rel=2e-4)
    assert sized.number("resistance_20C") == pytest.approx(milliohm, rel=5e-4)


@given(st.integers(-3, 30))
def test_gauge_and_area_go_both_ways(n: int) -> None:
    assert awg_of_area(awg_area_mm2(gauge_label(n))) == pytest.approx(n, abs=1e-9)


def test_three_gauge_numbers_double_the_area() -> None:
    """Handbook rule: three numbers, twice the area, within a third of a per cent."""
    assert awg_area_mm2(17) / awg_area_mm2(20) == pytest.approx(2, rel=0.003)


def test_the_three_conductors_called_16_are_told_apart() -> None:
    """A J1128 spool marked 16 holds less copper than 16 AWG; the metric wire sold beside it is 1 mm2."""
    sized = size_awg("16")
    assert sized.number("sae_least_area") == 1.12
    assert sized.number("sae_against_awg") == pytest.approx((1.12 / 1.309 - 1) * 100, abs=0.05)
    assert sized.number("metric_sold_as") == 1.0
    assert len({round(cable(s).area_mm2, 3) for s in ("16 AWG", "SAE 16", "1")}) == 3


@pytest.mark.parametrize(
    "row", table("conductors.toml").sections["sae_j1128"], ids=lambda r: r["gauge"]
)
def test_j1128_areas_fit_their_strands(row: dict[str, float]) -> None:
    """The strand counts were read in two sellers' tables: strands x AWG area must hold the least area."""
    assert row["strands"] * awg_area_mm2(str(row["strand_awg"])) >= row["least_area_mm2"] * 0.98
    assert row["least_area_mm2"] < awg_area_mm2(str(row["gauge"]))


@pytest.mark.parametrize(
    "row", table("conductors.toml").sections["jis_av"], ids=lambda r: str(r["csa_mm2"])
)
def test_jis_rows_hold_together(row: dict[str, float]) -> None:
    """JIS C 3406 AV: strands x strand area is the calculated area; R is a little above 17.24 / area."""
    assert row["strands"] * math.pi / 4 * row["strand_mm"] ** 2 == pytest.approx(
        row["area_mm2"], rel=2e-3
    )
    assert 1.0 < row["milliohm_per_m"] / (17.241 / row["area_mm2"]) < 1.09


@pytest.mark.parametrize(
    "row", table("conductors.toml").sections["iso6722"], ids=lambda r: str(r["csa_mm2"])
)
def test_iso_rows_from_memory_are_at_least_consistent(row: dict[str, float]) -> None:
    """From memory, so only consistency: the greatest resistance lies just above that of the nominal copper."""
    assert 1.02 < row["milliohm_per_m"] / (17.241 / row["csa_mm2"]) < 1.15
    assert row.get("thick_mm", 99) > row["thin_mm"] > cable(f"{row['csa_mm2']:g}").conductor_mm


def test_circular_mils_of_maker_strandings() -> None:
    """A terminal maker's sheet: 16 strands of 30 AWG are 1600 cmil and 19 of 29 AWG 2426."""
    assert circular_mils(16 * awg_area_mm2(30)) == pytest.approx(1600, rel=6e-3)
    assert circular_mils(19 * awg_area_mm2(29)) == pytest.approx(2426, rel=8e-3)


def test_resistance_follows_the_faa_rule_not_the_rounded_coefficient() -> None:
    """AC 43.13-1B par 11-66 has 234.5/254.5, IEC 60028 0.00393: they part by under 0.01 % and we follow the former."""
    for celsius in (85, 105, 125):
        assert copper_ratio(celsius) == (234.5 + celsius) / 254.5
        assert copper_ratio(celsius) == pytest.approx(1 + 0.00393 * (celsius - 20), rel=1e-4)


def test_where_standards_differ_iso_governs_and_the_others_are_shown() -> None:
    """0.5 mm2: ISO 6722-1 37.1, IEC 60228 class 5 39.0, JIS C 3406 32.7 mohm/m."""
    sized = size_conductor("0.5")
    assert sized.answer.value == pytest.approx(37.1)
    assert sized.answer.status == "from memory, unverified"
    assert sized.number("resistance_20C_iec") == 39.0
    assert sized.number("resistance_20C_jis") == 32.7
    assert size_conductor("0.5", family="jis").number("outside_diameter") == 2.2


def test_an_awg_name_takes_the_higher_resistance() -> None:
    """FAA table 11-9 (stranded, tinned) is above strands of 6 AWG's area and below those of 20's: the higher governs.

    Strands lie up to 8 % above the 33.31 mohm/m of solid copper of 20 AWG.
    """
    assert cable("6 AWG").ohm_per_m_20C * 1000 == 1.444
    assert cable("20 AWG").ohm_per_m_20C * 1000 == pytest.approx(33.31 * 1.08, rel=1e-3)


def test_sae_wire_is_taken_on_the_safe_side() -> None:
    """SAE 16: least area 1.12 mm2, solid 15.39 mohm/m; 13 ft there and back at 5 A are 0.61 V, 0.66 V by its strands."""
    assert cable("SAE 16").ohm_per_m_20C * 1000 == pytest.approx(15.39 * 1.08, rel=1e-3)
    assert size_conductor("SAE 16").get("area").formula == "the standard's least"


@pytest.mark.parametrize("size", metric_sizes())
def test_each_metric_size_finds_its_gauge_not_smaller(size: float) -> None:
    sized = size_area(size)
    assert awg_area_mm2(str(sized.get("awg_not_smaller").value)) >= size * (1 - 1e-9)
    assert awg_area_mm2(str(sized.get("awg_next_thinner").value)) < size


@pytest.mark.parametrize(
    "text",
    ["0", "-1", "1000", "nan", "inf", "0.6", "abc", "1 kg", "55 AWG", "7 SAE 8", "", "5/0 AWG"],
)
def test_no_size_is_ever_clamped_or_taken_for_its_neighbour(text: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        cable(text)
    assert "\n" not in str(refusal.value) and len(str(refusal.value)) < 250
    assert not isinstance(refusal.value, UnknownSize)


@pytest.mark.parametrize("text", ["0.5?", "GN/WH", "RD"])
def test_a_doubtful_size_and_a_bare_colour_are_named_as_unknown(text: str) -> None:
    with pytest.raises(UnknownSize, match="is unknown"):
        cable(text)


@pytest.mark.parametrize(
    ("text", "mm"), [("4", 4000), ("400 mm", 400), ("13ft", 3962.4), ("7 in", 177.8), ("0,5m", 500)]
)
def test_lengths_in_four_units(text: str, mm: float) -> None:
    assert length_mm(text, "length") == pytest.approx(mm)


def test_every_row_states_source_and_standing() -> None:
    for name in ("conductors", "ampacity", "drop", "fuses", "splices", "sleeves", "bundles"):
        found = table(f"{name}.toml")
        known = {row["id"] for row in found.sections["sources"]}
        for section, rows in found.sections.items():
            assert all(row["standing"] for row in rows)
            assert section == "sources" or all(row["source"] in known for row in rows)
