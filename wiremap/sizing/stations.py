"""Where the joints of a run go: in single file where the window allows, otherwise the fewest abreast.

Objective, in this order: the fewest joints abreast at any station; with that, the widest spacing of the stations in
whole millimetres.  Two joints share a station or lie at least the spacing apart.  The two joints of a pair share a
station, one sleeve length apart, and count as two abreast because they are closer than the spacing; the next station
keeps clear of the sleeve of its second joint, so that nowhere more sleeves lie abreast than at a station.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from wiremap.sizing.bundle import bundle_mm

EPS = 1e-6
Kind = tuple[
    float, float, int, float
]  # far edge, near edge, joints in one, shift between them: the nearest far edge first
Counts = tuple[int, ...]  # how many of each kind


@dataclass(frozen=True, slots=True)
class Unit:
    """What is placed as one: a joint, or the joints of a pair.  `lo` to `hi` is its window from the machine's datum."""

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
    def kind(self) -> Kind:
        """What makes two units alike to the search."""
        return self.hi, self.lo, self.weight, self.shift_mm if self.weight > 1 else 0.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A joint at its place: its station's number from the machine's side, and mm from the machine's datum."""

    name: str
    station: int
    at_mm: float
    unit: str = ""  # first joint of its unit: the joints of a pair bear the same


@dataclass(frozen=True, slots=True)
class Layout:
    """All joints placed: how many lie abreast at most, how far stations are apart at least, the thickest lump."""

    placed: tuple[Placed, ...]
    stations_mm: tuple[float, ...]
    abreast: int
    spacing_mm: float
    lump_mm: float

    def at(self, name: str) -> Placed:
        """The place of a joint; raises KeyError."""
        for placed in self.placed:
            if placed.name == name:
                return placed
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class Window:
    """A run with its keep-outs and the tails that reach into it."""

    run_mm: float
    machine_tail_mm: float
    unit_tail_mm: float
    keep_out: tuple[tuple[float, float], ...] = ()

    @property
    def lo(self) -> float:
        """Nearest to the machine's datum that the unit's tail reaches."""
        return max(0.0, self.run_mm - self.unit_tail_mm)

    @property
    def barred(self) -> tuple[tuple[float, float], ...]:
        """The keep-outs; one that touches an end of the run bars that end too."""
        return tuple(
            (-math.inf if start <= 0 else start, math.inf if end >= self.run_mm else end)
            for start, end in self.keep_out
        )

    @property
    def hi(self) -> float:
        """Farthest from the machine's datum that the machine's tail reaches."""
        return min(self.run_mm, self.machine_tail_mm)


def _next_free(x: float, keep_out: Sequence[tuple[float, float]]) -> float:
    moved = True
    while moved:
        moved = False
        for start, end in keep_out:
            if start + EPS < x < end - EPS:
                x, moved = end, True
    return x


def stations_in(window: Window, spacing_mm: float) -> tuple[float, ...]:
    """As many stations as the window holds at this spacing, packed from the machine's side [mm]."""
    found: list[float] = []
    x = _next_free(window.lo, window.barred)
    while x <= window.hi + EPS:
        found.append(x)
        x = _next_free(x + spacing_mm, window.barred)
    return tuple(found)


def schedule(
    units: Sequence[Unit],
    abreast: int,
    spacing_mm: float,
    keep_out: Sequence[tuple[float, float]] = (),
) -> tuple[tuple[float, tuple[int, ...]], ...] | None:
    """Stations with the units at each, at most `abreast` joints at one; None when that cannot be done.

    Exact: a station is put as early as it can be, or where a further joint comes into reach; every number of pairs is
    tried at it, and the room left is filled with the single joints whose far edge is nearest.
    """
    kinds = sorted({u.kind for u in units})
    members = {k: [i for i, u in enumerate(units) if u.kind == k] for k in kinds}
    edges = sorted({_next_free(u.lo, keep_out) for u in units} | {end for _, end in keep_out})
    found = _search(
        kinds, tuple(len(members[k]) for k in kinds), edges, abreast, spacing_mm, keep_out
    )
    if found is None:
        return None
    stations = []
    for at, taken in found:
        stations.append(
            (
                at,
                tuple(
                    members[k].pop(0) for k, n in zip(kinds, taken, strict=True) for _ in range(n)
                ),
            )
        )
    return tuple(stations)


