"""Every limit of the sizing room at its value, just below it and just above it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from wiremap.sizing import (
    air,
    ampacity,
    bundle,
    circuit,
    conductor,
    drop,
    fuse_judge,
    fuse_limits,
    gauges,
    heat,
    joint,
    sleeve,
    stagger,
    stations,
    transient,
)
from wiremap.sizing.bundled import bundle_factor
from wiremap.sizing.feed_parts import STUB_MM
from wiremap.sizing.meter import LOADED
from wiremap.sizing.sized import OutOfRange

Test = Callable[[float], object]
WINDOW = stations.Window(390, 350, 400)


def accepted(call: Test) -> Callable[[float], bool]:
    """Whether a call takes a value; a refusal says it in a sentence."""

    def takes(value: float) -> bool:
        try:
            call(value)
        except OutOfRange as refusal:
            assert str(refusal).count("got") == 1
            return False
        return True

    return takes


def plain(**more: object) -> circuit.Protected:
    return replace(circuit.plain_circuit("1", 1000, 12, 3, source_ohms=0.02), **more)  # type: ignore[arg-type]


def against(kind: str, rating: float = 5.0, **more: object) -> bool:
    case = plain(**more)
    high, low = fuse_judge.high_objections(rating, case), fuse_judge.low_objections(rating, case)
    objections = (*high, *low)
    return kind in {objection.kind for objection in objections}


def fused(**more: object) -> None:
    circuit.check_circuit(plain(**more))


def bundled(count: float) -> object:
    return bundle.size_bundle([1.6] * round(count))


def jointed(count: float) -> bool:
    wires = [conductor.cable("0.35")] * (round(count) - 1)
    told = joint.size_joint(wires, [conductor.cable("0.35")], "open-barrel").cautions
    return not any("more than 4" in line for line in told)


def fits(bore: str, value: float) -> bool:
    sizes = {"supplied": (value, 100.0), "recovered": (0.3, value)}
    over, grip = sizes[bore]
    wanted = sleeve.Fit(over, grip, 1.2, 0.8, wet=False)
    smallest = min(sleeve.sleeves(), key=lambda each: each.supplied_mm)
    return wanted.takes(smallest)


AT_MOST: list[tuple[str, float, Callable[[float], bool]]] = [
    ("surroundings", 150.0, accepted(heat.check_ambient)),
    ("insulation limit", 250.0, accepted(heat.check_limit)),
    ("copper's linear law", 400.0, accepted(conductor.copper_ratio)),
    ("area of a wire", 107.3, accepted(gauges.size_area)),
    ("class A volts", 60.0, accepted(drop.check_supply)),
    ("length", 200_000.0, accepted(drop.check_length)),
    ("amps", 1000.0, accepted(lambda a: drop.size_drop("25", 1, a, 60, parts_ohms=0.0))),
    ("fuse load", 100.0, accepted(lambda a: fused(load_amps=a))),
    ("contact", 500.0, accepted(lambda a: fused(contact_amps=a))),
    ("inrush", 1000.0, accepted(lambda a: fused(inrush_amps=a))),
    ("inrush length", 600.0, accepted(lambda s: fused(inrush_s=s))),
    ("source", 10.0, accepted(lambda ohms: fused(source_ohms=ohms))),
    ("loop", 1000.0, accepted(lambda ohms: fused(loop_ohms=ohms))),
    ("fuse ambient", 85.0, accepted(fuse_limits.ambient_share)),
    ("fuse in a hot place", 85.0, accepted(lambda c: fused(fuse_ambient_C=c))),
    ("sleeve over", 60.0, accepted(lambda mm: sleeve.size_sleeve(mm, 1.0))),
    ("sleeve's joint", 500.0, accepted(lambda mm: sleeve.size_sleeve(3, 2, joint_mm=mm))),
    ("sleeve's overlap", 200.0, accepted(lambda mm: sleeve.size_sleeve(3, 2, overlap=mm))),
    ("run", 50_000.0, accepted(lambda mm: stagger.size_stagger(replace(WINDOW, run_mm=mm), 1))),
    ("rated volts", 32.0, lambda v: not against("rated-volts", max_volts=v)),
    ("contact under fuse", 5.0, lambda a: not against("contact", rating=a, contact_amps=5.0)),
    ("breaking", 1000.0, lambda a: not against("breaking", battery_volts=a * 0.02, max_volts=60.0)),
    ("peak of unknown length", 5.0, lambda a: not against("inrush", inrush_amps=a)),
    ("load under 75 %", 3.75, lambda a: not against("load", load_amps=a)),
    ("overload to 6 h", 21600.0, lambda s: ampacity.overload_C(s) == 50),
    ("overload to 240 h", 864000.0, lambda s: ampacity.overload_C(s) > 0),
    ("PVC's short circuit", 105.0, lambda c: ampacity.short_circuit_limit_C(c) == 160),
    ("thin wires shed all", 5.0, lambda mm: air.shed_share(mm) == 1.0),
    ("two wire diameters", 2.5, lambda mm: sleeve.overlap_mm(mm) == 5.0),
    ("supplied bore", 1.17 / 1.2, lambda mm: fits("supplied", mm)),
]
AT_LEAST: list[tuple[str, float, Callable[[float], bool]]] = [
    ("surroundings", -60.0, accepted(heat.check_ambient)),
    ("insulation limit", -20.0, accepted(heat.check_limit)),
    ("copper's linear law", -60.0, accepted(conductor.copper_ratio)),
    ("area of a wire", 0.05, accepted(gauges.size_area)),
    ("length", 1.0, accepted(drop.check_length)),
    ("amps", 0.001, accepted(lambda a: drop.size_drop("25", 1, a, 60))),
    ("fuse load", 0.001, accepted(lambda a: fused(load_amps=a))),
    ("contact", 0.1, accepted(lambda a: fused(contact_amps=a))),
    ("inrush", 0.001, accepted(lambda a: fused(inrush_amps=a))),
    ("inrush length", 1e-4, accepted(lambda s: fused(inrush_s=s))),
    ("source", 1e-4, accepted(lambda ohms: fused(source_ohms=ohms))),
    ("fuse ambient", -40.0, accepted(fuse_limits.ambient_share)),
    ("sleeve grip", 0.3, accepted(lambda mm: sleeve.size_sleeve(3.0, mm))),
    ("clearing", 1.35, lambda x: not against("clearing", loop_ohms=9 / (5 * x) - 0.02)),
    ("holding", 1.1, lambda x: fuse_limits.least_open_s(10 * x, 10) <= 360000.0),
    ("first gate", 1.35, lambda x: fuse_limits.most_open_s(10 * x, 10) <= 600.0),
    ("big blades", 35.0, lambda a: fuse_limits.gates(a)[-1].most_s == 0.15),
    ("recovered bore", 0.58 / 0.8, lambda mm: fits("recovered", mm)),
    ("wall of a gauge's neighbour", 0.97, lambda share: share >= conductor.limit("like_size")),
]
WHOLE: list[tuple[str, int, Callable[[float], bool]]] = [
    ("wires in a bundle", 400, accepted(bundled)),
    ("loaded wires", 61, accepted(lambda n: bundle_factor(round(n)))),
    ("joints of a run", 400, accepted(lambda n: stagger.size_stagger(WINDOW, round(n)))),
    ("conductors in a joint", 4, jointed),
    ("gauges", 40, accepted(lambda n: conductor.gauge_number(round(n)))),
]


def ids(case: object) -> str:
    return case if isinstance(case, str) else ""


@pytest.mark.parametrize(("name", "limit", "within"), AT_MOST, ids=ids)
def test_up_to_its_greatest_value(name: str, limit: float, within: Callable[[float], bool]) -> None:
    """In range below and at the limit, out of it a thousandth above."""
    below, at, above = limit - abs(limit) / 1000, limit, limit + abs(limit) / 1000
    assert (within(below), within(at), within(above)) == (True, True, False), name


@pytest.mark.parametrize(("name", "limit", "within"), AT_LEAST, ids=ids)
def test_down_to_its_least_value(name: str, limit: float, within: Callable[[float], bool]) -> None:
    """In range above and at the limit, out of it a thousandth below."""
    below, at, above = limit - abs(limit) / 1000, limit, limit + abs(limit) / 1000
    assert (within(below), within(at), within(above)) == (False, True, True), name


@pytest.mark.parametrize(("name", "limit", "within"), WHOLE, ids=ids)
def test_counts_up_to_their_greatest(
    name: str, limit: int, within: Callable[[float], bool]
) -> None:
    """One more is one too many."""
    assert (within(limit - 1), within(limit), within(limit + 1)) == (True, True, False), name


def test_constants_that_are_no_limits() -> None:
    """A tenth more or less of any of them is seen: each against its printed value."""
    assert STUB_MM == 180
    assert LOADED.status == "from memory, unverified"
    assert [drop.limit(n) for n in ("loaded_from_amps", "warm_copper")] == [0.5, 1.2]
    assert [drop.limit(n) for n in ("ground_millivolts", "joint_millivolts")] == [100, 5]
    assert [drop.allowed_percent(n) for n in ("critical", "other")] == [3, 10]
    assert [conductor.constant(n) for n in ("beta_C", "melting_C")] == [234.5, 1083]
    assert conductor.constant("resistivity_20C") == pytest.approx(1 / 58)
    assert conductor.constant("diameter_factor") == 1.22
    assert transient.SETTLED_AFTER == 12
    assert circuit.battery_volts(12) == pytest.approx(6 * 2.15)
    assert circuit.battery_volts(24) == pytest.approx(12 * 2.15)
    assert circuit.battery_volts(48) == pytest.approx(24 * 2.15)
    assert circuit.supply_range(12) == (9, 16) and circuit.supply_range(24) == (16, 32)
    assert circuit.supply_range(48) == (36, 60)
    assert (fuse_limits.CLEARS, fuse_limits.CLEARS_WELL) == (1.35, 2.0)
    assert fuse_judge.ADIABATIC_S == 5
