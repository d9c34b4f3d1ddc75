"""Joints, sleeves, bundles and stagger, against geometry, published rows and brute force."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published import published

from wiremap.sizing.bundle import (
    bundle_mm,
    densest_factor,
    hull_equivalent_mm,
    root_sum_mm,
    size_bundle,
)
from wiremap.sizing.conductor import cable
from wiremap.sizing.fuse_limits import gates, ratings
from wiremap.sizing.joint import KINDS, barrels, size_joint, splice
from wiremap.sizing.sized import OutOfRange
from wiremap.sizing.sleeve import cut_mm, fit, rule, size_sleeve, sleeves
from wiremap.sizing.stagger import lengths_to_cut, plain_groups, size_stagger
from wiremap.sizing.stations import JointGroup, Window, lay_out, schedule, stations_in
from wiremap.trade.tables import table

# -- bundles --------------------------------------------------------------------------------------------


def test_two_wires_are_never_narrower_than_side_by_side() -> None:
    """1.2 sqrt(sum d2) gives 3.46 mm for 1.6 and 2.4: geometry says 4.0."""
    sized = size_bundle([1.6, 2.4])
    assert sized.answer.value == pytest.approx(4.0)
    assert sized.number("trade_rule") == pytest.approx(3.461, abs=5e-4)


@pytest.mark.parametrize(
    "row", table("bundles.toml").sections["densest"], ids=lambda r: str(r["wires"])
)
def test_equal_wires_never_below_the_densest_packing(row: dict[str, float]) -> None:
    """Densest packings of equal circles in a circle (geometry literature); three is 1 + 2/sqrt 3 by hand."""
    n = int(row["wires"])
    assert bundle_mm((1.0,) * n) >= row["diameters"] - 5e-4
    assert bundle_mm((1.0,) * n) <= max(row["diameters"], 1.2 * math.sqrt(n)) + 1e-3
    assert densest_factor(3) == pytest.approx(1 + 2 / math.sqrt(3), abs=1e-3)


@pytest.mark.parametrize("row", published("trade"), ids=lambda r: str(r["wires"]))
def test_trade_factors_lie_close(row: dict[str, float]) -> None:
    """A cable distributor's factors; its 4.00 for 8 plus one and for 12 are its own (12 lies below the exact 4.03)."""
    ours = bundle_mm((1.0,) * int(row["wires"]))
    assert ours == pytest.approx(row["diameters"], rel=0.11)


def test_three_unlike_wires_by_the_kissing_circle_theorem() -> None:
    """Descartes: the circle round three touching ones has curvature k1+k2+k3 - 2 sqrt(k1k2+k2k3+k3k1)."""
    k = [2 / d for d in (3.0, 2.5, 2.0)]
    curvature = sum(k) - 2 * math.sqrt(k[0] * k[1] + k[1] * k[2] + k[2] * k[0])
    assert bundle_mm((3.0, 2.5, 2.0)) >= -2 / curvature - 1e-6
    assert bundle_mm((3.0, 2.5, 2.0)) == pytest.approx(
        max(-2 / curvature, root_sum_mm((3.0, 2.5, 2.0))), rel=1e-3
    )


@settings(max_examples=30)
@given(st.lists(st.floats(0.8, 6), min_size=2, max_size=8))
def test_a_bundle_holds_its_wires(ds: list[float]) -> None:
    found = bundle_mm(tuple(ds))
    top = sorted(ds)[-2:]
    assert found >= sum(top) - 1e-9
    assert found >= math.sqrt(sum(d * d for d in ds)) - 1e-9
    assert found >= root_sum_mm(ds) - 1e-9


def test_a_soft_sleeve_round_two_wires() -> None:
    """Hull perimeter over pi: d (1 + 2/pi) for two equal wires; a hair beside a wire adds nothing."""
    assert hull_equivalent_mm(2, 2) == pytest.approx(2 * (1 + 2 / math.pi))
    assert hull_equivalent_mm(2, 1e-9) == pytest.approx(2, abs=1e-3)


