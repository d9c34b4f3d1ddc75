"""Where the joints of a run go: in single file where the window allows, else the fewest abreast.

Objective, in this order: the fewest joints abreast at any station; with that, the widest spacing
of the stations in whole millimetres.  Two joints share a station or lie at least the spacing
apart.  The two joints of a pair share a station, one sleeve length apart, and count as two abreast
because they are closer than the spacing; the next station keeps clear of the sleeve of its second
joint, so that nowhere more sleeves lie abreast than at a station.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from wiremap.sizing.bundle import bundle_mm
from wiremap.sizing.station_search import EPS, Barred, Counts, GroupKind, StationSearch, next_free

UNKNOWN_MM = 0.0  # of what nobody knows how thick it is


@dataclass(frozen=True, slots=True)
class JointGroup:
    """What is placed as one: a joint, or the joints of a pair.

    `lo` to `hi` is its window from the machine's datum [mm].
    """

    names: tuple[str, ...]
    lo: float
    hi: float
    diameter_mm: float = 0.0
    shift_mm: float = 0.0  # between the joints of a pair: one sleeve length

    @property
    def weight(self) -> int:
        """How many joints it is."""
        return len(self.names)

    @property
    def kind(self) -> GroupKind:
        """What makes two groups alike to the search."""
        shift = self.shift_mm if self.weight > 1 else 0.0
        return GroupKind(self.hi, self.lo, self.weight, shift)


@dataclass(frozen=True, slots=True)
class PlacedJoint:
    """A joint at its place: its station's number and mm, from the machine's side."""

    name: str
    station: int
    at_mm: float
    group: str  # first joint of its group: the joints of a pair bear the same


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """All joints placed: most abreast, least distance of stations, the thickest lump [mm]."""

    placed: tuple[PlacedJoint, ...]
    stations_mm: tuple[float, ...]
    abreast: int
    spacing_mm: float
    lump_mm: float

    def at(self, name: str) -> PlacedJoint:
        """The place of a joint; raises KeyError."""
        for placed in self.placed:
            if placed.name == name:
                return placed
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class Window:
    """A run with its keep-outs and the tails that reach into it [mm]."""

    run_mm: float
    machine_tail_mm: float
    unit_tail_mm: float
    keep_out: tuple[tuple[float, float], ...] = ()

    @property
    def lo(self) -> float:
        """Nearest to the machine's datum that the unit's tail reaches [mm]."""
        return max(0.0, self.run_mm - self.unit_tail_mm)

    @property
    def hi(self) -> float:
        """Farthest from the machine's datum that the machine's tail reaches [mm]."""
        return min(self.run_mm, self.machine_tail_mm)

    def off_ties(self, edge_mm: float) -> Window:
        """This run with so much of it kept clear at both ties [mm]."""
        if edge_mm <= 0:
            return self
        clear = ((0.0, edge_mm), (self.run_mm - edge_mm, self.run_mm))
        return replace(self, keep_out=(*clear, *self.keep_out))

    @property
    def barred(self) -> tuple[tuple[float, float], ...]:
        """The keep-outs; one that touches an end of the run bars that end too [mm]."""
        found = []
        for start, end in self.keep_out:
            low = -math.inf if start <= 0 else start
            high = math.inf if end >= self.run_mm else end
            found.append((low, high))
        return tuple(found)

    @property
    def gap_told(self) -> str:
        """By how much tails that do not meet stay apart, in words."""
        tails = f"{self.machine_tail_mm:g} and {self.unit_tail_mm:g} mm"
        leave = f"leave {self.lo - self.hi:g} mm between them"
        return f"the tails do not meet: {tails} on a run of {self.run_mm:g} mm {leave}"


class Station(NamedTuple):
    """A place on the run [mm] and the numbers of the groups there."""

    at: float
    members: tuple[int, ...]


def stations_in(window: Window, spacing_mm: float) -> tuple[float, ...]:
    """As many stations as the window holds at this spacing, packed from the machine's side [mm]."""
    found: list[float] = []
    at = next_free(window.lo, window.barred)
    while at <= window.hi + EPS:
        found.append(at)
        at = next_free(at + spacing_mm, window.barred)
    return tuple(found)


