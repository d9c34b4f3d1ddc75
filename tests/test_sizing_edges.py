"""What is sized, at its edges: bounds and defaults, roots, bundles, pairs on a run; by hand or by the source named."""

from __future__ import annotations

import math

import pytest

from wiremap.sizing.air import shed_W_per_m
from wiremap.sizing.ampacity import overload_C, short_circuit_limit_C, size_ampacity
from wiremap.sizing.bundle import _packed_mm
from wiremap.sizing.bundled import bundle_factor
from wiremap.sizing.conductor import cable, gauge_label
from wiremap.sizing.drop import drop_volts
from wiremap.sizing.fuse_limits import held_share
from wiremap.sizing.heat import heat_at_W_per_m, root, steady_temperature_C
from wiremap.sizing.sized import OutOfRange
from wiremap.sizing.stagger import _check_lengths, size_stagger
from wiremap.sizing.station_search import GroupKind
from wiremap.sizing.stations import Window


def test_what_nobody_states_is_a_room_class_a_insulation_and_one_wire_alone() -> None:
    told = size_ampacity("1", "thin", 23.0, 85.0, 1)
    assert told == size_ampacity("1")
    run = Window(run_mm=400.0, machine_tail_mm=300.0, unit_tail_mm=300.0)
    assert size_stagger(run, 4, pairs=0, diameter_mm=0.0) == size_stagger(run, 4)


@pytest.mark.parametrize(
    ("run_mm", "tail_mm", "more"),
    [
        (10.0, 300.0, {}),
        (400.0, 1.0, {}),
        (400.0, 300.0, {"spacing_mm": 1.0}),
        (400.0, 300.0, {"spacing_mm": 1000.0}),
        (400.0, 300.0, {"diameter_mm": 100.0}),
        (400.0, 300.0, {"sleeve_mm": 1.0}),
        (400.0, 300.0, {"sleeve_mm": 200.0}),
    ],
)
def test_a_layout_takes_no_less_and_no_more_than_a_bench_has(
    run_mm: float, tail_mm: float, more: dict[str, float]
) -> None:
    """At its bound each figure is taken by the check of lengths, one hundredth beyond it is not."""
    asked = {"spacing_mm": 30.0, "diameter_mm": 5.0, "sleeve_mm": 30.0} | more
    beyond = {10.0: 9.9, 1.0: 0.99, 1000.0: 1010.0, 100.0: 101.0, 200.0: 202.0}

    def check(run: float, tail: float, figures: dict[str, float]) -> None:
        _check_lengths(Window(run, tail, tail), *figures.values())

    check(run_mm, tail_mm, asked)
    further = {name: beyond.get(figure, figure) for name, figure in asked.items()}
    with pytest.raises(OutOfRange):
        check(beyond.get(run_mm, run_mm), beyond.get(tail_mm, tail_mm), further)


def test_tails_longer_than_the_run_reach_all_of_it_and_ties_are_kept_clear() -> None:
    assert 0.0 == Window(400.0, 300.0, 500.0).lo
    assert 100.0 == Window(400.0, 300.0, 300.0).lo
    run = Window(400.0, 300.0, 300.0)
    assert run == run.off_ties(0)
    assert {(0.0, 15.0), (385.0, 400.0)} <= set(run.off_ties(15).keep_out)
    assert run.off_ties(1) != run


def test_volts_are_lost_out_and_back() -> None:
    """1 A through 10 m of 10 milliohm a metre, out and back: 0.2 V; 50 milliohm of parts more."""
    assert 0.2 == pytest.approx(drop_volts(1.0, 10.0, 0.01))
    assert 0.25 == pytest.approx(drop_volts(1.0, 10.0, 0.01, 0.05))