@pytest.mark.parametrize(
    ("size", "newtons"),
    [
        ("26 AWG", 13.4),
        ("20 AWG", 57.9),
        ("18 AWG", 89.0),
        ("14 AWG", 222.5),
        ("10 AWG", 356.0),
        ("0.22", 28.0),
        ("0.35", 40.0),
        ("0.5", 60.0),
        ("0.75", 85.0),
        ("1", 108.0),
        ("1.5", 150.0),
        ("2.5", 230.0),
        ("4", 310.0),
        ("6", 360.0),
    ],
)
def test_pull_off_as_its_source_prints_it(size: str, newtons: float) -> None:
    """Gauges: UL 486A style, a terminal maker's two specifications (read).

    Metric: IEC 60352-2 (from memory).  A joint holds what its thinnest wire's crimp does.
    """
    told = size_joint(cables(size), cables(size), "lap-solder").get("pull_off")
    assert told.value == newtons
    read = size.endswith("AWG")
    assert told.status == ("read" if read else "from memory, unverified")


@pytest.mark.parametrize("gauge", [22, 18, 14])
def test_pull_off_of_gauges_is_108_newtons_a_square_millimetre(gauge: int) -> None:
    """The commercial column over the area by ASTM B258, by hand: 109, 108 and 107 N/mm2."""
    wire = cable(f"{gauge} AWG")
    told = size_joint([wire], [wire], "lap-solder").number("pull_off")
    assert told / wire.area_mm2 == pytest.approx(108, rel=0.015)


def test_a_large_blade_is_judged_by_its_own_limits() -> None:
    """ISO 8820-3 type E: 1.35 x for up to 1800 s, and no 5 A in the series."""
    assert 5.0 not in ratings("large-blade") and 50.0 in ratings("large-blade")
    assert gates(50, "large-blade")[0].most_s == 1800


# -- sleeves --------------------------------------------------------------------------------------------


@given(st.floats(0.5, 30), st.floats(0.3, 30), st.booleans())
def test_a_sleeve_fits_both_ways_or_there_is_none(over: float, grip: float, wet: bool) -> None:
    """Compared with a plain search through the table: the smallest that passes and grips, never the nearest."""
    grip = min(grip, over)
    fits = [
        s
        for s in sleeves()
        if s.supplied_mm >= 1.2 * over and s.recovered_mm <= 0.8 * grip and (s.adhesive or not wet)
    ]
    found = fit(over, grip, wet=wet)
    if found is None:
        assert not [
            s for s in fits if s.supplied_mm > 1.2001 * over and s.recovered_mm < 0.7999 * grip
        ]
    else:
        assert found.supplied_mm <= min((s.supplied_mm for s in fits), default=math.inf)


def test_the_answer_of_the_command_form() -> None:
    """Over 3.0, grip 1.6: 3.6 and 1.28 asked; 2:1 has 4.75/2.36 and 3.18/1.57, so a 4:1 of 4/1 it is."""
    for wet in (False, True):
        sized = size_sleeve(3.0, 1.6, wet=wet)
        assert sized.answer.value == "4/1"
        assert sized.answer.status == "from memory, unverified"
    assert size_sleeve(2.6, 2.0).get("family").value == "2:1"
    assert "adhesive" in str(size_sleeve(2.6, 2.0, wet=True).get("family").value)


def test_none_because() -> None:
    sized = size_sleeve(30, 1.6)
    assert not sized.found
    assert sized.why == (
        "none, because every sleeve that passes over 30 mm (supplied 36 mm or more) recovers to 13 mm or "
        "more, and 1.28 mm or less is needed to grip 1.6 mm"
    )
    assert "no tabled" in size_sleeve(55, 55).why


