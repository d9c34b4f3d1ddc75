"""Stagger as a figure with its parents: stations, abreast, lump, what more tail buys, lengths to cut."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from wiremap.sizing.sized import OutOfRange, Sized, Value, in_range, source_title
from wiremap.sizing.splices import FILE, rule
from wiremap.sizing.stations import (
    EPS,
    Layout,
    Placed,
    Unit,
    Window,
    fewest_abreast,
    lay_out,
    schedule,
    stations_in,
)

__all__ = [
    "Cut",
    "Layout",
    "Placed",
    "Unit",
    "Window",
    "fewest_abreast",
    "lay_out",
    "lengths_to_cut",
    "more_tail",
    "plain_units",
    "schedule",
    "size_stagger",
    "stations_in",
]

MOST_JOINTS = 400


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
        own = (
            min(want, max(0.0, window.machine_tail_mm - placed.at_mm)),
            min(want, max(0.0, window.unit_tail_mm - (window.run_mm - placed.at_mm))),
        )
        least = spare.get(placed.unit, own)
        spare[placed.unit] = (min(own[0], least[0]), min(own[1], least[1]))
    cuts = []
    for placed in layout.placed:
        machine, unit = spare[placed.unit]
        cuts.append(
            Cut(
                placed.name,
                placed.at_mm + machine,
                window.run_mm - placed.at_mm + unit,
                machine,
                unit,
            )
        )
    return tuple(cuts)


@lru_cache(maxsize=256)
def more_tail(
    units: tuple[Unit, ...], window: Window, spacing_mm: float
) -> tuple[tuple[str, float, int, int], ...]:
    """What peeling back more tail buys: (side, tail in mm, stations, abreast) where it brings fewer abreast.

    Tried in steps of 10 mm, on long runs of a sixtieth of the run.
    """
    step = 10.0 * max(1, math.ceil(window.run_mm / 600))
    now = fewest_abreast(units, spacing_mm, window.barred)
    found = []
    for side in ("machine", "unit"):
        best = math.inf if now is None else now
        tail = window.machine_tail_mm if side == "machine" else window.unit_tail_mm
        at = math.floor(tail / step) * step + step
        while at < window.run_mm + step and best > 1:
            wider = (
                replace(window, machine_tail_mm=at)
                if side == "machine"
                else replace(window, unit_tail_mm=at)
            )
            abreast = fewest_abreast(_reaching(units, window, wider), spacing_mm, window.barred)
            if abreast is not None and abreast < best:
                found.append((side, at, len(stations_in(wider, spacing_mm)), abreast))
                best = abreast
            at += step
    return tuple(found)


def _reaching(units: Sequence[Unit], old: Window, new: Window) -> tuple[Unit, ...]:
    """The same units with the edges that were a tail's reach moved to the new reach."""
    return tuple(
        replace(u, lo=new.lo if u.lo == old.lo else u.lo, hi=new.hi if u.hi == old.hi else u.hi)
        for u in units
    )


def plain_units(
    joints: int, pairs: int, window: Window, diameter_mm: float, sleeve_mm: float
) -> tuple[Unit, ...]:
    """Units of one common window: `joints` in all, of which `pairs` lie in twos."""
    units = [
        Unit((f"pair{i + 1}.a", f"pair{i + 1}.b"), window.lo, window.hi, diameter_mm, sleeve_mm)
        for i in range(pairs)
    ]
    units += [
        Unit((f"j{i + 1}",), window.lo, window.hi, diameter_mm) for i in range(joints - 2 * pairs)
    ]
    return tuple(units)


def size_stagger(
    window: Window,
    joints: int,
    *,
    pairs: int = 0,
    spacing_mm: float | None = None,
    diameter_mm: float = 0.0,
    sleeve_mm: float = 25.0,
) -> Sized:
    """Stations, how many abreast, the lump's diameter, what more tail buys, and the lengths to cut."""
    spacing = rule("spacing_mm") if spacing_mm is None else spacing_mm
    _checked(window, joints, pairs, spacing, diameter_mm, sleeve_mm)
    inputs = (
        ("run_mm", window.run_mm),
        ("tails_mm", [window.machine_tail_mm, window.unit_tail_mm]),
        ("joints", joints),
        ("pairs", pairs),
        ("spacing_mm", spacing),
        ("keep_out_mm", [list(k) for k in window.keep_out]),
    )
    assumptions = (
        "objective: fewest joints abreast, then the widest spacing in whole mm",
        f"joints share a station or lie at least {spacing:g} mm apart",
        "a pair's two joints lie one sleeve apart and count as two abreast",
        f"slack for {rule('remakes'):g} remakes of {rule('remake_mm'):g} mm (common practice) where the "
        "tails have it",
    )
    units = plain_units(joints, pairs, window, diameter_mm, sleeve_mm)
    layout = lay_out(units, spacing, window.barred)
    if layout is None:
        return Sized((), inputs, assumptions, _no_place(window), cure=tuple(_reach_cure(window)))
    return Sized(
        tuple(_results(window, layout, units, spacing, sleeve_mm, pairs)),
        inputs,
        assumptions,
        cautions=tuple(_cautions(window, layout, pairs, sleeve_mm)),
    )