def schedule(
    groups: Sequence[JointGroup], abreast: int, spacing_mm: float, keep_out: Barred = ()
) -> tuple[Station, ...] | None:
    """Stations with the groups at each, at most `abreast` joints at one; None if that cannot be.

    Exact: a station is put as early as it can be, or where a further joint comes into reach; every
    number of pairs is tried at it, and the room left is filled with the single joints whose far
    edge is nearest.
    """
    members: dict[GroupKind, list[int]] = {}
    for number, group in enumerate(groups):
        members.setdefault(group.kind, []).append(number)
    kinds = sorted(members)
    counts = tuple(len(members[kind]) for kind in kinds)
    search = StationSearch(kinds=kinds, abreast=abreast, spacing=spacing_mm, keep_out=keep_out)
    found = search.run(counts)
    if found is None:
        return None
    return tuple(Station(at, _taken(members, kinds, counts)) for at, counts in found)


def _taken(
    members: dict[GroupKind, list[int]], kinds: Sequence[GroupKind], counts: Counts
) -> tuple[int, ...]:
    """The next groups of each kind, as many as counted, taken out of their lists."""
    found = []
    for kind, count in zip(kinds, counts, strict=True):
        found += members[kind][:count]
        del members[kind][:count]
    return tuple(found)


def fewest_abreast(groups: Sequence[JointGroup], spacing_mm: float, keep_out: Barred) -> int | None:
    """The fewest joints that must share a station; None when a group has no place at all."""
    if not groups:
        return None
    for group in groups:
        if next_free(group.lo, keep_out) > group.hi + EPS:
            return None
    weights = [group.weight for group in groups]
    low = max(weights) - 1
    abreast = sum(weights)
    if schedule(groups, abreast, spacing_mm, keep_out) is None:
        return None
    while abreast - low > 1:  # more room at a station never hurts
        middle = (low + abreast) // 2
        if schedule(groups, middle, spacing_mm, keep_out) is None:
            low = middle
        else:
            abreast = middle
    return abreast


def lay_out(
    groups: Sequence[JointGroup], spacing_mm: float, keep_out: Barred = ()
) -> Layout | None:
    """The layout with the fewest abreast and then the widest spacing.

    None when a group has no place at all.  Raises OutOfRange for a place so crowded that its
    thickness is beyond the tables.
    """
    return _laid_out(tuple(groups), spacing_mm, tuple(keep_out))


@lru_cache(maxsize=64)
def _laid_out(groups: tuple[JointGroup, ...], spacing_mm: float, keep_out: Barred) -> Layout | None:
    abreast = fewest_abreast(groups, spacing_mm, keep_out)
    if abreast is None:
        return None
    wide = _widest(groups, abreast, spacing_mm, keep_out)
    stations = schedule(groups, abreast, wide, keep_out)
    assert stations is not None
    return _layout(_dealt(groups, stations, abreast, keep_out), groups, wide, keep_out)


def _widest(groups: Sequence[JointGroup], abreast: int, least: float, keep_out: Barred) -> float:
    """The widest spacing in whole millimetres over the least that needs no more abreast."""
    reach = max(group.hi for group in groups) - min(group.lo for group in groups)
    low = 0
    high = max(1, math.ceil(reach - least) + 1)
    if schedule(groups, abreast, least + high, keep_out) is not None:
        return least + high
    while high - low > 1:
        middle = (low + high) // 2
        if schedule(groups, abreast, least + middle, keep_out) is not None:
            low = middle
        else:
            high = middle
    return least + low