def test_a_root_is_found_where_it_is_and_in_few_steps() -> None:
    """False position with Illinois' halving: an end that stays is moved too."""
    asked: list[float] = []

    def steep(x: float) -> float:
        asked.append(x)
        return x**9 - 0.5

    at = 0.5 ** (1 / 9)
    assert at == pytest.approx(root(steep, 0.0, 2.0), abs=1e-8)
    assert 2.0 - at == pytest.approx(root(lambda x: steep(2.0 - x), 0.0, 2.0), abs=1e-8)
    assert len(asked) < 80
    assert 0.1 == pytest.approx(root(lambda x: 0.1 - x, 0.0, 1.0))
    assert 1.0 == root(lambda x: x - 1.0, 1.0, 2.0)
    assert 2.0 == pytest.approx(root(lambda x: 4.0 - x * x, 0.0, 3.0), abs=1e-8)


def test_a_wire_no_warmer_than_the_air_sheds_nothing() -> None:
    assert 0.0 == shed_W_per_m(23.0, 23.0, 2.0) == heat_at_W_per_m(20.0, 23.0, 1.1, 2.0)
    assert 0.0 < shed_W_per_m(24.0, 23.0, 2.0) < shed_W_per_m(33.0, 23.0, 2.0)
    assert 40.0 == steady_temperature_C(cable("1"), 0.0, 40.0)


@pytest.mark.parametrize(
    ("hours", "above"), [(0.0, 50.0), (6.0, 50.0), (7.0, 25.0), (240.0, 25.0), (241.0, 0.0)]
)
def test_an_insulation_stands_more_than_its_class_for_some_hours(
    hours: float, above: float
) -> None:
    """ISO 19642-2: 50 C up to 6 h, 25 C up to 240 h."""
    assert above == overload_C(hours * 3600)


@pytest.mark.parametrize(("limit", "short"), [(85.0, 160.0), (250.0, 300.0), (260.0, 310.0)])
def test_an_insulation_stands_a_short_hotter_than_its_class(limit: float, short: float) -> None:
    """PVC 160 C by IEC 60364-4-43; of classes above 50 C more, as for 6 h by ISO 19642-2."""
    assert short == short_circuit_limit_C(limit)


def test_a_fuse_in_the_cold_and_a_wire_alone_carry_all_of_it() -> None:
    assert 1.0 == held_share(-30.0) == bundle_factor(1).factor
    assert held_share(60.0) < 1.0


def test_a_pair_that_has_no_room_behind_leans_back_by_its_shift() -> None:
    """Two joints 30 mm apart in a window that ends at 100 mm."""
    pair = GroupKind(hi=100.0, lo=0.0, weight=2, shift=30.0)
    assert (60.0, 0.0) == (pair.beyond(70.0, ()), pair.leaning(70.0, ()))
    assert (0.0, 30.0) == (pair.beyond(71.0, ()), pair.leaning(71.0, ()))
    alone = GroupKind(hi=100.0, lo=0.0, weight=1, shift=0.0)
    assert (0.0, 0.0) == (alone.beyond(100.0, ()), alone.leaning(100.0, ()))


@pytest.mark.parametrize(
    ("diameters", "round_mm"),
    [((2.0, 2.0), 4.0), ((3.0, 1.0), 4.0), ((2.0, 2.0, 2.0), 2 + 4 / math.sqrt(3))],
)
def test_wires_that_touch_lie_in_the_circle_of_geometry(
    diameters: tuple[float, ...], round_mm: float
) -> None:
    """Two: the sum of both; three alike of radius r: r (1 + 2 / sqrt 3)."""
    assert round_mm == pytest.approx(_packed_mm(diameters), rel=1e-3)
    assert round_mm <= _packed_mm(diameters) + 1e-9


@pytest.mark.parametrize(
    ("number", "name"), [(2, "2"), (1, "1"), (0, "1/0"), (-1, "2/0"), (-3, "4/0")]
)
def test_gauges_above_number_one_count_noughts(number: int, name: str) -> None:
    assert name == gauge_label(number)


def test_a_pair_lies_untwisted_for_two_sleeves() -> None:
    run = Window(run_mm=400.0, machine_tail_mm=300.0, unit_tail_mm=300.0)
    sized = size_stagger(run, 2, pairs=1, sleeve_mm=30.0)
    assert 60.0 == sized.number("pair_untwisted")
