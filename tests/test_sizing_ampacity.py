"""The heat balance against a textbook, cable standards' columns and finer integrations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from published import published
from scipy.integrate import solve_ivp

from wiremap.sizing.air import (
    EMISSIVITY,
    INSULATION_W_PER_MK,
    air_nusselt,
    shed_share,
    shed_W_per_m,
)
from wiremap.sizing.ampacity import size_ampacity
from wiremap.sizing.bundle import bundle_mm
from wiremap.sizing.bundled import bundle_factor
from wiremap.sizing.conductor import Cable, cable, outside_mm
from wiremap.sizing.heat import (
    adiabatic_k,
    adiabatic_temperature_C,
    ampacity_amps,
    insulation_Km_per_W,
    steady_temperature_C,
)
from wiremap.sizing.sized import OutOfRange
from wiremap.sizing.transient import heat_nodes_J_per_Km, temperature_after_C
from wiremap.trade.tables import Row, table


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


def test_the_steam_pipe_of_the_textbook() -> None:
    """Incropera and DeWitt, example 9.4 (from memory): a bare pipe of 0.1 m at 165 C in 23 C.

    Printed: Nu 23.3, 347 W/m by convection, 441 W/m radiated at an emissivity of 0.85.
    """
    assert air_nusselt(438, 296, 0.1).nusselt == pytest.approx(23.3, rel=0.01)
    printed = 347 + 441 * EMISSIVITY / 0.85
    assert shed_W_per_m(165, 23, 100) / shed_share(100) == pytest.approx(printed, rel=0.03)


def test_the_worked_example_of_the_faa() -> None:
    """AC 43.13-1B page 11-27: 14 AWG, 200 C in 50 C: 47 A in free air; 42.77 A at 20,000 ft.

    In a bundle of 8 at 60 % 25.66 A.  The wire's own row of table 11-9 (10.04 mohm/m), its
    diameters those of MIL strandings (from memory).  Ours from the safe side.
    """
    mil = wire(1.94, 1.70, 2.16, 10.04)
    free = ampacity_amps(mil, 200, 50)
    assert 0.90 * 47 <= free <= 47
    assert free * 0.91 * bundle_factor(8).factor <= 25.66


@pytest.mark.parametrize("row", published("cfr_183_5"), ids=lambda r: r["gauge"])
def test_two_wires_by_the_boat_law(row: Row) -> None:
    """33 CFR 183 table 5: two wires together, 105 C insulation, 30 C; met from the safe side."""
    together = bundle_factor(2).factor * ampacity_amps(cable(f"{row['gauge']} AWG"), 105, 30)
    assert 0.70 * row["amps"] <= together <= row["amps"]


COLUMN = table("ampacity.toml").sections["vde_free_air"]


@pytest.mark.parametrize("wall", ["thin", "thick"])
@pytest.mark.parametrize("row", COLUMN, ids=lambda r: str(r["csa_mm2"]))
def test_free_air_column_of_vde_is_met_from_the_safe_side(row: Row, wall: str) -> None:
    """DIN VDE 0298-4, single core in air, 70 C in 30 C: no ISO wire up to 25 mm2 is above it."""
    amps = ampacity_amps(cable(f"{row['csa_mm2']:g}", wall), 70, 30)
    assert 0.85 * row["most_amps"] <= amps <= row["most_amps"]


MULTICORE = [(row, cores) for row in published("vde_multicore") for cores in published("vde_26")]


@pytest.mark.parametrize(("row", "cores"), MULTICORE)
def test_bundles_by_vde_on_its_own_base(row: Row, cores: Row) -> None:
    """DIN VDE 0298-4: multi-core column x table 26, both printed; a bundle of single wires is less.

    15 % and more of slack: between its rows the tool takes the larger bundle's factor.
    """
    printed = row["amps"] * cores["factor"]
    single = ampacity_amps(cable(f"{row['csa_mm2']:g}", "thick"), 70, 30)
    assert 0.75 * printed <= single * bundle_factor(cores["wires"]).factor <= 1.02 * printed


@pytest.mark.parametrize("row", published("mil_5088l"), ids=lambda r: str(r["wires"]))
def test_bundles_by_mil_on_the_single_wire(row: Row) -> None:
    """MIL-W-5088L figure 4 at 100 %: never above it, and at most 10 % below."""
    assert 0.90 * row["factor"] <= bundle_factor(row["wires"]).factor <= row["factor"]


@pytest.mark.parametrize("limit", [(85, 23), (85, 60), (85, 80), (105, 70), (125, 23), (200, 50)])
@pytest.mark.parametrize("size", ["0.35", "0.75", "1.5", "4", "10", "25"])
def test_no_bundle_carries_more_than_perfect_conduction_inside_allows(
    size: str, limit: tuple[float, float]
) -> None:
    """Heat balance of the bundle as one cylinder at the limit: whatever lies between is hotter."""
    found = cable(size)
    single = ampacity_amps(found, *limit)
    for row in table("ampacity.toml").sections["bundle_factors"]:
        wires = row["wires"]
        across = bundle_mm((outside_mm(found),) * wires)
        heat = shed_W_per_m(limit[0], limit[1], across)
        most = math.sqrt(heat / (wires * found.ohm_per_m(limit[0])))
        assert bundle_factor(wires).factor * single <= most


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


def test_a_bundle_between_two_rows_takes_the_larger() -> None:
    """And one beyond the table, or that is no number of wires, is refused."""
    assert bundle_factor(11) == bundle_factor(12)._replace(condition=bundle_factor(11).condition)
    assert "row of 12 taken for 11" in bundle_factor(11).condition
    assert bundle_factor(1).factor == 1.0
    for wrong in (0, -1, 62, 2.5):
        with pytest.raises(OutOfRange, match="1 to 61"):
            bundle_factor(wrong)  # type: ignore[arg-type]


def test_the_answer_says_how_the_wire_lies() -> None:
    """Alone it is told that a bundle carries less; in one, what the factor is put on."""
    alone = size_ampacity("0.5", "thin", 23, 105)
    ten = size_ampacity("0.5", "thin", 23, 105, 10)
    assert any("free air" in line for line in alone.assumptions)
    assert any("single wire in free air" in line for line in ten.assumptions)
    assert ten.number("ampacity") == pytest.approx(0.44 * alone.number("ampacity"))


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
    """DIN VDE 0298-4 ambient factors, PVC at 70 C: ours part from them by under 3 %."""
    found = cable("1.5")
    assert ampacity_amps(found, 70, row["ambient_C"]) / ampacity_amps(
        found, 70, 30
    ) == pytest.approx(row["factor"], rel=0.03)


def test_no_insulation_is_sized_beyond_the_last_class() -> None:
    """ISO 6722 / ISO 19642 classes end at H, 250 C; plain copper at about 150."""
    with pytest.raises(OutOfRange, match="classes of ISO 6722"):
        size_ampacity("0.5", limit_C=400)
    assert any(
        "plain copper oxidises" in each for each in size_ampacity("0.5", limit_C=200).cautions
    )
    assert size_ampacity("0.5", limit_C=150).cautions == ()


def test_a_published_figure_is_shown_only_where_it_holds() -> None:
    """DIN VDE 0298-4: 19 A of 1 mm2 alone in 30 C; in 80 C or in a bundle that misleads."""
    assert size_ampacity("1", ambient_C=30, limit_C=70).has("vde_free_air")
    assert not size_ampacity("1", ambient_C=80, limit_C=85).has("vde_free_air")
    assert not size_ampacity("1", ambient_C=30, limit_C=70, bundle=30).has("vde_free_air")