class _Deal:
    """Stations to which joints are dealt out evenly, each within its own window."""

    def __init__(
        self,
        groups: Sequence[JointGroup],
        stations: Sequence[Station],
        abreast: int,
        keep_out: Barred,
    ) -> None:
        self.groups = groups
        self.stations = stations
        self.keep_out = keep_out
        self.room = [abreast] * len(stations)
        self.members: list[list[int]] = [[] for _ in stations]

    def order(self, number: int) -> tuple[int, float, float, int]:
        """Who is dealt first: pairs, narrow windows, thick joints."""
        group = self.groups[number]
        return -group.weight, group.hi - group.lo, -group.diameter_mm, number

    def place(self, number: int) -> bool:
        """Put a group where fewest and thinnest lie so far; False where no station takes it."""
        group = self.groups[number]
        takers = [s for s in range(len(self.stations)) if self._takes(s, group)]
        if not takers:
            return False
        best = min(takers, key=self._crowd)
        self.members[best].append(number)
        self.room[best] -= group.weight
        return True

    def _crowd(self, station: int) -> tuple[int, float, int]:
        area = sum(self.groups[number].diameter_mm ** 2 for number in self.members[station])
        return -self.room[station], area, station

    def _takes(self, station: int, group: JointGroup) -> bool:
        at = self.stations[station].at
        if not group.lo - EPS <= at <= group.hi + EPS or self.room[station] < group.weight:
            return False
        return self._clear(station, group)

    def _clear(self, station: int, group: JointGroup) -> bool:
        """Whether a group at a station keeps its sleeves off the stations beside it."""
        at = self.stations[station].at
        after = before = math.inf
        if station + 1 < len(self.stations):
            after = self.stations[station + 1].at - at
        if station:
            before = at - self.stations[station - 1].at
        leans = group.kind.leaning(at, self.keep_out)
        if leans and before + EPS < 2 * leans:
            return False
        return after + EPS >= group.kind.beyond(at, self.keep_out)


def _dealt(
    groups: Sequence[JointGroup], stations: Sequence[Station], abreast: int, keep_out: Barred
) -> list[Station]:
    """The stations with joints dealt out evenly; as they were where one then has no place."""
    deal = _Deal(groups, stations, abreast, keep_out)
    for number in sorted(range(len(groups)), key=deal.order):
        if not deal.place(number):
            return list(stations)
    found = []
    for station, members in zip(stations, deal.members, strict=True):
        if members:
            found.append(Station(station.at, tuple(members)))
    return found


def _layout(
    stations: Sequence[Station], groups: Sequence[JointGroup], spacing: float, keep_out: Barred
) -> Layout:
    placed: list[PlacedJoint] = []
    lump = UNKNOWN_MM
    most = 0
    for number, station in enumerate(stations, 1):
        here = [groups[member] for member in station.members]
        most = max(most, sum(group.weight for group in here))
        lump = max(lump, _lump_mm(here))
        for group in here:
            for joint, name in enumerate(group.names):
                at = _shifted(station.at, joint, group, keep_out)
                placed.append(PlacedJoint(name, number, at, group.names[0]))
    places = tuple(station.at for station in stations)
    gap = min((after - before for before, after in pairwise(places)), default=spacing)
    return Layout(
        placed=tuple(placed), stations_mm=places, abreast=most, spacing_mm=gap, lump_mm=lump
    )


def _lump_mm(groups: Sequence[JointGroup]) -> float:
    """Diameter of the joints of a station lying together [mm]; 0 where none is known."""
    diameters: list[float] = []
    for group in groups:
        if group.diameter_mm != UNKNOWN_MM:
            diameters += [group.diameter_mm] * group.weight
    return bundle_mm(tuple(diameters)) if diameters else UNKNOWN_MM


def _shifted(at: float, number: int, group: JointGroup, keep_out: Barred) -> float:
    """Where a joint of a group lies [mm]: those of a pair a sleeve apart."""
    span = group.shift_mm * number
    if not span or group.kind.forward(at, keep_out):
        return at + span
    return max(group.lo, at - span)