def test_length_to_cut_makes_up_for_shortening() -> None:
    """5 to 15 % shorter was read: a 15 mm joint with 5 mm each side wants 25 / 0.85 mm of lined sleeve."""
    found = fit(3.0, 1.6, wet=True)
    assert found is not None
    assert cut_mm(found, 15, 5) == pytest.approx(25 / 0.85)
    assert cut_mm(found, 15, 5) * (1 - found.length_change) == pytest.approx(25)


@pytest.mark.parametrize(("over", "grip"), [(0, 1), (3, 0), (-1, 1), (1000, 1), (1.6, 3.0)])
def test_absurd_sleeves_are_refused(over: float, grip: float) -> None:
    with pytest.raises(OutOfRange):
        size_sleeve(over, grip)


# -- joints ---------------------------------------------------------------------------------------------


def cables(*sizes: str) -> list:  # type: ignore[type-arg]
    return [cable(s) for s in sizes]


@pytest.mark.parametrize(
    ("left", "right", "barrel"),
    [
        (["0.5"], ["0.5"], "red 22-16"),
        (["0.75"], ["0.5", "1"], "red 22-16"),
        (["2"], ["2"], "blue 16-14"),
        (["4"], ["4"], "yellow 12-10"),
        (["12 AWG"], ["10 AWG"], "yellow 12-10"),
        (["22 AWG"], ["16 AWG"], "red 22-16"),
    ],
)
def test_barrel_by_summed_area_on_each_side(left: list[str], right: list[str], barrel: str) -> None:
    """Pre-insulated ranges 22-16, 16-14 and 12-10: each side of a butt barrel by itself."""
    assert size_joint(cables(*left), cables(*right)).answer.value == barrel


def test_no_barrel_is_none_because() -> None:
    """0.35 mm2 against 4 mm2: no barrel takes both sides; told in mm2, gauges as the paper has."""
    sized = size_joint(cables("0.35"), cables("4"))
    assert not sized.found
    assert sized.why.startswith(
        "none, because no butt barrel takes 0.35 mm2 on one side and 4 mm2 on the other"
    )
    assert "AWG" in sized.why and "cmil" not in sized.why
    assert sized.cure


def test_in_an_open_barrel_the_sum_counts() -> None:
    assert size_joint(cables("0.5"), cables("0.5"), "open-barrel").answer.value == "open 22-18"
    assert size_joint(cables("1"), cables("1"), "open-barrel").answer.value == "open 18-14"


@pytest.mark.parametrize("size", ["0.35", "0.5", "1", "2.5"])
def test_a_lap_is_three_to_six_diameters(size: str) -> None:
    """NASA-STD-8739.4, 19.6.1: conductors side by side for 3 to 6 wire diameters."""
    made = splice("lap-solder", cables(size), cables(size))
    assert made is not None
    assert 3 <= made.length_mm / cable(size).conductor_mm <= 6


def test_cautions_that_a_kind_carries() -> None:
    soldered = size_joint(cables("0.5"), cables("0.5"), "lap-solder", moves=True)
    assert any("moves" in c for c in soldered.cautions)
    assert not size_joint(
        cables("0.5"), cables("0.5"), "lap-solder", moves=True, supported=True
    ).cautions
    assert any(
        "tinned" in c for c in size_joint(cables("0.5"), cables("0.5"), tinned=True).cautions
    )


@pytest.mark.parametrize("kind", KINDS[:2])
def test_barrels_have_whole_ranges(kind: str) -> None:
    """From memory, so only consistency: ranges rise, and no strip is longer than its barrel."""
    for barrel in barrels(kind):
        assert barrel.least_cmil < barrel.most_cmil
        assert barrel.strip_mm <= barrel.length_mm + 1


