"""Calls of every sizing function over every size that a table has."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from functools import partial

from wiremap.model import Extra, ExtraKind, Wire
from wiremap.sizing import (
    ampacity,
    bundle,
    circuit,
    conductor,
    drop,
    fuse,
    fuse_limits,
    gauges,
    joint,
    joint_sides,
    load,
    series,
    sleeve,
    stagger,
    stations,
)
from wiremap.sizing.sized import OutOfRange
from wiremap.trade.tables import table

GAUGES = ("4/0", "1/0", *map(str, range(1, 31)))
SYSTEMS = (12.0, 14.0, 24.0, 28.0, 48.0)


def _sizes() -> Iterator[tuple[str, str]]:
    """Every size with the family that has it."""
    for family, section in conductor.METRIC.items():
        for row in table("conductors.toml").sections[section]:
            yield f"{row['csa_mm2']:g}", family
    for gauge in GAUGES:
        yield f"{gauge} AWG", ""
    for row in table("conductors.toml").sections["sae_j1128"]:
        yield f"SAE {row['gauge']}", ""


def _conductors() -> Iterator[Callable[[], object]]:
    for size, family in _sizes():
        for wall in conductor.WALLS:
            yield partial(gauges.size_conductor, size, wall, 85.0, family)
            yield partial(ampacity.size_ampacity, size, wall, 30.0, 105.0, family=family)
        yield partial(_joint, size, family)
    for gauge in GAUGES:
        yield partial(gauges.size_awg, gauge)


def _joint(size: str, family: str) -> object:
    wire = conductor.cable(size, "thin", family)
    return joint.size_joint([wire], [wire], "lap-solder")


def _soldered_lead() -> object:
    return joint.size_joint([joint_sides.lead_cable()], [conductor.cable("0.35")], "lap-solder")


def _rest() -> Iterator[Callable[[], object]]:
    resistor = Extra(name="R1", kind=ExtraKind.RESISTOR, ohms=10)
    yield partial(series.lets_fuses_open, resistor)
    yield partial(_soldered_lead)
    for volts in SYSTEMS:
        for spell in (False, True):
            yield partial(drop.size_drop, "1", 3000, 3, volts, intermittent=spell)
        yield partial(circuit.plain_circuit, "1", 3000, volts, 3)
    yield partial(ampacity.size_ampacity, "0.5", amps=5.0, seconds=60.0)
    for wires in range(1, 62):
        yield partial(ampacity.size_ampacity, "0.5", bundle=wires)
    for wires in range(1, 46):
        yield partial(bundle.size_bundle, [1.6] * wires)
    for kind in joint.KINDS:
        wire = conductor.cable("2.5")
        yield partial(joint.size_joint, [wire], [wire], kind)
    for family in fuse_limits.FAMILIES:
        for rating in fuse_limits.ratings(family):
            yield partial(_fuse, "25", family, rating)
    for gauge in GAUGES:
        yield partial(_fuse, f"{gauge} AWG", "blade", 1.0)
    for amps in (0.5, 2.0, 5.0, 6.0, 9.0, 14.0):
        for wires in (1, 2, 7):
            for volts in (12.0, 24.0):
                yield partial(_fed, amps, wires, volts)
    yield partial(load.cable_of, Wire("0.5 RD", 0.5, outside_mm=1.8))
    yield partial(ampacity.overload_C, 400000.0)
    for limit_C in (150.0, 175.0, 200.0, 225.0, 250.0):
        yield partial(ampacity.short_circuit_limit_C, limit_C)
    for over in (1.0, 3.0, 9.0, 30.0):
        yield partial(sleeve.size_sleeve, over, over / 2, joint_mm=15.0, overlap=6.0)
    for ambient in (-40.0, 30.0, 70.0, 85.0):
        yield partial(fuse_limits.ambient_share, ambient)
    for ambient in (100, 120):
        yield partial(fuse_limits.held_share, ambient)
    window = stations.Window(390, 350, 400)
    yield partial(stagger.size_stagger, window, 16, pairs=2, diameter_mm=4.0)


def _fed(amps: float, wires: int, volts: float) -> object:
    """A load behind a wire of 0.5 mm2 in a warm place, among others."""
    case = circuit.plain_circuit("0.5", 1000, volts, amps, source_ohms=0.02)
    return fuse.size_fuse(replace(case, bundle=wires, ambient_C=60.0))


def _fuse(size: str, family: str, rating: float) -> object:
    case = circuit.plain_circuit(size, 2000, 12, rating / 2, source_ohms=0.02)
    case = replace(case, family=family, contact_amps=100.0, inrush_amps=rating, inrush_s=0.01)
    return fuse.size_fuse(case, leaflet_amps=rating, upstream_amps=100.0)


def _quietly(call: Callable[[], object]) -> None:
    with suppress(OutOfRange):
        call()


LOUD_CALLS = (*_conductors(), *_rest())  # some raise OutOfRange
CALLS = tuple(partial(_quietly, call) for call in LOUD_CALLS)
