"""The heat balance against a correlation library, cable standards' columns and finer integrations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from ht import Nu_horizontal_cylinder_Churchill_Chu
from hypothesis import given
from hypothesis import strategies as st
from published import published
from scipy.integrate import solve_ivp

from wiremap.sizing.air import AIR_CP, INSULATION_W_PER_MK, air_nusselt, shed_W_per_m
from wiremap.sizing.ampacity import bundle_factor, size_ampacity
from wiremap.sizing.conductor import Cable, cable
from wiremap.sizing.heat import (
    adiabatic_k,
    adiabatic_temperature_C,
    ampacity_amps,
    insulation_Km_per_W,
    steady_temperature_C,
)
from wiremap.sizing.sized import OutOfRange
from wiremap.sizing.transient import heat_nodes_J_per_Km, temperature_after_C
from wiremap.trade.tables import table


def wire(csa: float, d: float, outside: float, milliohm: float) -> Cable:
    return Cable(
        name=f"{csa:g}",
        area_mm2=csa,
        ohm_per_m_20C=milliohm / 1000,
        conductor_mm=d,
        outside_mm=outside,
        wall="thin",
        family="test",
        source="test",
        status="read",
    )


@given(st.floats(1, 300), st.floats(-40, 90), st.floats(0.8, 15))
def test_nusselt_number_agrees_with_ht(rise: float, ambient: float, mm: float) -> None:
    """Source: ht's Churchill-Chu correlation for a horizontal cylinder, air by Sutherland's law at film temperature."""
    surface, air, d = ambient + rise + 273.15, ambient + 273.15, mm / 1000
    film = (surface + air) / 2
    mu = 1.716e-5 * (film / 273.15) ** 1.5 * 383.55 / (film + 110.4)
    k = 0.0241 * (film / 273.15) ** 1.5 * 467.15 / (film + 194)
    rho = 101325 / (287.05 * film)
    grashof = 9.80665 / film * rise * d**3 * (rho / mu) ** 2
    assert air_nusselt(surface, air, d)[0] == pytest.approx(
        Nu_horizontal_cylinder_Churchill_Chu(AIR_CP * mu / k, grashof), rel=1e-9
    )


@pytest.mark.parametrize(
    ("csa", "d", "outside", "milliohm", "limit", "ambient", "amps"),
    [
        (0.75, 1.2, 1.9, 24.7, 105, 23, 19.8),
        (0.35, 0.8, 1.4, 54.4, 105, 70, 7.9),
        (1.5, 1.7, 2.4, 12.7, 85, 60, 16.2),
        (4, 2.75, 3.7, 4.71, 105, 23, 56.7),
        (0.75, 1.2, 1.9, 24.7, 85, 60, 10.8),
    ],
)
def test_rows_worked_with_ht(
    csa: float, d: float, outside: float, milliohm: float, limit: float, ambient: float, amps: float
) -> None:
    """Rows computed apart from this program, with ht 1.2.0."""
    assert ampacity_amps(wire(csa, d, outside, milliohm), limit, ambient) == pytest.approx(
        amps, abs=0.05
    )


VDE_WIRES = {
    0.75: (26.0, 2.4),
    1.0: (19.5, 2.6),
    1.5: (13.3, 3.0),
    2.5: (7.98, 3.6),
    4.0: (4.95, 4.2),
    6.0: (3.30, 4.7),
    10.0: (1.91, 6.1),
}  # IEC 60228 class 5 mohm/m (read), H05V-K/H07V-K diameters (from memory)


@pytest.mark.parametrize(
    "row", table("ampacity.toml").sections["vde_free_air"], ids=lambda r: str(r["csa_mm2"])
)
def test_free_air_column_of_vde_is_met_from_the_safe_side(row: dict[str, float]) -> None:
    """DIN VDE 0298-4, single core in air, 70 C in 30 C: within +3 and -13 % of the nearer edition."""
    milliohm, outside = VDE_WIRES[row["csa_mm2"]]
    amps = ampacity_amps(
        wire(row["csa_mm2"], 1.22 * math.sqrt(4 * row["csa_mm2"] / math.pi), outside, milliohm),
        70,
        30,
    )
    assert row["least_amps"] * 0.87 <= amps <= row["most_amps"] * 1.03


@pytest.mark.parametrize(
    "row", table("conductors.toml").sections["jis_av"], ids=lambda r: str(r["csa_mm2"])
)
def test_jis_current_limits_are_met_from_the_safe_side(row: dict[str, float]) -> None:
    """JIS C 3406 AV limits, at 80 C in 40 C (an assumption: the page's own conditions were cut off): +2 to -8 %."""
    amps = ampacity_amps(
        wire(row["area_mm2"], row["conductor_mm"], row["outside_mm"], row["milliohm_per_m"]), 80, 40
    )
    assert 0.92 <= amps / row["limit_amps"] <= 1.02


def test_faa_bundle_table_lies_below_a_single_wire() -> None:
    """AC 43.13-1B table 11-9 is for 33 wires at altitude: a single wire in air must carry more, at 105 C in 70 C."""
    for row in table("conductors.toml").sections["faa_11_9"][:8]:
        assert ampacity_amps(cable(f"{row['gauge']} AWG"), 105, 70) > 1.5 * row["amps_105C"]


@given(
    st.sampled_from(["0.35", "0.5", "1", "2.5", "6", "25"]),
    st.floats(0.05, 1.5),
    st.floats(-30, 80),
)
def test_current_and_temperature_undo_each_other(size: str, share: float, ambient: float) -> None:
    found = cable(size)
    amps = share * ampacity_amps(found, 105, ambient)
    hot = steady_temperature_C(found, amps, ambient)
    assert hot > ambient
    assert ampacity_amps(found, hot, ambient) == pytest.approx(amps, rel=1e-5)


@given(st.sampled_from(["0.35", "0.5", "1", "2.5", "6"]), st.floats(-30, 90), st.floats(1, 10))
def test_hotter_air_and_lower_limits_leave_less(size: str, ambient: float, step: float) -> None:
    found = cable(size)
    assert ampacity_amps(found, 105, ambient + step) < ampacity_amps(found, 105, ambient)
    assert ampacity_amps(found, 105 + step, ambient) > ampacity_amps(found, 105, ambient)


@pytest.mark.parametrize(
    ("size", "amps", "seconds"),
    [("0.5", 20.25, 5), ("0.5", 20.25, 60), ("2.5", 60, 50), ("16", 200, 600)],
)
def test_transient_agrees_with_a_fine_integration(size: str, amps: float, seconds: float) -> None:
    """Source: the same two-node balance by SciPy's LSODA at 1e-9."""
    found, ambient = cable(size), 60.0
    core_j, skin_j = heat_nodes_J_per_Km(found)
    assert found.outside_mm is not None
    r = insulation_Km_per_W(found.conductor_mm, found.outside_mm)

    def rates(_t: float, y: np.ndarray) -> list[float]:
        core, skin = y
        power = amps**2 * found.ohm_per_m_20C * (234.5 + core) / 254.5
        through = (core - skin) / r
        return [
            (power - through) / core_j,
            (through - shed_W_per_m(skin, ambient, found.outside_mm)) / skin_j,
        ]

    fine = solve_ivp(
        rates, (0, seconds), [ambient, ambient], method="LSODA", rtol=1e-9, atol=1e-9
    ).y[0, -1]
    assert temperature_after_C(found, amps, seconds, ambient, ambient) == pytest.approx(
        fine, abs=0.3
    )


def test_two_nodes_stand_for_the_whole_insulation() -> None:
    """Source: 40 shells of insulation stepped explicitly, 0.5 mm2 at 30 A for 5 s; two nodes come within 3 K."""
    found, amps, ambient, shells = cable("0.5"), 30.0, 23.0, 40
    assert found.outside_mm is not None
    edges = np.linspace(found.conductor_mm, found.outside_mm, shells + 1) / 2000
    heat = 1.7e6 * math.pi * (edges[1:] ** 2 - edges[:-1] ** 2)
    middle = (edges[1:] + edges[:-1]) / 2
    gap = np.log(np.concatenate([[middle[0] / edges[0]], middle[1:] / middle[:-1]])) / (
        2 * math.pi * INSULATION_W_PER_MK
    )
    last = math.log(edges[-1] / middle[-1]) / (2 * math.pi * INSULATION_W_PER_MK)
    core, t = ambient, np.full(shells, ambient)
    dt = 2e-4
    for _ in range(int(5 / dt)):
        flow = (np.concatenate([[core], t[:-1]]) - t) / gap
        skin = t[-1]
        out = (
            shed_W_per_m(skin - last * 3.0, ambient, found.outside_mm)
            if skin > ambient + 5
            else 0.0
        )
        core += (
            dt
            * (amps**2 * found.ohm_per_m_20C * (234.5 + core) / 254.5 - flow[0])
            / (3.45e6 * 0.5e-6)
        )
        t = t + dt * (flow - np.concatenate([flow[1:], [out]])) / heat
    assert temperature_after_C(found, amps, 5, ambient, ambient) == pytest.approx(core, abs=3)


def test_adiabatic_rows_of_iec() -> None:
    """IEC 60364-4-43 table 43A: copper, PVC 70 to 160 C k = 115; XLPE 90 to 250 C k = 143 (from memory)."""
    assert round(adiabatic_k(70, 160)) == 115
    assert round(adiabatic_k(90, 250)) == 143


def test_the_constant_226_is_the_heat_of_copper() -> None:
    """IEC 60853 heat capacity, IEC 60028 resistivity: sqrt(254.5 x 3.45e6 / 1.7241e-8) A s^0.5/m2 is 226 per mm2."""
    assert math.sqrt(254.5 * 3.45e6 / 1.7241e-8) / 1e6 == pytest.approx(226, rel=2e-3)


@given(st.sampled_from(["0.35", "0.5", "1", "2.5"]), st.floats(1, 5), st.floats(5, 25))
def test_no_heat_lost_is_the_upper_bound(size: str, seconds: float, per_mm2: float) -> None:
    """A wire that sheds heat stays below one that does not, its own greatest resistance counted in both."""
    found = cable(size)
    amps = per_mm2 * found.area_mm2
    over_nominal = found.ohm_per_m_20C * found.area_mm2 / 0.017241
    bound = adiabatic_temperature_C(amps**2 * seconds * over_nominal, found.area_mm2, 60)
    assert 60 <= temperature_after_C(found, amps, seconds, 60, 60) <= bound + 0.05


def test_onderdonk_is_the_same_law() -> None:
    """Onderdonk, copper from 25 to 1083 C, 1 mm2 for 1 s: 289 A (worked from the published form)."""
    assert adiabatic_k(25, 1083) == pytest.approx(289, rel=0.01)


def test_bundle_factor_belongs_to_its_condition() -> None:
    """DIN VDE 0298-4 table 26; between rows the larger bundle's, above the table none."""
    assert bundle_factor(10)[0] == 0.55
    assert bundle_factor(11)[0] == 0.50
    assert bundle_factor(1)[0] == 1.0
    assert "VDE 0298-4" in bundle_factor(10)[1]
    for wrong in (0, -1, 62, 2.5):
        with pytest.raises(OutOfRange, match="1 to 61"):
            bundle_factor(wrong)  # type: ignore[arg-type]


def test_answer_of_the_command_form() -> None:
    single = size_ampacity("0.5", "thin", 23, 105)
    ten = size_ampacity("0.5", "thin", 23, 105, 10)
    assert ten.answer.value == pytest.approx(0.55 * single.number("ampacity"))
    assert any("free air" in line for line in single.assumptions)


@pytest.mark.parametrize(
    ("ambient", "limit"), [(105, 105), (120, 105), (200, 300), (23, 500), (-100, 85)]
)
def test_absurd_temperatures_are_refused(ambient: float, limit: float) -> None:
    with pytest.raises(OutOfRange):
        size_ampacity("0.5", "thin", ambient, limit)


def test_a_current_that_melts_copper_has_no_temperature() -> None:
    with pytest.raises(OutOfRange, match="melt"):
        steady_temperature_C(cable("0.5"), 200, 23)


@pytest.mark.parametrize("row", published("vde_ambient"), ids=lambda r: str(r["ambient_C"]))
def test_ambient_factors_of_vde(row: dict[str, float]) -> None:
    """DIN VDE 0298-4 ambient factors, PVC at 70 C, are sqrt((70 - Ta)/40); ours part from them by under 3 %."""
    found = cable("1.5")
    assert ampacity_amps(found, 70, row["ambient_C"]) / ampacity_amps(
        found, 70, 30
    ) == pytest.approx(row["factor"], rel=0.03)
    assert math.sqrt((70 - row["ambient_C"]) / 40) == pytest.approx(row["factor"], abs=0.006)


@pytest.mark.parametrize(
    "row", table("ampacity.toml").sections["protector_11_3"], ids=lambda r: r["gauge"]
)
def test_the_faa_chart_lies_within_what_a_single_wire_stands(row: dict[str, float]) -> None:
    """AC 43.13-1B table 11-3, a conservative guide: its fuse never exceeds a single wire's steady current at 105 C in 30 C."""
    found = cable(f"{row['gauge']} AWG")
    if found.outside_mm is not None:
        assert row["fuse_amps"] <= ampacity_amps(found, 105, 30)