def test_ranges_of_barrels_in_circular_mils() -> None:
    """Pre-insulated ones as several makers print them, AS81824/1 for the sealed: from memory."""
    butt = [*barrels(KINDS[0]), *barrels(KINDS[0], sealed=True)]
    ranges = {barrel.name: (barrel.least_cmil, barrel.most_cmil) for barrel in butt}
    assert ranges == {
        "red 22-16": (509, 3260),
        "blue 16-14": (2050, 5180),
        "yellow 12-10": (5180, 13100),
        "sealed red 26-20": (304, 1510),
        "sealed blue 20-16": (779, 2680),
        "sealed yellow 16-12": (1900, 6755),
    }


def test_a_two_wire_side_takes_a_soft_sleeve_and_says_so() -> None:
    sized = size_joint(cables("0.75"), cables("0.5", "1"), wet=True)
    assert "drawn flat round two wires: less than the joint's" in sized.get("sleeve").formula


# -- stagger --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tails", "stations", "abreast"), [((220, 180), 1, 16), ((350, 180), 4, 4), ((350, 400), 8, 2)]
)
def test_the_demo_window(tails: tuple[float, float], stations: int, abreast: int) -> None:
    """Run 390, 40 mm kept out at each end, 40 mm spacing, sixteen joints: worked by hand."""
    sized = size_stagger(
        Window(390, *tails, keep_out=((0, 40), (350, 390))), 16, pairs=2, diameter_mm=4
    )  # type: ignore[misc]
    assert sized.number("stations") == stations
    assert sized.number("abreast") == abreast


def test_more_tail_buys_what_it_says() -> None:
    window = Window(390, 220, 180, ((0, 40), (350, 390)))
    for result in size_stagger(window, 16).results:
        if result.name.startswith("more_"):
            wider = (
                Window(390, float(result.value), 180, window.keep_out)
                if "machine" in result.name
                else Window(390, 220, float(result.value), window.keep_out)
            )
            assert f"gives {len(stations_in(wider, 40))} places" in result.formula


def brute_fewest(
    groups: list[JointGroup], spacing: int, barred: list[tuple[float, float]], last: int
) -> int | None:
    """Fewest abreast by trying every choice of whole-millimetre places on a coarse grid."""
    places = [x for x in range(0, last + 1, 5) if not any(a < x < b for a, b in barred)]
    best = None
    for n in range(1, len(groups) + 1):
        for chosen in itertools.combinations(places, n):
            if any(b - a < spacing for a, b in itertools.pairwise(chosen)):
                continue
            for k in range(1, 2 * len(groups) + 1):
                if best is not None and k >= best:
                    break
                if _assignable(groups, chosen, k):
                    best = k
                    break
    return best


