"""Voltage drop and short-circuit current against the FAA's worked rows and a circuit simulator."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sizing_jobs import spreader

from wiremap.graph import resistance_ohms
from wiremap.model import Fed, Supply, frozen
from wiremap.sizing.conductor import awg_area_mm2, cable, constant, copper_ratio
from wiremap.sizing.drop import drop_volts, size_drop
from wiremap.sizing.feed_parts import drop_limits
from wiremap.sizing.job import size_job
from wiremap.sizing.sized import OutOfRange

M_PER_FT = 0.3048


@pytest.mark.parametrize(
    ("feet", "gauge", "printed"),
    [(107, "6", 0.942), (90, "4", 0.504), (100, "14", 6.12), (88, "12", 3.555)],
)
def test_rows_of_faa_table_11_7(feet: float, gauge: str, printed: float) -> None:
    """FAA AC 43.13-1B table 11-7 at 20 A; the 12 AWG row prints 3.60, which rounds its own 3.555 up."""
    ohms = cable(f"{gauge} AWG").ohm_per_m_20C
    assert drop_volts(20, feet * M_PER_FT / 2, ohms) == pytest.approx(printed, rel=2e-3)


def test_faa_example_one_takes_the_next_larger_gauge() -> None:
    """AC 43.13-1B par 11-68: 20 A, 50 ft with the return, 28 V: 10 AWG loses 1.26 V > 1 V, 8 AWG 0.70 V."""
    ten = size_drop("10 AWG", 25 * M_PER_FT * 1000, 20, 28)
    eight = size_drop("8 AWG", 25 * M_PER_FT * 1000, 20, 28)
    assert ten.answer.value == pytest.approx(1.26, abs=0.005)
    assert eight.answer.value == pytest.approx(0.70, abs=0.005)
    assert ten.number("allowed_aircraft") == 1.0


def test_the_cable_governs_not_its_nominal_area() -> None:
    """12 V, 5 A, 4 m and back, 3 %: copper alone asks for 1.916 mm2, yet 2 mm2 by ISO 6722-1 loses 0.377 V: 2.5 it is."""
    copper = constant("resistivity_20C")
    assert drop_volts(5, 4, copper / 1.916) == pytest.approx(0.36, abs=1e-4)
    assert drop_volts(5, 4, cable("2").ohm_per_m_20C) == pytest.approx(0.377, abs=5e-4)
    assert size_drop("1", 4000, 5, 12).number("size_critical") == 2.5
    assert size_drop("2.5", 4000, 5, 12).answer.value == pytest.approx(0.304, abs=5e-4)


def test_circular_mil_formula_is_the_same_law() -> None:
    """CM = K I L / E with K 10.75 ohm cmil/ft is copper at 29.3 C."""
    mils = 10.75 * 5 * 8 / M_PER_FT / 0.36
    copper = constant("resistivity_20C") * copper_ratio(29.3)
    assert drop_volts(5, 4, copper * 1973.53 / mils) == pytest.approx(0.36, rel=1e-3)


def test_the_answer_of_the_command_form() -> None:
    sized = size_drop("1", 4000, 5, 12)
    assert sized.answer.value == pytest.approx(2 * 4 * 5 * 0.0185)
    assert sized.number("drop_percent") == pytest.approx(6.1667, abs=1e-3)
    assert sized.number("size_critical") == 2.5
    assert size_drop("1", 4000, 5, 12, ambient_C=60).answer.value > sized.answer.value * 1.15


def test_an_impossible_current_has_no_answer_but_a_reason() -> None:
    sized = size_drop("0.35", 100_000, 10, 12)
    assert not sized.found
    assert "cannot flow" in sized.why


@pytest.mark.parametrize(
    "wrong",
    [
        {"volts": 0},
        {"volts": 61},
        {"amps": 0},
        {"amps": 5000},
        {"length_mm": 0},
        {"length_mm": 1e9},
        {"size": "1000"},
        {"volts": float("nan")},
    ],
)
def test_absurd_inputs_are_refused_with_their_range(wrong: dict[str, object]) -> None:
    given_ = {"size": "1", "length_mm": 4000.0, "amps": 5.0, "volts": 12.0, **wrong}
    with pytest.raises(OutOfRange, match=r"from|above|most"):
        size_drop(**given_)  # type: ignore[arg-type]


@given(st.floats(0.01, 100), st.floats(0.01, 50), st.floats(1e-4, 0.2))
def test_drop_is_linear_in_current_and_length(amps: float, metres: float, ohms: float) -> None:
    assert drop_volts(2 * amps, metres, ohms) == pytest.approx(drop_volts(amps, 2 * metres, ohms))


def test_gauges_lose_more_by_one_number_than_by_none() -> None:
    assert awg_area_mm2(21) < awg_area_mm2(20)


# -- the circuit simulator ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("percent", "weight"),
    [(4.99, "fine"), (5.0, "fine"), (5.01, "caution"), (10.0, "caution"), (10.01, "stop")],
)
def test_what_a_job_adds_is_signed_above_5_percent_and_stops_above_10(
    percent: float, weight: str
) -> None:
    """Common practice: the machine's own loom is told beside it and not counted."""
    assert drop_limits(Supply()).weigh(percent) == weight


