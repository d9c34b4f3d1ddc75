"""Where the joints of a run go: in single file where the window allows, otherwise the fewest abreast.

Objective, in this order: the fewest joints abreast at any station; with that, the widest spacing of the stations in
whole millimetres.  Two joints share a station or lie at least the spacing apart.  The two joints of a pair share a
station, one sleeve length apart, and count as two abreast because they are closer than the spacing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from wiremap.sizing.bundle import bundle_mm
from wiremap.sizing.sized import OutOfRange, Sized, Value, in_range, source_title
from wiremap.sizing.splices import FILE, rule

EPS = 1e-6
MOST_JOINTS = 400


@dataclass(frozen=True, slots=True)
class Unit:
    """What is placed as one: a joint, or the joints of a pair.  `lo` to `hi` is its window from the machine's datum."""

    names: tuple[str, ...]
    lo: float
    hi: float
    diameter_mm: float = 0.0
    shift_mm: float = 0.0        # between the joints of a pair: one sleeve length

    @property
    def weight(self) -> int:
        """How many joints it is."""
        return len(self.names)


@dataclass(frozen=True, slots=True)
class Placed:
    """A joint at its place: its station's number from the machine's side, and mm from the machine's datum."""

    name: str
    station: int
    at_mm: float
    unit: str = ""           # first joint of its unit: the joints of a pair bear the same


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
        return tuple((-math.inf if start <= 0 else start, math.inf if end >= self.run_mm else end)
                     for start, end in self.keep_out)

    @property
    def hi(self) -> float:
        """Farthest from the machine's datum that the machine's tail reaches."""
        return min(self.run_mm, self.machine_tail_mm)


