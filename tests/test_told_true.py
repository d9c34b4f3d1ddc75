"""What sizing must not leave unsaid: heat, bundles, leaflets, hot fuses, and whose figure it is."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from sheet_cases import demo_given

from wiremap.base import Finding, Severity
from wiremap.check import check
from wiremap.content.compose import compose
from wiremap.content.grouped import grouped
from wiremap.content.pieces import Ledger
from wiremap.sizing.air import EMISSIVITY, KELVIN, air_nusselt, shed_share
from wiremap.sizing.ampacity import size_ampacity
from wiremap.sizing.bundle import size_bundle
from wiremap.sizing.bundled import bundle_factor
from wiremap.sizing.circuit import near_end_amps, plain_circuit
from wiremap.sizing.conductor import cable
from wiremap.sizing.drop import drop_volts, size_drop
from wiremap.sizing.fuse import size_fuse
from wiremap.sizing.fuse_judge import Against, low_objections
from wiremap.sizing.fuse_limits import asked_amps, held_share
from wiremap.sizing.gauges import size_conductor
from wiremap.sizing.heat import ampacity_amps, steady_temperature_C
from wiremap.sizing.sized import OutOfRange
from wiremap.sizing.stagger import size_stagger
from wiremap.sizing.stations import Window

DEMO = Path(__file__).resolve().parents[1] / "pinouts_demo"


@pytest.mark.parametrize(
    ("amps", "metres", "ambient", "limit"),
    [(30, 0.5, None, 85), (15, 4, 60, 85), (3, 2, 40, 85), (60, 0.5, 80, 105), (80, 1, None, 125)],
)
def test_a_size_for_the_drop_carries_its_current(
    amps: float, metres: float, ambient: float | None, limit: float
) -> None:
    """Each named size stays within its insulation's limit, and loses what it may as warm as it runs."""
    sized = size_drop("10", metres * 1000, amps, 12, ambient_C=ambient, limit_C=limit)
    air = 20 if ambient is None else ambient
    for name in ("critical", "other"):
        wire = cable(f"{sized.number(f'size_{name}'):g}")
        at = steady_temperature_C(wire, amps, air)
        assert ampacity_amps(wire, limit, air) >= amps and at <= limit
        lost = drop_volts(amps, metres, wire.ohm_per_m(at))
        assert lost <= sized.number(f"allowed_{name}")


@pytest.mark.parametrize(
    ("size", "metres", "amps", "ambient", "told"),
    [
        ("0.35", 0.5, 30, None, "30 A in 20 C brings a 0.35 mm2 wire to 597 C, beyond"),
        ("0.75", 4, 15, 60, "15 A in 60 C brings a 0.75 mm2 wire to 108 C, beyond"),
        ("0.22", 0.1, 90, None, "90 A in 20 C would melt a 0.22 mm2 wire"),
    ],
)
def test_a_drop_tells_of_a_wire_that_is_too_hot(
    size: str, metres: float, amps: float, ambient: float | None, told: str
) -> None:
    """Worked apart with the ht library's correlation: 597 and 107.5 C."""
    sized = size_drop(size, metres * 1000, amps, 60, ambient_C=ambient)
    assert sized.cautions[0].startswith(told)
    assert not size_drop("2.5", 500, 5, 12).cautions


def test_a_size_that_there_is_not_is_told() -> None:
    """Nothing keeps 85 C in 90 C, nor at a conductor stated hotter."""
    for sized in (
        size_drop("0.5", 2000, 5, 12, ambient_C=90),
        size_drop("0.5", 2000, 5, 12, temperature_C=105),
    ):
        assert "no ISO size keeps 0.36 V and runs within 85 C" in sized.cautions
        assert not sized.has("size_critical")
    assert "the stated 105 C is beyond the insulation's 85 C" in sized.cautions


def test_a_short_load_is_told_where_nothing_is_tabled_for_it() -> None:
    told = "`intermittent` changes nothing at 12 V: it is tabled for 14 and 28 V alone"
    assert told in size_drop("2.5", 500, 5, 12, intermittent=True).cautions
    assert not size_drop("2.5", 500, 5, 14, intermittent=True).cautions


def test_a_temperature_is_that_of_the_bundle() -> None:
    """Four loaded wires keep 0.66 of a single one's current: 13.5 A warm them as 20.45 A a single wire."""
    sized = size_ampacity("0.5", "thin", 60, 85, 4, amps=13.5, seconds=600)
    alone = steady_temperature_C(cable("0.5"), 13.5 / bundle_factor(4).factor, 60)
    assert sized.number("temperature") == pytest.approx(alone) == pytest.approx(211.1, abs=0.1)
    assert sized.number("temperature_after") == pytest.approx(alone, abs=0.5)
    assert "211 C, beyond its insulation's 85 C: among 4 loaded wires" in sized.cautions[0]