def test_a_job_may_state_what_its_drop_may_be() -> None:
    """A limit to be signed above the one that stops is that one."""
    assert drop_limits(Supply(drop_percent=2, drop_stop_percent=4)) == (2, 4)
    assert drop_limits(Supply(drop_percent=20)) == (10, 10)
    mild = size_job(spreader(supply=Supply(volts=12, min_volts=9, max_volts=15, drop_percent=0.5)))
    assert "caution" in {drop.weight for drop in mild.feed("loom.1").drops}


def test_the_looms_own_share_is_not_the_jobs() -> None:
    """The same adapter on a loom five times as long adds no more; without its length as much."""
    added = []
    for length in (4000.0, 20000.0, None):
        fed = Fed(cavity="1", fuse="F7", fuse_amps=5, milliohm=20, length_mm=length)
        harness = spreader()
        loom = replace(harness.job.ends["loom"], fed=frozen({"1": fed}))
        found = size_job(spreader(ends=frozen({**harness.job.ends, "loom": loom})))
        added.append(max(drop.added_percent for drop in found.feed("loom.1").drops))
    assert added[0] == pytest.approx(added[1], rel=1e-3)
    assert 0.8 * added[0] < added[2] < 3 * added[0]


needs_ngspice = pytest.mark.skipif(
    shutil.which("ngspice") is None,
    reason="ngspice is not installed: the comparison with a circuit simulator is left out",
)


def spice(lines: list[str], node: str) -> float:
    """The DC operating point's voltage of one node."""
    deck = "\n".join(
        [
            "network",
            *lines,
            ".control",
            "set numdgt=12",
            "op",
            f"print v({node})",
            ".endc",
            ".end",
            "",
        ]
    )
    out = subprocess.run(
        ["ngspice", "-b"], input=deck, capture_output=True, text=True, timeout=60, check=False
    ).stdout
    found = re.search(rf"v\({node}\) = ([-+0-9.eE]+)", out)
    assert found, out
    return float(found[1])


def way_deck(stretches, start: str, end: str, tag: str) -> list[str]:  # type: ignore[no-untyped-def]
    lines, node = [], start
    for i, s in enumerate(stretches):
        after = end if i == len(stretches) - 1 else f"{tag}{i}"
        lines.append(f"R{tag}{i} {node} {after} {max(s.ohms_20C, 1e-9):.12g}")
        node = after
    return lines


@needs_ngspice
def test_drop_with_two_parallel_ground_legs_against_ngspice() -> None:
    """Two loads, two supply legs, two ground legs on one joint, one loom out and one back."""
    feed = size_job(spreader(f1=2.0)).feed("loom.1")
    small, large = sorted(feed.drops, key=lambda d: d.amps)
    shared = [s for s in large.out if s.amps == feed.load_amps]
    legs = {d.load: [s for s in d.out if s.amps != feed.load_amps] for d in (small, large)}
    deck = ["V1 bat 0 12", *way_deck(shared, "bat", "j", "s")]
    for tag, drop in (("a", small), ("b", large)):
        deck += way_deck(legs[drop.load], "j", f"load{tag}", tag)
    back = [s for s in large.back if s.kind != "loom"]
    thin = {"a": cable("0.5"), "b": cable("1")}
    for tag, drop in (("a", small), ("b", large)):
        deck += [
            f"Rg{tag} gnd{tag} gj {0.4 * thin[tag].ohm_per_m_20C + 0.010 + 0.0005:.12g}",
            f"I{tag} load{tag} gnd{tag} {drop.amps}",
        ]
    loom = next(s for s in large.back if s.kind == "loom")
    deck.append(f"Rl gj 0 {loom.ohms_20C:.12g}")
    assert {s.kind for s in back} >= {"contact", "conductor"}
    lost = 12 - (spice(deck, "loadb") - spice(deck, "gndb"))
    assert large.sized.number("drop_20C") == pytest.approx(lost, rel=2e-3)