def _search(
    kinds: Sequence[Kind],
    wanted: Counts,
    edges: Sequence[float],
    abreast: int,
    spacing: float,
    keep_out: Sequence[tuple[float, float]],
) -> list[tuple[float, Counts]] | None:
    """Depth first over the places of the stations from the machine's side, each dead end looked at once."""
    dead: set[tuple[float, Counts]] = set()

    def start_of(x: float, left: Counts) -> float:
        return _next_free(
            max(x, min(k[1] for k, n in zip(kinds, left, strict=True) if n)), keep_out
        )

    def choices(start: float, left: Counts, first: bool = False) -> Iterator[tuple[float, Counts]]:
        for at in (start, *(e for e in edges if start + EPS < e < start + spacing - EPS)):
            if any(n and k[0] < at - EPS for k, n in zip(kinds, left, strict=True)):
                return
            for taken in _takes(kinds, left, at, abreast):
                if first or at - start + EPS >= max(
                    _leaning(k, at, keep_out) for k, n in zip(kinds, taken, strict=True) if n
                ):
                    yield at, taken

    begin = start_of(-math.inf, wanted)
    ways = [(begin, wanted, choices(begin, wanted, True))]
    chosen: list[tuple[float, Counts]] = []
    while ways:
        start, left, options = ways[-1]
        option = next(options, None)
        if option is None:
            dead.add((round(start, 6), left))
            ways.pop()
            if chosen:
                chosen.pop()
            continue
        at, taken = option
        rest = tuple(n - t for n, t in zip(left, taken, strict=True))
        chosen.append(option)
        if not any(rest):
            return chosen
        after = start_of(
            at
            + max(
                spacing, *(_beyond(k, at, keep_out) for k, n in zip(kinds, taken, strict=True) if n)
            ),
            rest,
        )
        if (round(after, 6), rest) in dead:
            chosen.pop()
        else:
            ways.append((after, rest, choices(after, rest)))
    return None


def _forward(kind: Kind, at: float, keep_out: Sequence[tuple[float, float]]) -> bool:
    """Whether the second joint of a pair lies behind the first, where the window and the keep-outs let it."""
    hi, _lo, weight, shift = kind
    ends = [at + shift * n for n in range(1, weight)]
    return all(x <= hi + EPS and _next_free(x, keep_out) == x for x in ends)


def _beyond(kind: Kind, at: float, keep_out: Sequence[tuple[float, float]]) -> float:
    """How far behind a station the sleeves of its pair reach, one more sleeve included: the next station lies no nearer."""
    return kind[3] * kind[2] if _forward(kind, at, keep_out) else 0.0


def _leaning(kind: Kind, at: float, keep_out: Sequence[tuple[float, float]]) -> float:
    """How far a pair at the far edge of its window leans back: the station before lies that much farther off."""
    return 0.0 if _forward(kind, at, keep_out) else kind[3] * (kind[2] - 1)