def free_stretches(lo: float, hi: float, keep_out: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """The stretches of a window outside every keep-out; a keep-out's own edges are free."""
    free = [(lo, hi)] if lo <= hi + EPS else []
    for start, end in sorted(keep_out):
        free = [part for a, b in free for part in ((a, min(b, start)), (max(a, end), b)) if part[0] <= part[1] + EPS
                and not (start + EPS < part[0] < end - EPS)]
    return tuple(dict.fromkeys(free))


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


def schedule(units: Sequence[Unit], abreast: int, spacing_mm: float,
             keep_out: Sequence[tuple[float, float]] = ()) -> tuple[tuple[float, tuple[int, ...]], ...] | None:
    """Stations with the units at each, at most `abreast` joints at one; None when that cannot be done.

    Exact for single joints: at a station those in reach with the nearest far edge go first, and a station is put as
    early as it can be, or where a further joint comes into reach.  Units of several joints are laid the same way.
    """
    kinds = sorted({(u.hi, u.lo, u.weight) for u in units})
    members = {k: [i for i, u in enumerate(units) if (u.hi, u.lo, u.weight) == k] for k in kinds}
    edges = sorted({_next_free(u.lo, keep_out) for u in units} | {end for _, end in keep_out})
    dead: set[tuple[float, tuple[int, ...]]] = set()

    def lay(x: float, left: tuple[int, ...]) -> list[tuple[float, tuple[int, ...]]] | None:
        if not any(left):
            return []
        start = _next_free(max(x, min(k[1] for k, n in zip(kinds, left, strict=True) if n)), keep_out)
        if (round(start, 6), left) in dead:
            return None
        for at in [start, *(e for e in edges if start + EPS < e < start + spacing_mm - EPS)]:
            if any(n and k[0] < at - EPS for k, n in zip(kinds, left, strict=True)):
                break
            taken = _take(kinds, left, at, abreast)
            if not any(taken):
                continue
            rest = lay(at + spacing_mm, tuple(n - t for n, t in zip(left, taken, strict=True)))
            if rest is not None:
                return [(at, taken), *rest]
        dead.add((round(start, 6), left))
        return None

    found = lay(-math.inf, tuple(len(members[k]) for k in kinds))
    if found is None:
        return None
    stations = []
    for at, taken in found:
        stations.append((at, tuple(members[k].pop(0) for k, n in zip(kinds, taken, strict=True) for _ in range(n))))
    return tuple(stations)


def _take(kinds: Sequence[tuple[float, float, int]], left: tuple[int, ...], at: float, room: int) -> tuple[int, ...]:
    taken = []
    for (_hi, lo, weight), n in zip(kinds, left, strict=True):
        fits = min(n, room // weight) if lo <= at + EPS else 0
        taken.append(fits)
        room -= fits * weight
    return tuple(taken)


def lay_out(units: Sequence[Unit], spacing_mm: float, keep_out: Sequence[tuple[float, float]] = ()) -> Layout | None:
    """The layout with the fewest abreast and then the widest spacing; None when a unit has no place at all."""
    if not units or any(_next_free(u.lo, keep_out) > u.hi + EPS for u in units):
        return None
    total = sum(u.weight for u in units)
    abreast = next((k for k in range(max(u.weight for u in units), total + 1)
                    if schedule(units, k, spacing_mm, keep_out) is not None), None)
    if abreast is None:
        return None
    wide = _widest(units, abreast, spacing_mm, keep_out)
    stations = schedule(units, abreast, wide, keep_out)
    assert stations is not None
    return _layout(_dealt(units, stations, abreast), units, abreast, wide)


def _widest(units: Sequence[Unit], abreast: int, least: float, keep_out: Sequence[tuple[float, float]]) -> float:
    """The widest spacing in whole millimetres over the least that still needs no more abreast."""
    low, high = 0, max(1, math.ceil(max(u.hi for u in units) - min(u.lo for u in units) - least) + 1)
    if schedule(units, abreast, least + high, keep_out) is not None:
        return least + high
    while high - low > 1:
        middle = (low + high) // 2
        if schedule(units, abreast, least + middle, keep_out) is not None:
            low = middle
        else:
            high = middle
    return least + low


def _dealt(units: Sequence[Unit], stations: Sequence[tuple[float, tuple[int, ...]]],
           abreast: int) -> list[tuple[float, list[int]]]:
    """The same stations with joints dealt out evenly, thickest first, each within its own window."""
    room = [abreast] * len(stations)
    dealt: list[tuple[float, list[int]]] = [(at, []) for at, _ in stations]
    order = sorted(range(len(units)), key=lambda i: (-units[i].weight, units[i].hi - units[i].lo,
                                                     -units[i].diameter_mm, i))
    for i in order:
        unit = units[i]
        open_ = [s for s, (at, _) in enumerate(dealt)
                 if unit.lo - EPS <= at <= unit.hi + EPS and room[s] >= unit.weight]
        if not open_:
            return [(at, list(members)) for at, members in stations]
        best = min(open_, key=lambda s: (abreast - room[s], sum(units[j].diameter_mm ** 2 for j in dealt[s][1]), s))
        dealt[best][1].append(i)
        room[best] -= unit.weight
    return [(at, members) for at, members in dealt if members]


def _layout(stations: Sequence[tuple[float, list[int]]], units: Sequence[Unit], abreast: int,
            spacing: float) -> Layout:
    placed, lumps, most = [], [], 0
    for number, (at, members) in enumerate(stations, 1):
        most = max(most, sum(units[i].weight for i in members))
        diameters = tuple(units[i].diameter_mm for i in members for _ in units[i].names if units[i].diameter_mm > 0)
        lumps.append(bundle_mm(diameters) if diameters else 0.0)
        for i in members:
            for j, name in enumerate(units[i].names):
                placed.append(Placed(name, number, _shifted(at, j, units[i]), units[i].names[0]))
    places = tuple(at for at, _ in stations)
    gap = min((b - a for a, b in pairwise(places)), default=spacing)
    return Layout(tuple(placed), places, most, gap, max(lumps))


def _shifted(at: float, number: int, unit: Unit) -> float:
    """The joints of a pair lie one sleeve apart, away from the edge that is nearer."""
    if number == 0 or unit.shift_mm == 0:
        return at
    span = unit.shift_mm * number
    return at + span if at + span <= unit.hi + EPS else max(unit.lo, at - span)


# -- the answer ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Cut:
    """How long the two conductors of a joint are cut, from their datums, slack for remakes on them."""

    name: str
    machine_mm: float
    unit_mm: float
    machine_slack_mm: float
    unit_slack_mm: float

    @property
    def slack_mm(self) -> float:
        """The slack of both tails together."""
        return self.machine_slack_mm + self.unit_slack_mm


def lengths_to_cut(layout: Layout, window: Window) -> tuple[Cut, ...]:
    """Lengths to cut for every joint: to its place, and half the remake slack on each tail that has it.

    The joints of a pair get the same slack, so that its conductors stay as long as each other.
    """
    want = rule("remakes") * rule("remake_mm") / 2
    spare: dict[str, tuple[float, float]] = {}
    for placed in layout.placed:
        own = (min(want, max(0.0, window.machine_tail_mm - placed.at_mm)),
               min(want, max(0.0, window.unit_tail_mm - (window.run_mm - placed.at_mm))))
        least = spare.get(placed.unit, own)
        spare[placed.unit] = (min(own[0], least[0]), min(own[1], least[1]))
    cuts = []
    for placed in layout.placed:
        machine, unit = spare[placed.unit]
        cuts.append(Cut(placed.name, placed.at_mm + machine, window.run_mm - placed.at_mm + unit, machine, unit))
    return tuple(cuts)


@lru_cache(maxsize=256)
def more_tail(units: tuple[Unit, ...], window: Window, spacing_mm: float, step_mm: float = 10.0,
              ) -> tuple[tuple[str, float, int, int], ...]:
    """What peeling back more tail buys: (side, tail in mm, stations, abreast) where it brings fewer abreast."""
    found = []
    for side in ("machine", "unit"):
        best = _abreast(units, window, spacing_mm)
        tail = window.machine_tail_mm if side == "machine" else window.unit_tail_mm
        at = math.floor(tail / step_mm) * step_mm + step_mm
        while at < window.run_mm + step_mm and best > 1:
            wider = Window(window.run_mm, at, window.unit_tail_mm, window.keep_out) if side == "machine" else \
                Window(window.run_mm, window.machine_tail_mm, at, window.keep_out)
            abreast = _abreast(units, wider, spacing_mm)
            if abreast < best:
                found.append((side, at, len(stations_in(wider, spacing_mm)), abreast))
                best = abreast
            at += step_mm
    return tuple(found)


def _abreast(units: Sequence[Unit], window: Window, spacing_mm: float) -> int:
    """Fewest abreast in one common window: joints over stations, rounded up; a large number when there is none."""
    stations = len(stations_in(window, spacing_mm))
    if stations == 0:
        return 10 ** 6
    return max(max(u.weight for u in units), math.ceil(sum(u.weight for u in units) / stations))


def plain_units(joints: int, pairs: int, window: Window, diameter_mm: float, sleeve_mm: float) -> tuple[Unit, ...]:
    """Units of one common window: `joints` in all, of which `pairs` lie in twos."""
    units = [Unit((f"pair{i + 1}.a", f"pair{i + 1}.b"), window.lo, window.hi, diameter_mm, sleeve_mm)
             for i in range(pairs)]
    units += [Unit((f"j{i + 1}",), window.lo, window.hi, diameter_mm) for i in range(joints - 2 * pairs)]
    return tuple(units)


def size_stagger(window: Window, joints: int, *, pairs: int = 0, spacing_mm: float | None = None,
                 diameter_mm: float = 0.0, sleeve_mm: float = 25.0) -> Sized:
    """Stations, how many abreast, the lump's diameter, what more tail buys, and the lengths to cut."""
    spacing = rule("spacing_mm") if spacing_mm is None else spacing_mm
    _checked(window, joints, pairs, spacing, diameter_mm, sleeve_mm)
    inputs = (("run_mm", window.run_mm), ("tails_mm", [window.machine_tail_mm, window.unit_tail_mm]),
              ("joints", joints), ("pairs", pairs), ("spacing_mm", spacing),
              ("keep_out_mm", [list(k) for k in window.keep_out]))
    assumptions = ("objective: fewest joints abreast, then the widest spacing in whole mm",
                   f"joints share a station or lie at least {spacing:g} mm apart",
                   "a pair's two joints lie one sleeve apart and count as two abreast",
                   f"slack for {rule('remakes'):g} remakes of {rule('remake_mm'):g} mm (common practice) where the "
                   "tails have it")
    units = plain_units(joints, pairs, window, diameter_mm, sleeve_mm)
    layout = lay_out(units, spacing, window.barred)
    if layout is None:
        return Sized((), inputs, assumptions, _no_place(window), cure=tuple(_reach_cure(window)))
    return Sized(tuple(_results(window, layout, units, spacing, sleeve_mm, pairs)), inputs, assumptions,
                 cautions=tuple(_cautions(window, layout, pairs, sleeve_mm)))


def _checked(window: Window, joints: int, pairs: int, spacing: float, diameter: float, sleeve: float) -> None:
    told = "range of this layout"
    in_range("the run", window.run_mm, 10, 50_000, "mm", told)
    for tail in (window.machine_tail_mm, window.unit_tail_mm):
        in_range("a tail", tail, 1, 50_000, "mm", told)
    in_range("the spacing", spacing, 1, 1000, "mm", told)
    in_range("the joint's diameter", diameter, 0, 100, "mm", told)
    in_range("the sleeve's length", sleeve, 1, 200, "mm", told)
    if not 1 <= joints <= MOST_JOINTS:
        raise OutOfRange(f"joints must be a whole number from 1 to {MOST_JOINTS} ({told}); got {joints}")
    if not 0 <= 2 * pairs <= joints:
        raise OutOfRange(f"pairs must be from 0 to half the joints ({joints // 2} here); got {pairs}")
    for start, end in window.keep_out:
        if not 0 <= start < end:
            raise OutOfRange(f"a keep-out must run from a smaller to a larger mm of the run; got {start:g} to {end:g}")


def _results(window: Window, layout: Layout, units: tuple[Unit, ...], spacing: float, sleeve: float,
             pairs: int) -> Iterator[Value]:
    source = source_title(FILE, "workshop-texts")
    stations = stations_in(window, spacing)
    yield Value("stations", float(len(stations)), "", f"as many as the window from {window.lo:g} to {window.hi:g} mm "
                f"holds at {spacing:g} mm, keep-outs left out", source, "computed")
    yield Value("abreast", float(layout.abreast), "", "joints / stations, rounded up", source, "computed")
    yield Value("spacing", layout.spacing_mm, "mm", "widest whole mm with as few abreast", source, "computed")
    yield Value("places", ", ".join(f"{x:g}" for x in layout.stations_mm), "mm from the machine's datum",
                "packed from the machine's side at that spacing", source, "computed")
    if layout.lump_mm:
        yield Value("lump_diameter", layout.lump_mm, "mm", "bundle of the joints abreast", "bundle rule", "computed")
    for side, tail, n, abreast in more_tail(units, window, spacing):
        yield Value(f"more_{side}_tail", tail, "mm", f"gives {n} stations, {abreast} abreast", source, "computed")
    if pairs:
        yield Value("pair_untwisted", 2 * sleeve, "mm", "two sleeves", source, "computed")
    for cut in lengths_to_cut(layout, window):
        yield Value(f"cut_{cut.name}", f"{cut.machine_mm:g} + {cut.unit_mm:g}", "mm", "machine's tail + unit's tail, "
                    f"each from its datum; {cut.slack_mm:g} mm of it slack for remakes",
                    source_title(FILE, "practice-splices"), "common practice")


def _cautions(window: Window, layout: Layout, pairs: int, sleeve: float) -> Iterator[str]:
    if layout.abreast > 1:
        yield f"{layout.abreast} joints lie abreast: the bundle swells there"
    want = rule("remakes") * rule("remake_mm")
    short = [c for c in lengths_to_cut(layout, window) if c.slack_mm < want - EPS]
    if short:
        yield (f"{len(short)} of {len(layout.placed)} joints have less than {want:g} mm of slack for remakes, the "
               f"least {min(c.slack_mm for c in short):g} mm")
    if pairs and 2 * sleeve > rule("untwisted_caution_mm"):
        yield (f"two sleeves of {sleeve:g} mm leave {2 * sleeve:g} mm of a pair untwisted, over "
               f"{rule('untwisted_caution_mm'):g} mm")
    if pairs and window.hi - window.lo < sleeve:
        yield f"the window is shorter than one sleeve of {sleeve:g} mm: a pair cannot be staggered in it"


def _no_place(window: Window) -> str:
    if window.lo > window.hi:
        return (f"the tails do not meet: {window.machine_tail_mm:g} and {window.unit_tail_mm:g} mm on a run of "
                f"{window.run_mm:g} mm leave {window.lo - window.hi:g} mm between them")
    return f"the window from {window.lo:g} to {window.hi:g} mm lies wholly in a keep-out"


def _reach_cure(window: Window) -> Iterator[str]:
    if window.lo > window.hi:
        yield f"peel back {window.lo - window.hi:g} mm more in all"
        yield "bridge the gap with a length of new wire, at least 100 mm longer than the gap, and two joints a wire"
    else:
        yield "peel back more of a tail, so that the window passes the keep-out"