@needs_ngspice
def test_grounds_side_by_side_against_ngspice() -> None:
    """The same with the unit's two grounds tied together inside, so that the current parts by resistance."""
    feed = size_job(spreader(f1=2.0)).feed("loom.1")
    large = max(feed.drops, key=lambda d: d.amps)
    out = sum(s.volts_20C for s in large.out)
    deck = [f"I1 0 unit {feed.load_amps}"]
    for tag, size in (("a", "0.5"), ("b", "1")):
        deck += [
            f"Rc{tag} unit c{tag} 0.010",
            f"Rw{tag} c{tag} gj {0.4 * cable(size).ohm_per_m_20C:.12g}",
        ]
    deck.append(f"Rl gj 0 {4 * cable('0.75').ohm_per_m_20C + 0.001:.12g}")
    assert large.sized.number("drop_20C_grounds_together") == pytest.approx(
        out + spice(deck, "unit"), rel=1e-6
    )


@needs_ngspice
@pytest.mark.parametrize(
    "grounds",
    [[(0.04, 0.02)], [(0.04, 0.02), (0.08, 0.001)], [(0.1, 0.0), (0.03, 0.2), (0.06, 0.01)]],
)
def test_short_circuit_current_with_grounds_in_parallel_against_ngspice(
    grounds: list[tuple[float, float]],
) -> None:
    """A bolted far-end short: source, wire out, then one to three returns with a bridge between the first two."""
    edges = [("bat", "p", 0.020), ("p", "far", 2 * cable("0.5").ohm_per_m(85))]
    for i, (wire, stud) in enumerate(grounds):
        edges += [("far", f"g{i}", wire), (f"g{i}", "0", stud + 1e-4)]
    if len(grounds) > 1:
        edges.append(("g0", "g1", 0.05))
    deck = [
        "V1 src 0 9",
        "Vm src bat 0",
        *(f"R{i} {a} {b} {r:.12g}" for i, (a, b, r) in enumerate(edges)),
    ]
    through = (9 - spice(deck, "p")) / 0.020
    assert 9 / resistance_ohms(edges, "bat", "0") == pytest.approx(through, rel=1e-6)


@needs_ngspice
def test_far_end_short_of_a_job_against_ngspice() -> None:
    """The current that the fuse is judged by: lowest volts, copper at its limit, one ground leg and the loom back."""
    feed = size_job(spreader(f1=2.0)).feed("loom.1")
    thin = next(j for j in feed.judged if j.subject == "donor.3")
    hot = {s: cable(s).ohm_per_m(85) for s in ("0.5", "0.75", "1")}
    deck = [
        "V1 b 0 9",
        "Rs b f 0.020",
        f"Rl f j {4 * hot['0.75'] + 0.001:.12g}",
        f"Rd j far {0.4 * hot['0.5']:.12g}",
        f"Rk far g {0.010 + 0.4 * hot['0.5']:.12g}",
        f"Rb g 0 {4 * hot['0.75'] + 0.001:.12g}",
    ]
    through = (9 - spice(deck, "f")) / 0.020
    assert thin.far_end_amps == pytest.approx(through, rel=5e-3)


def test_the_verdict_is_of_the_wire_as_warm_as_it_runs() -> None:
    """1.5 mm2, 4.7 m, 10 A, 12 V: 10 x 9.4 x 12.7 mohm/m are 1.194 V at 20 C (9.95 %); at the 30 C it
    settles at x 264.5/254.5 = 1.241 V, over the tenth.
    """
    sized = size_drop("1.5", 4700, 10, 12)
    assert sized.number("drop_running") == pytest.approx(
        10 * 9.4 * 0.0127 * 264.5 / 254.5, rel=2e-3
    )
    assert "10.3 % is over 10 %, the most for any circuit" in sized.cautions


def test_a_current_the_warm_wire_does_not_pass_has_no_answer() -> None:
    """0.5 mm2, 5 m, 30 A: 11.1 V of 12 at 20 C, more than the supply has once it is warm."""
    sized = size_drop("0.5", 5000, 30, 12)
    assert not sized.found and "cannot flow" in sized.why and "373 C it runs at" in sized.why
