"""Everything that can be sized of a job, in one pass; what is missing blocks only what needs it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from wiremap.graph import Conductor, Harness
from wiremap.sizing.ampacity import ampacity_amps, bundle_factor, check_temperatures
from wiremap.sizing.conductor import Cable
from wiremap.sizing.drop import check_supply
from wiremap.sizing.feeds import Feed, FuseSize, Sources
from wiremap.sizing.fuse import ambient_share
from wiremap.sizing.load import DEFAULT_AMBIENT_C, DEFAULT_LIMIT_C, Loads, Missing
from wiremap.sizing.paths import Ways, milliohm
from wiremap.sizing.placing import (
    CutLength,
    JointSize,
    Placing,
    RunLayout,
    cut_lengths,
    size_joints,
)
from wiremap.sizing.sized import OutOfRange, Sized, Value, source_title, weakest

LOADED_FROM_AMPS = 0.5
GROUND_MILLIVOLTS = 100.0  # a scan-tool maker's manual, read
JOINT_MILLIVOLTS = 5.0  # a new crimp at rated current, from memory


@dataclass(frozen=True, slots=True)
class ConductorSize:
    """One conductor: its cable, what flows in it, what it may carry."""

    conductor: str
    circuit: str
    subject: str
    cable: Cable
    amps: float | None
    ampacity_amps: float | None
    length_mm: float | None
    sized: Sized | None


@dataclass(frozen=True, slots=True)
class Continuity:
    """What a milliohm meter should find between two points of a circuit, and the most that is in order."""

    circuit: str
    a: str
    b: str
    expected_milliohm: float
    most_milliohm: float
    sized: Sized


@dataclass(frozen=True, slots=True)
class LoadedDrop:
    """A drop test under load: the current, what the circuit should lose, and the most that is in order."""

    circuit: str
    a: str
    b: str
    amps: float
    expected_millivolts: float
    most_millivolts: float
    sized: Sized


@dataclass(frozen=True)
class JobSizes:
    """All sizes of a job, each with its parent; `missing` tells what could not be sized and for want of what."""

    ambient_C: float
    limit_C: float
    bundle: int
    conductors: Mapping[str, ConductorSize]
    joints: Mapping[str, JointSize]
    feeds: tuple[Feed, ...]
    fuses: Mapping[str, FuseSize]
    runs: Mapping[str, RunLayout]
    cuts: Mapping[str, CutLength]
    continuity: tuple[Continuity, ...]
    loaded: tuple[LoadedDrop, ...]
    missing: tuple[Missing, ...]
    assumptions: tuple[str, ...]

    def feed(self, address: str) -> Feed:
        """The feed at a contact; raises KeyError."""
        for feed in self.feeds:
            if feed.address == address:
                return feed
        raise KeyError(address)


def size_job(harness: Harness) -> JobSizes:
    """Size every conductor, joint, fuse, feed and run of a job."""
    around = harness.job.surroundings
    loads = Loads(harness)
    missing = list(loads.unknown_cables())
    ambient = DEFAULT_AMBIENT_C if around.ambient_C is None else around.ambient_C
    thermal = _thermal(harness, ambient, missing)
    ways = Ways(harness, loads, ambient, DEFAULT_LIMIT_C)
    feeds: tuple[Feed, ...] = ()
    fuses: dict[str, FuseSize] = {}
    if thermal:
        feeds, fuses = _sources(harness, loads, ways, missing)
    joints = _joints(harness, loads, missing)
    runs, joints = _runs(harness, joints, missing)
    return JobSizes(
        ambient,
        DEFAULT_LIMIT_C,
        around.bundle or 1,
        MappingProxyType(dict(_conductors(loads, ambient, around.bundle or 1, thermal))),
        MappingProxyType(joints),
        feeds,
        MappingProxyType(fuses),
        MappingProxyType(runs),
        MappingProxyType({c.conductor: c for c in cut_lengths(harness, runs)}),
        tuple(_continuity(harness, loads)),
        tuple(_loaded(harness, loads)),
        tuple(dict.fromkeys(missing)),
        _assumptions(harness),
    )


def _thermal(harness: Harness, ambient: float, missing: list[Missing]) -> bool:
    """Whether temperatures, bundle and supply are such that currents can be worked out at all."""
    job = harness.job
    around, supply = job.surroundings, job.supply
    blocks = "currents, fuses and drops"
    try:
        check_temperatures(DEFAULT_LIMIT_C, ambient)
        ambient_share(ambient)
        bundle_factor(around.bundle or 1)
    except OutOfRange as reason:
        missing.append(Missing("surroundings", str(reason), blocks, around.place))
        return False
    stated = [v for v in (supply.min_volts, supply.volts, supply.max_volts) if v is not None]
    try:
        for volts in stated:
            check_supply(volts, "supply")
        if stated != sorted(stated):
            raise OutOfRange(
                "min_volts, volts and max_volts must rise in this order; got "
                + ", ".join(f"{v:g}" for v in stated)
            )
    except OutOfRange as reason:
        missing.append(Missing("supply", str(reason), blocks, supply.place))
        return False
    if supply.volts is None:
        missing.append(
            Missing(
                "supply",
                "its volts are not stated",
                "drops in per cent; 12 V limits stand in for the short-circuit currents",
                supply.place,
            )
        )
    return True


def _sources(
    harness: Harness, loads: Loads, ways: Ways, missing: list[Missing]
) -> tuple[tuple[Feed, ...], dict[str, FuseSize]]:
    sources = Sources(harness, loads, ways)
    fuses = {x.name: sources.fuse(x) for x in harness.job.extras.values() if x.kind == "fuse"}
    feeds = tuple(sources.feed(p) for p in sources.fed_points())
    missing += sources.missing
    return feeds, fuses


def _conductors(
    loads: Loads, ambient: float, bundle: int, thermal: bool
) -> list[tuple[str, ConductorSize]]:
    found = []
    for cid, wire in loads.cables.items():
        conductor = loads.harness.conductors[cid]
        carries = sized = None
        if thermal and wire.outside_mm is not None:
            factor, condition, _ = bundle_factor(bundle)
            carries = ampacity_amps(wire, DEFAULT_LIMIT_C, ambient) * factor
            sized = Sized(
                (
                    Value(
                        "ampacity",
                        carries,
                        "A",
                        f"heat balance at {DEFAULT_LIMIT_C:g} C in {ambient:g} C x {factor:g}",
                        f"{wire.source}; {condition}",
                        weakest("computed", wire.status),
                    ),
                )
            )
        found.append(
            (
                cid,
                ConductorSize(
                    cid,
                    conductor.circuit,
                    conductor.point or conductor.circuit,
                    wire,
                    loads.amps.get(cid),
                    carries,
                    conductor.length_mm,
                    sized,
                ),
            )
        )
    return found


def _joints(harness: Harness, loads: Loads, missing: list[Missing]) -> dict[str, JointSize]:
    around = harness.job.surroundings
    moves = around.moves not in (None, "", "none")
    found = {}
    for size, lack in size_joints(loads, bool(around.wet), moves):
        if size is not None:
            found[size.joint] = size
        elif lack is not None:
            missing.append(lack)
    return found


def _runs(
    harness: Harness, joints: dict[str, JointSize], missing: list[Missing]
) -> tuple[dict[str, RunLayout], dict[str, JointSize]]:
    runs: dict[str, RunLayout] = {}
    placed = dict(joints)
    for layout, lack in Placing(harness, joints).layouts():
        if lack is not None:
            missing.append(lack)
        elif layout is not None:
            runs[layout.run] = layout
            for spot in layout.layout.placed if layout.layout else ():
                if spot.name in placed:
                    placed[spot.name] = replace(
                        placed[spot.name], at_mm=spot.at_mm, station=spot.station, run=layout.run
                    )
    return runs, placed


# -- what to expect at the meter ------------------------------------------------------------------------


def _legs(
    harness: Harness, loads: Loads, circuit: str
) -> list[tuple[Conductor, Cable, float]] | None:
    """The conductors of a circuit with their sizes; None when one is not known."""
    found = []
    for conductor in harness.conductors_by_circuit.get(circuit, ()):
        if conductor.origin in ("direct", "lead"):
            continue
        wire = loads.cables.get(conductor.id)
        if wire is None or conductor.length_mm is None:
            return None
        found.append((conductor, wire, conductor.length_mm))
    return found


def _continuity(harness: Harness, loads: Loads) -> list[Continuity]:
    """For every circuit of known sizes: from its first point to each other one, at 20 C."""
    found = []
    for circuit in harness.job.circuits:
        legs = _legs(harness, loads, circuit.id)
        points = [a for a in circuit.join if a in harness.points]
        if not legs or len(points) < 2:
            continue
        for other in points[1:]:
            if (value := _between(harness, legs, points[0], other)) is not None:
                found.append(
                    Continuity(
                        circuit.id,
                        points[0],
                        other,
                        value.number("expected"),
                        value.number("most"),
                        value,
                    )
                )
    return found


def _between(
    harness: Harness, legs: list[tuple[Conductor, Cable, float]], a: str, b: str
) -> Sized | None:
    way = [(c, w, mm) for c, w, mm in legs if c.point in (None, a, b) or len(legs) == 1]
    if not way:
        return None
    wires = sum(w.ohm_per_m_20C * mm for _, w, mm in way)
    contacts = sum(
        1
        for p in (a, b)
        if (end := harness.end_of(p)) is not None and end.kind in ("pigtail", "mate")
    )
    joints = len({n for c, _, _ in way for n in (c.a, c.b) if harness.is_joint(n)})
    most = wires + contacts * milliohm("contact") + joints * milliohm("joint")
    least = wires + contacts * milliohm("contact", "least")
    source = "; ".join(
        dict.fromkeys(
            [
                *(w.source for _, w, _ in way),
                source_title("drop.toml", "contact-manual"),
                source_title("drop.toml", "joint-practice"),
            ]
        )
    )
    status = weakest("computed", "from memory, unverified", *(w.status for _, w, _ in way))
    return Sized(
        (
            Value(
                "most",
                most,
                "mohm",
                f"R20 x length + {contacts} contacts x {milliohm('contact'):g} + {joints} joints x "
                f"{milliohm('joint'):g}",
                source,
                status,
            ),
            Value(
                "expected",
                least,
                "mohm",
                f"R20 x length + {contacts} contacts x {milliohm('contact', 'least'):g}",
                source,
                status,
            ),
        ),
        assumptions=(
            "at 20 C; a meter of 0.1 ohm resolution proves no more than that it is not open",
        ),
    )


def _loaded(harness: Harness, loads: Loads) -> list[LoadedDrop]:
    """A drop test for every circuit that carries half an ampere or more: a beep proves no crimp."""
    found = []
    for circuit in harness.job.circuits:
        legs = _legs(harness, loads, circuit.id)
        amps = max((loads.amps.get(c.id) or 0.0 for c, _, _ in legs or ()), default=0.0)
        if not legs or amps < LOADED_FROM_AMPS:
            continue
        points = [a for a in circuit.join if a in harness.points]
        wires = sum(w.ohm_per_m_20C * mm * (loads.amps.get(c.id) or amps) for c, w, mm in legs)
        joints = len({n for c, _, _ in legs for n in (c.a, c.b) if harness.is_joint(n)})
        most = wires * 1.2 + joints * JOINT_MILLIVOLTS
        told = (
            f"I R20 of its wires x 1.2 for warm copper + {joints} joints x {JOINT_MILLIVOLTS:g} mV"
        )
        if any(harness.points[a].function in ("power-ground", "frame-ground") for a in points):
            most, told = (
                min(most, GROUND_MILLIVOLTS),
                told + f", at most {GROUND_MILLIVOLTS:g} mV on a ground",
            )
        source = "common practice; a new crimp loses at most 5 mV (from memory), a ground 0.1 V under load (read)"
        sized = Sized(
            (
                Value("most", most, "mV", told, source, "from memory, unverified"),
                Value("expected", wires, "mV", "I R20 of its wires", "Ohm's law", "computed"),
            )
        )
        found.append(LoadedDrop(circuit.id, points[0], points[-1], amps, wires, most, sized))
    return found


def _assumptions(harness: Harness) -> tuple[str, ...]:
    around = harness.job.surroundings
    lines = [
        f"insulation limit {DEFAULT_LIMIT_C:g} C (class A), thin wall where a wire states none"
    ]
    if around.ambient_C is None:
        lines.append(f"ambient not stated: {DEFAULT_AMBIENT_C:g} C taken")
    if around.bundle is None:
        lines.append(
            "bundle not stated: every wire judged as a single wire in free air; a bundle carries less"
        )
    if around.wet is None:
        lines.append("wet or dry not stated: dry taken for the sleeves")
    if any(c.wire is not None and c.wire.bare for c in harness.conductors.values()):
        lines.append(
            "a bare drain gets a thin sleeve of its own before it is jointed: taken as thin-wall wire there"
        )
    if any(joint.kind is None for joint in harness.joints.values()):
        lines.append("joints without a stated kind are taken as butt crimps")
    return tuple(lines)