def _assignable(groups: list[JointGroup], places: tuple[int, ...], k: int) -> bool:
    def place(i: int, room: list[int]) -> bool:
        if i == len(groups):
            return True
        for s, x in enumerate(places):
            if room[s] >= groups[i].weight and groups[i].lo <= x <= groups[i].hi:
                room[s] -= groups[i].weight
                if place(i + 1, room):
                    return True
                room[s] += groups[i].weight
        return False

    return place(0, [k] * len(places))


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(0, 16), st.integers(0, 12), st.booleans()), min_size=1, max_size=5
    ),
    st.sampled_from([20, 30, 40]),
    st.lists(st.tuples(st.integers(0, 14), st.integers(1, 4)), max_size=2),
)
def test_fewest_abreast_against_brute_force(
    windows: list[tuple[int, int, bool]], spacing: int, keeps: list[tuple[int, int]]
) -> None:
    """Every arrangement on a 5 mm grid, with joints and pairs of unlike windows and keep-outs."""
    groups = [
        JointGroup(
            (f"j{i}a", f"j{i}b") if pair else (f"j{i}",), 5.0 * lo, 5.0 * min(20, lo + width)
        )
        for i, (lo, width, pair) in enumerate(windows)
    ]
    barred = [(5.0 * a, 5.0 * (a + n)) for a, n in keeps]
    brute = brute_fewest(groups, spacing, barred, 100)
    layout = lay_out(groups, spacing, barred)
    assert (layout.abreast if layout else None) == brute
    if layout:
        at = {p.name: p.at_mm for p in layout.placed}
        assert all(u.lo - 1e-6 <= at[u.names[0]] <= u.hi + 1e-6 for u in groups)
        assert all(not (a + 1e-6 < x < b - 1e-6) for x in at.values() for a, b in barred)
        stations = sorted(set(at.values()))
        assert all(b - a >= spacing - 1e-6 for a, b in itertools.pairwise(stations))


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 9), st.integers(0, 200), st.integers(10, 60))
def test_spacing_is_the_widest_whole_millimetre(joints: int, width: int, spacing: int) -> None:
    """One common window: m stations in w mm can lie w // (m - 1) apart at most."""
    groups = [JointGroup((f"j{i}",), 0.0, float(width)) for i in range(joints)]
    layout = lay_out(groups, spacing)
    assert layout is not None
    needed = math.ceil(joints / layout.abreast)
    assert layout.abreast == math.ceil(joints / (width // spacing + 1))
    if needed > 1:
        assert schedule(groups, layout.abreast, math.floor(width / (needed - 1)) + 1) is None
        assert layout.spacing_mm >= math.floor(width / (needed - 1)) - 1e-6


def test_a_pair_keeps_its_lengths_equal_and_one_sleeve_between() -> None:
    """Pair rule: both conductors of a pair are as long as each other from face to face."""
    window = Window(400, 300, 300)
    layout = lay_out(plain_groups(4, 1, window, 4, 25), 40, window.barred)
    assert layout is not None
    one, two = layout.at("pair1.a"), layout.at("pair1.b")
    assert one.station == two.station
    assert abs(one.at_mm - two.at_mm) == 25
    cuts = {c.name: c for c in lengths_to_cut(layout, window)}
    assert (
        cuts["pair1.a"].machine_mm + cuts["pair1.a"].unit_mm
        == cuts["pair1.b"].machine_mm + cuts["pair1.b"].unit_mm
    )


def most_abreast(places: list[float], sleeve: float) -> int:
    """The most sleeves over one millimetre of the run, counted where each begins; sleeves that only touch do not count."""
    return max(sum(x <= y + 1e-6 and y < x + sleeve - 1e-6 for x in places) for y in places)


@pytest.mark.parametrize(("tails", "abreast"), [((350, 180), 4), ((350, 400), 2)])
def test_nowhere_lie_more_sleeves_than_are_told(tails: tuple[float, float], abreast: int) -> None:
    """The second joint of a pair reaches one sleeve behind its station: the next station keeps clear of it.

    Counted on the run as a ruler would; sleeves of 25 mm (common practice).
    """
    window = Window(390, *tails, keep_out=((0, 40), (350, 390)))  # type: ignore[misc]
    layout = lay_out(plain_groups(16, 2, window, 4, 25), 40, window.barred)
    assert layout is not None and layout.abreast == abreast
    assert most_abreast([p.at_mm for p in layout.placed], 25) == abreast


@settings(max_examples=60, deadline=None)
@given(
    st.integers(1, 12),
    st.integers(0, 3),
    st.integers(150, 900),
    st.integers(40, 60),
    st.integers(0, 80),
)
def test_sleeves_of_pairs_lie_clear_on_any_run(
    joints: int, pairs: int, run: int, spacing: int, keep: int
) -> None:
    """Where a pair has room for both its sleeves, no more sleeves lie over each other than are told; none in a keep-out."""
    window = Window(run, run, run, ((0, keep), (run - keep, run)))
    layout = lay_out(plain_groups(joints + 2 * pairs, pairs, window, 4, 25), spacing, window.barred)
    if run - 2 * keep < 25:
        return
    assert layout is not None
    assert most_abreast([p.at_mm for p in layout.placed], 25) <= layout.abreast
    assert all(keep - 1e-6 <= p.at_mm <= run - keep + 1e-6 for p in layout.placed)


def test_lengths_to_cut_meet_on_the_run_and_carry_the_slack() -> None:
    window = Window(400, 300, 300)
    layout = lay_out(plain_groups(3, 0, window, 4, 25), 40, window.barred)
    assert layout is not None
    for cut in lengths_to_cut(layout, window):
        assert cut.machine_mm + cut.unit_mm == pytest.approx(400 + cut.slack_mm)
        assert cut.machine_mm <= 300 and cut.unit_mm <= 300
        assert 0 <= cut.slack_mm <= 40


def test_tails_that_do_not_meet_say_how_much_is_missing() -> None:
    sized = size_stagger(Window(390, 100, 180), 3)
    assert not sized.found
    assert "leave 110 mm between them" in sized.why
    assert any("110 mm more" in c for c in sized.cure)


@pytest.mark.parametrize(
    ("joints", "pairs", "run"),
    [(0, 0, 390), (500, 0, 390), (3, 2, 390), (3, 0, 0), (3, 0, float("nan"))],
)
def test_absurd_layouts_are_refused(joints: int, pairs: int, run: float) -> None:
    with pytest.raises(OutOfRange):
        size_stagger(Window(run, 100, 100), joints, pairs=pairs)


def test_many_thin_wires_do_not_hide_three_thick_ones() -> None:
    """Three of 10 mm alone need 21.55 mm, whatever 1.2 sqrt(sum d2) says of them and forty hairs."""
    assert bundle_mm((10.0,) * 3 + (0.1,) * 40) >= 10 * (1 + 2 / math.sqrt(3)) - 1e-6


def test_a_long_run_with_many_joints_is_laid_out() -> None:
    groups = [JointGroup((f"j{i}",), 0.0, 60_000.0) for i in range(1500)]
    layout = lay_out(groups, 40)
    assert layout is not None and layout.abreast == 1 and len(layout.stations_mm) == 1500


def test_sleeve_rules_that_were_read() -> None:
    """Published rules, no worked example: none of a sleeve chosen was found in print.

    A tubing seller (read): supplied bore 20 to 30 % above the largest covered.  A maker (read): at
    most 75 % of the shrink is used, which for a 2:1 sleeve is a recovered bore of 0.8 x what it grips.
    """
    assert 1.2 <= rule("supplied_factor") <= 1.3
    two_to_one = [s for s in sleeves() if s.family == "2:1"]
    assert len(two_to_one) == 12
    for sleeve in two_to_one:
        tightest = sleeve.supplied_mm - 0.75 * (sleeve.supplied_mm - sleeve.recovered_mm)
        assert sleeve.recovered_mm / tightest == pytest.approx(rule("recovered_factor"), rel=0.01)


def test_a_small_wire_on_a_larger_one_finds_its_sleeve() -> None:
    """A T of 0.75 on 1.5 mm2: over a barrel of 4 mm, gripping 1.9 mm (ISO 6722 thin wall, from memory)."""
    for wet in (False, True):
        assert size_sleeve(4.0, 1.9, wet=wet).get("sleeve").value == "6/1.5"


def test_no_help_is_offered_that_the_tables_refuse() -> None:
    """Of 2.5 and 0.35 mm2 the doubled 0.70 is below the 1.04 mm2 of the barrel that takes 2.5; 26 mm2 fit in none."""
    far = size_joint(cables("2.5"), cables("0.35"))
    assert not far.found and not any("double" in each for each in far.cure)
    assert not size_joint(cables("2.5"), cables("0.35", "0.35")).found
    thick = size_joint(cables("16"), cables("10"))
    assert not any("open barrel" in each or "double" in each for each in thick.cure)
    assert far.cure and thick.cure


def test_a_lap_is_told_without_a_barrel() -> None:
    told = size_joint(cables("1"), cables("1"), "lap-solder")
    assert not any("barrel" in each for each in told.assumptions)
    assert "solder no less" in told.get("pull_off").formula