def test_what_is_carried_within_the_limit_is_no_caution() -> None:
    most = size_ampacity("0.5", "thin", 60, 85, 4).number("ampacity")
    assert not size_ampacity("0.5", "thin", 60, 85, 4, amps=most).cautions
    assert size_ampacity("0.5", "thin", 60, 85, 4, amps=most * 1.001).cautions


def test_the_printed_formula_gives_the_printed_current() -> None:
    """25 mm2 sheds a share of the correlation's heat alone; the formula names it."""
    sized = size_ampacity("25", "thin", 30, 70)
    share = re.search(r"= ([\d.]+) pi D", sized.answer.formula)
    assert share is not None and float(share[1]) == pytest.approx(shed_share(8.7), abs=5e-4)
    skin = sized.number("surface_temperature") + KELVIN
    ambient, metres = 30 + KELVIN, 8.7e-3
    air = air_nusselt(skin, ambient, metres)
    convection = air.nusselt * air.conductivity / metres * (skin - ambient)
    radiation = EMISSIVITY * 5.670374419e-8 * (skin**4 - ambient**4)
    heat = float(share[1]) * math.pi * metres * (convection + radiation)
    amps = math.sqrt(heat / cable("25").ohm_per_m(70))
    assert amps == pytest.approx(sized.number("ampacity"), rel=2e-3)
    assert "= pi D" in size_ampacity("0.5").answer.formula


@pytest.mark.parametrize(("size", "solid"), [("18 AWG", True), ("SAE 18", True), ("0.75", False)])
def test_a_gauge_says_that_its_resistance_is_of_solid_copper(size: str, solid: bool) -> None:
    for sized in (size_conductor(size), size_drop(size, 1000, 1, 12)):
        words = " ".join(sized.assumptions)
        assert ("strands lie 2 to 8 % above" in words) == solid
        assert ("greatest resistance of the cable's standard" in words) != solid


def test_twenty_equal_wires_take_the_trade_rule() -> None:
    """The best known packing of 20 is 5.122 wide, the rule 5.367: nothing asks for more."""
    sized = size_bundle([2.0] * 20)
    assert sized.number("bundle_diameter") == pytest.approx(2 * 1.2 * math.sqrt(20))


@pytest.mark.parametrize("wires", range(20, 41))
def test_equal_wires_beyond_nineteen_need_no_more_than_the_rule(wires: int) -> None:
    assert size_bundle([1.0] * wires).number("bundle_diameter") == pytest.approx(
        1.2 * math.sqrt(wires)
    )


def test_no_joint_lies_under_a_tie() -> None:
    """Common practice: half a sleeve is kept clear at each end, as in a job's own layout."""
    sized = size_stagger(Window(100, 100, 100), 2, sleeve_mm=29)
    assert sized.get("places").value == "15, 85"
    wider = size_stagger(Window(100, 100, 100), 2, sleeve_mm=29, edge_mm=0)
    assert any("may lie under a tie" in caution for caution in wider.cautions)


def test_less_load_is_no_help_against_an_inrush() -> None:
    found = plain_circuit("0.5", 2000, 12, 3, source_ohms=0.02)
    peak = replace(found, inrush_amps=30.0, inrush_s=0.1)
    assert {each.kind for each in low_objections(10, peak)} == {Against.INRUSH}
    assert not any("for a load of at most" in cure for cure in size_fuse(peak).cure)
    heavy = replace(found, load_amps=12.0)
    assert "10 A would do for a load of at most 7.5 A" in size_fuse(heavy).cure


def test_a_leaflet_is_refused_where_the_wire_burns() -> None:
    """15 A before 0.5 mm2 flow as 20.25 A for 600 s, which bring it to 171 C."""
    found = plain_circuit("0.5", 2000, 12, 3, source_ohms=0.02)
    sized = size_fuse(found, leaflet_amps=15)
    assert not sized.found and "would reach 171 C" in sized.why
    assert sized.cure[0].startswith("a 0.75 mm2 wire would stand 15 A (")
    assert size_fuse(found, leaflet_amps=5).answer.value == 5