def _checked(
    window: Window, joints: int, pairs: int, spacing: float, diameter: float, sleeve: float
) -> None:
    told = "range of this layout"
    in_range("the run", window.run_mm, 10, 50_000, "mm", told)
    for tail in (window.machine_tail_mm, window.unit_tail_mm):
        in_range("a tail", tail, 1, 50_000, "mm", told)
    in_range("the spacing", spacing, 1, 1000, "mm", told)
    in_range("the joint's diameter", diameter, 0, 100, "mm", told)
    in_range("the sleeve's length", sleeve, 1, 200, "mm", told)
    if not 1 <= joints <= MOST_JOINTS:
        raise OutOfRange(
            f"joints must be a whole number from 1 to {MOST_JOINTS} ({told}); got {joints}"
        )
    if not 0 <= 2 * pairs <= joints:
        raise OutOfRange(
            f"pairs must be from 0 to half the joints ({joints // 2} here); got {pairs}"
        )
    for start, end in window.keep_out:
        if not 0 <= start < end:
            raise OutOfRange(
                f"a keep-out must run from a smaller to a larger mm of the run; got {start:g} to {end:g}"
            )


def _results(
    window: Window,
    layout: Layout,
    units: tuple[Unit, ...],
    spacing: float,
    sleeve: float,
    pairs: int,
) -> Iterator[Value]:
    source = source_title(FILE, "workshop-texts")
    stations = stations_in(window, spacing)
    yield Value(
        "stations",
        float(len(stations)),
        "",
        f"as many as the window from {window.lo:g} to {window.hi:g} mm "
        f"holds at {spacing:g} mm, keep-outs left out",
        source,
        "computed",
    )
    yield Value(
        "abreast", float(layout.abreast), "", "joints / stations, rounded up", source, "computed"
    )
    yield Value(
        "spacing",
        layout.spacing_mm,
        "mm",
        "widest whole mm with as few abreast",
        source,
        "computed",
    )
    yield Value(
        "places",
        ", ".join(f"{x:g}" for x in layout.stations_mm),
        "mm from the machine's datum",
        "packed from the machine's side at that spacing",
        source,
        "computed",
    )
    if layout.lump_mm:
        yield Value(
            "lump_diameter",
            layout.lump_mm,
            "mm",
            "bundle of the joints abreast",
            "bundle rule",
            "computed",
        )
    for side, tail, n, abreast in more_tail(units, window, spacing):
        yield Value(
            f"more_{side}_tail",
            tail,
            "mm",
            f"gives {n} stations, {abreast} abreast",
            source,
            "computed",
        )
    if pairs:
        yield Value("pair_untwisted", 2 * sleeve, "mm", "two sleeves", source, "computed")
    for cut in lengths_to_cut(layout, window):
        yield Value(
            f"cut_{cut.name}",
            f"{cut.machine_mm:g} + {cut.unit_mm:g}",
            "mm",
            "machine's tail + unit's tail, "
            f"each from its datum; {cut.slack_mm:g} mm of it slack for remakes",
            source_title(FILE, "practice-splices"),
            "common practice",
        )


def _cautions(window: Window, layout: Layout, pairs: int, sleeve: float) -> Iterator[str]:
    if layout.abreast > 1:
        yield f"{layout.abreast} joints lie abreast: the bundle swells there"
    want = rule("remakes") * rule("remake_mm")
    short = [c for c in lengths_to_cut(layout, window) if c.slack_mm < want - EPS]
    if short:
        yield (
            f"{len(short)} of {len(layout.placed)} joints have less than {want:g} mm of slack for remakes, the "
            f"least {min(c.slack_mm for c in short):g} mm"
        )
    if pairs and 2 * sleeve > rule("untwisted_caution_mm"):
        yield (
            f"two sleeves of {sleeve:g} mm leave {2 * sleeve:g} mm of a pair untwisted, over "
            f"{rule('untwisted_caution_mm'):g} mm"
        )
    if pairs and window.hi - window.lo < sleeve:
        yield f"the window is shorter than one sleeve of {sleeve:g} mm: a pair cannot be staggered in it"


def _no_place(window: Window) -> str:
    if window.lo > window.hi:
        return (
            f"the tails do not meet: {window.machine_tail_mm:g} and {window.unit_tail_mm:g} mm on a run of "
            f"{window.run_mm:g} mm leave {window.lo - window.hi:g} mm between them"
        )
    return f"the window from {window.lo:g} to {window.hi:g} mm lies wholly in a keep-out"


def _reach_cure(window: Window) -> Iterator[str]:
    if window.lo > window.hi:
        yield f"peel back {window.lo - window.hi:g} mm more in all"
        yield "bridge the gap with a length of new wire, at least 100 mm longer than the gap, and two joints a wire"
    else:
        yield "peel back more of a tail, so that the window passes the keep-out"
