"""Everything that can be sized of a job, in one pass; what is missing blocks only what needs it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from types import MappingProxyType

from wiremap.graph import Harness
from wiremap.sizing.ampacity import class_of
from wiremap.sizing.around import Around, around_of
from wiremap.sizing.bundled import bundle_factor
from wiremap.sizing.cases import Cases
from wiremap.sizing.conductor import Cable
from wiremap.sizing.drop import check_supply
from wiremap.sizing.feed_parts import Feed, FuseSize
from wiremap.sizing.feeds import Feeds
from wiremap.sizing.heat import ampacity_amps, check_ambient, check_limit
from wiremap.sizing.job_sizes import ConductorSize, JobSizes
from wiremap.sizing.load import DEFAULT_AMBIENT_C, Loads, Missing
from wiremap.sizing.paths import MeasuredWays
from wiremap.sizing.placing import (
    JointSize,
    Placing,
    RunLayout,
    size_joints,
)
from wiremap.sizing.sized import OutOfRange, Sized
from wiremap.sizing.unjudged import Unjudged, blocked

BLOCKED = "currents, fuses and drops"  # what nothing can be told of without surroundings or volts
STILL = (None, "", "none")  # of `moves`: nothing moves


@lru_cache(maxsize=2)  # the rules ask for it, and what shows a job asks again
def size_job(harness: Harness) -> JobSizes:
    """Size every conductor, joint, fuse, feed and run of a job.

    Raises nothing for what a job leaves out or gets wrong: it stands under `missing`, and under
    `not_judged` where a fed circuit's protection stays open for it.
    """
    around = around_of(harness.job)
    loads = Loads(harness)
    ways = MeasuredWays(harness, loads, around.ambient_C, around.limit_C)
    feeding = Feeds(harness, loads, ways, around)
    unjudged = Unjudged(harness, loads, feeding.cases, around)
    missing = list(loads.unknown_cables())
    around_lacks = list(_missing_around(harness, around))
    missing += around_lacks
    blocking = [lack for lack in around_lacks if lack.blocks == BLOCKED]
    feeds: tuple[Feed, ...] = ()
    fuses: dict[str, FuseSize] = {}
    if blocking:
        fed = tuple(point.address for point in feeding.fed_points())
        not_judged = tuple(blocked(blocking, fed))
    else:
        fuses = feeding.fuses()
        feeds = tuple(map(feeding.feed, feeding.fed_points()))
        missing += feeding.missing
        not_judged = tuple(unjudged.protection(feeds, fuses.values()))
    joints = _joints(harness, loads, missing)
    runs = _runs(harness, joints, missing)
    return JobSizes(
        ambient_C=around.ambient_C,
        limit_C=around.limit_C,
        bundle=around.bundle,
        conductors=MappingProxyType(dict(_conductors(feeding.cases, thermal=not blocking))),
        joints=MappingProxyType(_placed(joints, runs)),
        feeds=feeds,
        fuses=MappingProxyType(fuses),
        runs=MappingProxyType(runs),
        missing=tuple(dict.fromkeys(missing)),
        assumptions=tuple(_assumptions(harness, around)),
        not_judged=not_judged,
        too_hot=tuple(unjudged.too_hot()),
        loads=loads,
    )


def _missing_around(harness: Harness, around: Around) -> Iterator[Missing]:
    """What is missing or wrong in surroundings and supply: most of it blocks every current."""
    supply = harness.job.supply
    surroundings = harness.job.surroundings
    try:
        check_ambient(around.ambient_C)
        check_limit(around.limit_C)
    except OutOfRange as reason:
        yield Missing("surroundings", str(reason), BLOCKED, surroundings.place)
        return
    try:
        _check_volts(supply.min_volts, supply.volts, supply.max_volts)
    except OutOfRange as reason:
        yield Missing("supply", str(reason), BLOCKED, supply.place)
        return
    if supply.volts is None:
        blocks = "drops in per cent; 12 V limits stand in for the short-circuit currents"
        yield Missing("supply", "its volts are not stated", blocks, supply.place)


def _check_volts(*rising: float | None) -> None:
    """Raises OutOfRange for volts above class A, and for stated ones that do not rise."""
    stated = [volts for volts in rising if volts is not None]
    for volts in stated:
        check_supply(volts, "supply")
    if stated != sorted(stated):
        got = ", ".join(f"{volts:g}" for volts in stated)
        raise OutOfRange(f"min_volts, volts and max_volts must rise in this order; got {got}")


def _conductors(cases: Cases, *, thermal: bool) -> Iterator[tuple[str, ConductorSize]]:
    loads = cases.loads
    for name, wire in loads.cables.items():
        conductor = loads.harness.conductors[name]
        limit_C = cases.limit_C(conductor)
        sized = None
        if thermal and wire.outside_mm is not None:
            sized = _carries(wire, cases.around, limit_C)
        size = ConductorSize(
            conductor=name,
            circuit=conductor.circuit,
            subject=conductor.point or conductor.circuit,
            cable=wire,
            amps=loads.amps.get(name),
            ampacity_amps=None if sized is None else sized.number("ampacity"),
            length_mm=conductor.length_mm,
            limit_C=limit_C,
            sized=sized,
        )
        yield name, size


@lru_cache(maxsize=1024)
def _carries(wire: Cable, around: Around, limit_C: float) -> Sized:
    """What a wire may carry there: a harness has many conductors of few sizes."""
    share = bundle_factor(around.bundle)
    amps = ampacity_amps(wire, limit_C, around.ambient_C) * share.factor
    formula = f"heat balance at {limit_C:g} C in {around.ambient_C:g} C x {share.factor:g}"
    origin = wire.origin.computed().beside(share.condition)
    return Sized(results=(origin.value("ampacity", amps, "A", formula),))


def _joints(harness: Harness, loads: Loads, missing: list[Missing]) -> dict[str, JointSize]:
    surroundings = harness.job.surroundings
    moves = surroundings.moves not in STILL
    found = {}
    for size in size_joints(loads, wet=bool(surroundings.wet), moves=moves):
        if isinstance(size, Missing):
            missing.append(size)
        else:
            found[size.joint] = size
    return found


def _runs(
    harness: Harness, joints: dict[str, JointSize], missing: list[Missing]
) -> dict[str, RunLayout]:
    found = {}
    for layout in Placing(harness, joints).layouts():
        if isinstance(layout, Missing):
            missing.append(layout)
        else:
            found[layout.run] = layout
    return found


def _placed(joints: dict[str, JointSize], runs: dict[str, RunLayout]) -> dict[str, JointSize]:
    """The joints with the places that the runs' layouts give them."""
    found = dict(joints)
    for layout in runs.values():
        if layout.layout is None:
            continue
        for spot in layout.layout.placed:
            joint = found.get(spot.name)
            if joint is not None:
                at = replace(joint, at_mm=spot.at_mm, station=spot.station, run=layout.run)
                found[spot.name] = at
    return found


def _class(limit_C: float) -> str:
    name = class_of(limit_C)
    return f" (class {name})" if name else ""


def _assumptions(harness: Harness, around: Around) -> Iterator[str]:
    surroundings = harness.job.surroundings
    stands = f"{around.limit_C:g} C{_class(around.limit_C)}"
    yield f"insulation limit {stands}, thin wall where a wire states none"
    if surroundings.ambient_C is None:
        yield f"ambient not stated: {DEFAULT_AMBIENT_C:g} C taken"
    if surroundings.bundle is None:
        alone = "every wire judged as a single wire in free air"
        yield f"bundle not stated: {alone}; a bundle carries less"
    if surroundings.wet is None:
        yield "wet or dry not stated: dry taken for the sleeves"
    wires = [conductor.wire for conductor in harness.conductors.values()]
    if any(wire is not None and wire.bare for wire in wires):
        sleeve = "a bare drain gets a thin sleeve of its own before it is jointed"
        yield f"{sleeve}: taken as thin-wall wire there"
    if any(joint.kind is None for joint in harness.joints.values()):
        yield "joints without a stated kind are taken as butt crimps"
