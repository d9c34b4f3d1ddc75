"""The job that the readings of an adapter without a job come to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from wiremap.diagnose.homes import cavities_of
from wiremap.diagnose.plain_contacts import Groups, PlainReadings
from wiremap.evidence import refused
from wiremap.model import (
    Address,
    Cavity,
    Circuit,
    End,
    EndKind,
    Entry,
    Extra,
    ExtraKind,
    Job,
    NotJoined,
    Pinout,
    Side,
    Treat,
    frozen,
)
from wiremap.rules.scope import is_restraint

BARRED = "restraint or high-voltage wiring: nobody puts a probe there"
EMPTY = "nothing there by its paper, and not probed"


def job_of(
    pinouts: Mapping[str, Pinout], readings: PlainReadings, groups: Groups, path: str
) -> Job:
    """The job that these groups of contacts come to, with the parts that were read between them.

    The first pinout is the machine's side, every other the unit's.  What was probed and joins
    nothing stands as not joined; a contact that nobody probed stands nowhere: the file holds until
    it has been.
    """
    circuits = [_circuit(group[0], group) for group in groups if len(group) > 1]
    extras: dict[str, Extra] = {}
    for part in readings.parts:
        if part.ohms is not None:
            circuits = _with_resistor(circuits, extras, part)
    joined = {point for circuit in circuits for point in circuit.join}
    left = {
        Address.read(point): NotJoined(point=Address.read(point), why=why, treat=Treat.LEAVE)
        for point, why in _joins_nothing(pinouts, readings, groups)
        if point not in joined
    }
    return Job(
        title="Adapter as found",
        path=path,
        ends=frozen(_ends(pinouts)),
        circuits=tuple(circuits),
        extras=frozen(extras),
        not_joined=frozen(left),
    )


def _ends(pinouts: Mapping[str, Pinout]) -> dict[str, End]:
    ends = {}
    side = Side.MACHINE
    for name, pinout in pinouts.items():
        ends[name] = End(name=name, pinout=pinout, kind=EndKind.PIGTAIL, side=side)
        side = Side.UNIT
    return ends


def _circuit(name: str, points: Iterable[str]) -> Circuit:
    return Circuit(id=name, join=tuple(map(Address.read, points)))


def why_spared(cavity: Cavity) -> str:
    """Why nobody probes a contact: barred by any of its sources, or a hole with nothing in it.

    An unused contact with a wire in it is none: nobody knows yet what that wire reaches.
    """
    if refused(cavity) or is_restraint(cavity):
        return BARRED
    nothing_told = cavity.unused and not cavity.has_wire
    return EMPTY if nothing_told or cavity.as_found == "empty" else ""


def _joins_nothing(
    pinouts: Mapping[str, Pinout], readings: PlainReadings, groups: Groups
) -> Iterator[tuple[str, str]]:
    """The contacts that join nothing, each with what that rests on.

    One that has yet to be probed is not among them.
    """
    cavities = cavities_of(pinouts)
    why = {point: why_spared(cavity) for point, cavity in cavities.items()}
    proven_apart = readings.apart(groups)
    for number, group in enumerate(groups):
        point = Address.read(group[0])
        if len(group) > 1 or (cavities[point].unused and why[point]):
            continue
        if point not in readings.touched:
            if why[point]:
                yield point, why[point]
            continue
        others = [
            other for other, members in enumerate(groups) if _may_be_probed(members, point.end, why)
        ]
        silent = sum(frozenset((number, other)) in proven_apart for other in others)
        if silent == len(others):
            yield point, "silent to the whole other side"
        else:
            yield (
                point,
                f"not proven apart: silent to {silent} of {len(others)} circuits of the other "
                "side, the others not probed",
            )


def _may_be_probed(group: Sequence[str], end: str, why: Mapping[str, str]) -> bool:
    """Whether a group has a contact of another end than this that may be probed."""
    return any(Address.read(point).end != end and not why[point] for point in group)


def _with_resistor(circuits: list[Circuit], extras: dict[str, Extra], part: Entry) -> list[Circuit]:
    """The circuits with a part between two of them; unchanged if it lies in one, or is known."""
    assert part.ohms is not None
    points = (part.red[0], part.black[0])
    owners = {_owner(circuits, point) for point in points}
    known = [_met_by(circuits, name) for name in extras]
    if len(owners) < 2 or owners in known:
        return circuits
    name = f"R{len(extras) + 1}"
    ohms = round((part.ohms.low + part.ohms.high) / 2, 1)
    extras[name] = Extra(name=name, kind=ExtraKind.RESISTOR, ohms=ohms)
    made = list(circuits)
    for point, leg in zip(points, extras[name].legs, strict=True):
        places = [place for place, circuit in enumerate(made) if point in circuit.join]
        if places:
            old = made[places[0]]
            made[places[0]] = replace(old, join=(*old.join, leg))
        else:
            made.append(Circuit(id=point, join=(point, leg)))
    return made


def _owner(circuits: Iterable[Circuit], point: str) -> str:
    """The circuit that a point is in, by its name; the point itself if in none."""
    for circuit in circuits:
        if point in circuit.join:
            return circuit.id
    return point


def _met_by(circuits: Iterable[Circuit], extra: str) -> set[str]:
    """The circuits that a part's legs are in."""
    legs = {f"{extra}.a", f"{extra}.b"}
    return {circuit.id for circuit in circuits if not legs.isdisjoint(circuit.join)}
