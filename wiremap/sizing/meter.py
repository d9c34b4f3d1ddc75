"""What to expect at the meter: ohms along each circuit, and volts lost under load."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from wiremap.graph import Conductor, Harness
from wiremap.sizing.conductor import Cable
from wiremap.sizing.drop import FILE, limit
from wiremap.sizing.load import Loads
from wiremap.sizing.paths import GROUNDS, milliohm
from wiremap.sizing.sized import MEMORY, Origin, Sized, Value, source_title, weakest

MATED = ("pigtail", "mate")  # kinds of ends whose contact a current passes as well
LOADED = Origin(
    "common practice; a new crimp loses at most 5 mV (from memory), "
    "a ground 0.1 V under load (read)",
    MEMORY,
)


class MeteredWire(NamedTuple):
    """A cable of some length [mm]."""

    cable: Cable
    length_mm: float

    @property
    def milliohm(self) -> float:
        """Its greatest resistance at 20 C [mohm]."""
        return self.cable.ohm_per_m_20C * self.length_mm


class MeteredLeg(NamedTuple):
    """One conductor of a circuit with its wire."""

    conductor: Conductor
    wire: MeteredWire


@dataclass(frozen=True, slots=True, kw_only=True)
class Continuity:
    """`expected` and `most` that a milliohm meter may find between two points [mohm]."""

    circuit: str
    a: str
    b: str
    sized: Sized


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedDrop:
    """A drop test under load: its current [A], the `expected` and `most` drop [mV]."""

    circuit: str
    a: str
    b: str
    amps: float
    sized: Sized


def _legs(harness: Harness, loads: Loads, circuit: str) -> list[MeteredLeg]:
    """The conductors of a circuit with their sizes; empty when one is not known."""
    found = []
    for conductor in harness.conductors_by_circuit.get(circuit, ()):
        if not conductor.has_length:
            continue
        wire = loads.cables.get(conductor.id)
        if wire is None or conductor.length_mm is None:
            return []
        found.append(MeteredLeg(conductor, MeteredWire(wire, conductor.length_mm)))
    return found


def continuity(harness: Harness, loads: Loads) -> Iterator[Continuity]:
    """For every circuit of known sizes: from its first point to each other one, at 20 C [mohm]."""
    for circuit in harness.job.circuits:
        legs = _legs(harness, loads, circuit.id)
        points = [address for address in circuit.join if address in harness.points]
        if not legs:
            continue
        for other in points[1:]:
            first = points[0]
            sized = _between(harness, legs, first, other)
            if sized is not None:
                yield Continuity(
                    circuit=circuit.id,
                    a=first,
                    b=other,
                    sized=sized,
                )


def _between(harness: Harness, legs: list[MeteredLeg], a: str, b: str) -> Sized | None:
    way = legs
    if len(legs) > 1:
        way = [leg for leg in legs if leg.conductor.point in (None, a, b)]
    if not way:
        return None
    ends = [harness.end_of(address) for address in (a, b)]
    contacts = sum(end is not None and end.kind in MATED for end in ends)
    return _metered(tuple(leg.wire for leg in way), contacts, _joints(harness, way))


@lru_cache(maxsize=1024)
def _metered(way: tuple[MeteredWire, ...], contacts: int, joints: int) -> Sized:
    """What a way of wires, contacts and joints should read: a harness has many alike."""
    results = _expected(way, contacts, joints)
    proves = "a meter of 0.1 ohm resolution proves no more than that it is not open"
    return Sized(results=tuple(results), assumptions=(f"at 20 C; {proves}",))


def _joints(harness: Harness, way: list[MeteredLeg]) -> int:
    nodes = {node for leg in way for node in (leg.conductor.a, leg.conductor.b)}
    return sum(map(harness.is_joint, nodes))


def _expected(way: tuple[MeteredWire, ...], contacts: int, joints: int) -> Iterator[Value]:
    sources = dict.fromkeys(wire.cable.source for wire in way)
    sources[source_title(FILE, "contact-manual")] = None
    sources[source_title(FILE, "joint-practice")] = None
    status = weakest("computed", MEMORY, *(wire.cable.status for wire in way))
    origin = Origin("; ".join(sources), status)
    wires = sum(wire.milliohm for wire in way)
    contact = milliohm("contact")
    joint = milliohm("joint")
    most = wires + contacts * contact + joints * joint
    formula = f"R20 x length + {contacts} contacts x {contact:g}"
    yield origin.value("most", most, "mohm", f"{formula} + {joints} joints x {joint:g}")
    least = milliohm("contact", "least")
    formula = f"R20 x length + {contacts} contacts x {least:g}"
    yield origin.value("expected", wires + contacts * least, "mohm", formula)


def loaded(harness: Harness, loads: Loads) -> Iterator[LoadedDrop]:
    """A drop test for every circuit that carries half an ampere or more: a beep proves no crimp."""
    for circuit in harness.job.circuits:
        legs = _legs(harness, loads, circuit.id)
        amps = max((_amps(loads, leg, 0.0) for leg in legs), default=0.0)
        if amps < limit("loaded_from_amps"):
            continue
        points = [address for address in circuit.join if address in harness.points]
        wires = sum(leg.wire.milliohm * _amps(loads, leg, amps) for leg in legs)
        ground = any(harness.points[address].function in GROUNDS for address in points)
        sized = _drop_test(wires, _joints(harness, legs), ground=ground)
        yield LoadedDrop(
            circuit=circuit.id,
            a=points[0],
            b=points[-1],
            amps=amps,
            sized=sized,
        )


@lru_cache(maxsize=1024)
def _drop_test(wires: float, joints: int, *, ground: bool) -> Sized:
    """The most that wires of this drop [mV] and their joints may lose, and what they should."""
    most = _most_lost(wires, joints, ground=ground)
    expected = Origin("Ohm's law", "computed")
    value = expected.value("expected", wires, "mV", "I R20 of its wires")
    return Sized(results=(most, value))


def _amps(loads: Loads, leg: MeteredLeg, otherwise: float) -> float:
    return loads.amps.get(leg.conductor.id) or otherwise


def _most_lost(wires: float, joints: int, *, ground: bool) -> Value:
    warm = limit("warm_copper")
    each = limit("joint_millivolts")
    most = wires * warm + joints * each
    formula = f"I R20 of its wires x {warm:g} for warm copper + {joints} joints x {each:g} mV"
    if ground:
        allowed = limit("ground_millivolts")
        most = min(most, allowed)
        formula += f", at most {allowed:g} mV on a ground"
    return LOADED.value("most", most, "mV", formula)