def _takes(kinds: Sequence[Kind], left: Counts, at: float, room: int) -> Iterator[Counts]:
    """What may share a station, most pairs first: within pairs and within singles the nearest far edge goes first."""
    reach = [k[1] <= at + EPS for k in kinds]
    pairs = sum(n * (k[2] > 1) for k, n, near in zip(kinds, left, reach, strict=True) if near)
    for most in range(pairs, -1, -1):
        taken, spare, allowed = [0] * len(kinds), room, most
        for heavy in (True, False):
            for i, ((_hi, _lo, weight, _shift), n) in enumerate(zip(kinds, left, strict=True)):
                if reach[i] and (weight > 1) == heavy:
                    taken[i] = min(n, spare // weight, allowed if heavy else n)
                    spare -= taken[i] * weight
                    allowed -= taken[i] * heavy
        if allowed == 0 and any(taken):
            yield tuple(taken)


def fewest_abreast(
    units: Sequence[Unit], spacing_mm: float, keep_out: Sequence[tuple[float, float]] = ()
) -> int | None:
    """The fewest joints that must share a station; None when a unit has no place at all."""
    if not units or any(_next_free(u.lo, keep_out) > u.hi + EPS for u in units):
        return None
    low, abreast = max(u.weight for u in units) - 1, sum(u.weight for u in units)
    if schedule(units, abreast, spacing_mm, keep_out) is None:
        return None
    while abreast - low > 1:  # more room at a station never hurts
        middle = (low + abreast) // 2
        if schedule(units, middle, spacing_mm, keep_out) is None:
            low = middle
        else:
            abreast = middle
    return abreast


def lay_out(
    units: Sequence[Unit], spacing_mm: float, keep_out: Sequence[tuple[float, float]] = ()
) -> Layout | None:
    """The layout with the fewest abreast and then the widest spacing; None when a unit has no place at all."""
    abreast = fewest_abreast(units, spacing_mm, keep_out)
    if abreast is None:
        return None
    wide = _widest(units, abreast, spacing_mm, keep_out)
    stations = schedule(units, abreast, wide, keep_out)
    assert stations is not None
    return _layout(_dealt(units, stations, abreast, keep_out), units, wide, keep_out)


def _widest(
    units: Sequence[Unit], abreast: int, least: float, keep_out: Sequence[tuple[float, float]]
) -> float:
    """The widest spacing in whole millimetres over the least that still needs no more abreast."""
    low, high = (
        0,
        max(1, math.ceil(max(u.hi for u in units) - min(u.lo for u in units) - least) + 1),
    )
    if schedule(units, abreast, least + high, keep_out) is not None:
        return least + high
    while high - low > 1:
        middle = (low + high) // 2
        if schedule(units, abreast, least + middle, keep_out) is not None:
            low = middle
        else:
            high = middle
    return least + low


def _dealt(
    units: Sequence[Unit],
    stations: Sequence[tuple[float, tuple[int, ...]]],
    abreast: int,
    keep_out: Sequence[tuple[float, float]],
) -> list[tuple[float, list[int]]]:
    """The same stations with joints dealt out evenly, thickest first, each within its own window."""
    room = [abreast] * len(stations)
    dealt: list[tuple[float, list[int]]] = [(at, []) for at, _ in stations]
    order = sorted(
        range(len(units)),
        key=lambda i: (-units[i].weight, units[i].hi - units[i].lo, -units[i].diameter_mm, i),
    )
    for i in order:
        unit = units[i]
        open_ = [
            s
            for s, (at, _) in enumerate(dealt)
            if unit.lo - EPS <= at <= unit.hi + EPS
            and room[s] >= unit.weight
            and _clear(unit, stations, s, keep_out)
        ]
        if not open_:
            return [(at, list(members)) for at, members in stations]
        best = min(
            open_,
            key=lambda s: (
                abreast - room[s],
                sum(units[j].diameter_mm ** 2 for j in dealt[s][1]),
                s,
            ),
        )
        dealt[best][1].append(i)
        room[best] -= unit.weight
    return [(at, members) for at, members in dealt if members]


def _clear(
    unit: Unit,
    stations: Sequence[tuple[float, tuple[int, ...]]],
    s: int,
    keep_out: Sequence[tuple[float, float]],
) -> bool:
    """Whether a unit at a station keeps its sleeves off the stations beside it."""
    at = stations[s][0]
    after = stations[s + 1][0] - at if s + 1 < len(stations) else math.inf
    before = at - stations[s - 1][0] if s else math.inf
    leans = _leaning(unit.kind, at, keep_out)
    return after + EPS >= _beyond(unit.kind, at, keep_out) and (
        not leans or before + EPS >= 2 * leans
    )


def _layout(
    stations: Sequence[tuple[float, list[int]]],
    units: Sequence[Unit],
    spacing: float,
    keep_out: Sequence[tuple[float, float]],
) -> Layout:
    placed, lumps, most = [], [], 0
    for number, (at, members) in enumerate(stations, 1):
        most = max(most, sum(units[i].weight for i in members))
        diameters = tuple(
            units[i].diameter_mm
            for i in members
            for _ in units[i].names
            if units[i].diameter_mm > 0
        )
        lumps.append(bundle_mm(diameters) if diameters else 0.0)
        for i in members:
            for j, name in enumerate(units[i].names):
                placed.append(
                    Placed(name, number, _shifted(at, j, units[i], keep_out), units[i].names[0])
                )
    places = tuple(at for at, _ in stations)
    gap = min((b - a for a, b in pairwise(places)), default=spacing)
    return Layout(tuple(placed), places, most, gap, max(lumps))


def _shifted(at: float, number: int, unit: Unit, keep_out: Sequence[tuple[float, float]]) -> float:
    """The joints of a pair lie one sleeve apart, the second behind the first unless an edge or a keep-out is there."""
    span = unit.shift_mm * number
    return at + span if not span or _forward(unit.kind, at, keep_out) else max(unit.lo, at - span)