def test_a_fuse_in_a_place_beyond_its_source_is_refused() -> None:
    """Where only the wires' surroundings are known: the one curve read, 25 of 40 A at 110 C, 22 at 125 C."""
    found = plain_circuit("0.5", 2000, 12, 3, source_ohms=0.02)
    with pytest.raises(OutOfRange, match="-40 to 85 C"):
        size_fuse(replace(found, fuse_ambient_C=120.0))
    assert size_fuse(replace(found, fuse_ambient_C=85.0)).found
    assert [held_share(c) for c in (85, 110, 125, 140)] == pytest.approx(
        [0.9, 25 / 40, 22 / 40, 0.475]
    )
    assert held_share(85.001) == pytest.approx(30 / 40, abs=1e-4)
    assert 0 < held_share(300) < 1e-6
    hot = size_fuse(replace(found, ambient_C=100.0, limit_C=125.0))
    assert any("known for 100 C" in caution for caution in hot.cautions)


def test_a_short_is_fed_by_the_greatest_volts_that_were_stated() -> None:
    """14.4 V over 13 milliohm are 1108 A, beyond a blade's 1000 A; a battery's 12.9 V are 992 A."""
    stated = plain_circuit("0.5", 2000, 12, 3, source_ohms=0.013, max_volts=14.4)
    assert near_end_amps(stated) == pytest.approx(14.4 / 0.013)
    assert "1108 A" in size_fuse(stated).why
    unstated = plain_circuit("0.5", 2000, 12, 3, source_ohms=0.013)
    assert near_end_amps(unstated) == pytest.approx(12.9 / 0.013) and size_fuse(unstated).found


def test_a_drop_names_the_amps_that_its_volts_belong_to(tmp_path: Path) -> None:
    """The gateway's ground made 30 m: what all its contacts draw, 0.6 A, comes back on it.

    Ohm's law over 30 m at the greater current gives nearly all the volts named, at the lesser not.
    """
    for path in DEMO.glob("*.yaml"):
        text = path.read_text("utf-8").replace(
            "G1], wire: 0.5 BN, length_mm: 300}", "G1], wire: 0.5 BN, length_mm: 30000}"
        )
        (tmp_path / path.name).write_text(text, "utf-8")
    report = check([tmp_path / "job.yaml"])
    finding = next(f for f in report.findings if f.rule.startswith("voltage-drop"))
    amps = re.search(r"at 0.15 to ([\d.]+) A", finding.message)
    volts = re.search(r"it is ([\d.]+) V", finding.message)
    assert amps and volts
    lost = 30 * cable("0.5").ohm_per_m(60) * float(amps[1])
    assert 0.95 * float(volts[1]) <= lost <= float(volts[1])


def test_the_annex_names_the_wire_that_its_figures_are_of() -> None:
    """Of the demo's feed the thin leg to donor.3 is judged: a 0.5 mm2 wire, not the loom's 0.75."""
    section = next(s for s in compose(demo_given(), ["sources"]).sections if s.key == "sources")
    rows = [row for block in section.blocks if isinstance(block, Ledger) for row in block.rows]
    stands = [row for row in rows if row[0].startswith("withstand i2t") and "loom.1" in row[0]]
    assert stands and all("its wire at donor.3" in row[0] for row in stands)


def test_findings_that_are_unlike_are_not_merged() -> None:
    """The limit of one bit rate is not told of a pair of another."""
    found = [
        Finding("untwisted", Severity.CAUTION, "m", ("a",), alike="250 kbit/s"),
        Finding("untwisted", Severity.CAUTION, "m", ("b",), alike="500 kbit/s"),
        Finding("untwisted", Severity.CAUTION, "m", ("c",), alike="250 kbit/s"),
    ]
    assert [group.others for group in grouped(found)] == [("c",), ()]
    bad = check([Path(__file__).parent / "cases" / "untwisted" / "bad.yaml"]).findings
    assert next(f for f in bad if f.rule == "untwisted").alike.endswith("kbit/s")


def test_a_fuse_just_too_small_is_told_in_amps_that_differ() -> None:
    """Rounded to three digits both would read 7.2 A."""
    found = plain_circuit("1.0", 2000, 12, 7.2, source_ohms=0.02)
    rating = asked_amps(7.2, found.fuse_at_C) * 0.9999
    (said,) = (each.text for each in low_objections(rating, found) if each.kind is Against.LOAD)
    told = re.match(r"([\d.]+) A of load is more than the ([\d.]+) A", said)
    assert told is not None
    load, carried = map(float, told.groups())
    assert carried < load == 7.2
