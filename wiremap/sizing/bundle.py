"""How wide wires lying together are: the trade's rule, never below what geometry allows."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from wiremap.sizing.sized import (
    ROUND,
    Origin,
    OutOfRange,
    Sized,
    Value,
    memory,
    source_title,
)
from wiremap.trade.tables import figure, table

FILE = "bundles.toml"
GEOMETRY = Origin("geometry", "computed")
RULE = "1.2 sqrt(sum of d^2)"
_ROUNDS = 120  # of the search for the smallest circle
_FIRST_STEP = 0.5  # of that search
_SLOWER = 0.8  # each time a step did not help
_STRIDE = 0.2  # of a circle's radius


class Disc(NamedTuple):
    """A wire's cross-section, or the circle round several: centre and radius [mm]."""

    x: float
    y: float
    radius: float


def limit(name: str) -> float:
    """A limit of the bundle rules, in its row's unit; raises KeyError."""
    return figure(FILE, "rules", name)


def root_sum_mm(diameters_mm: Iterable[float]) -> float:
    """The trade rule 1.2 sqrt(sum of d squared) [mm]; for two to six wires it is too small."""
    return limit("root_sum_factor") * _root_of_squares(diameters_mm)


def _root_of_squares(diameters_mm: Iterable[float]) -> float:
    return math.sqrt(sum(d * d for d in diameters_mm))


def densest_factor(n: int) -> float | None:
    """Diameter of the densest known bundle of n equal wires in wire diameters [1].

    None beyond the table.  Source: geometry literature, from memory.
    """
    for row in table(FILE).sections["densest"]:
        if row["wires"] == n:
            return float(row["diameters"])
    return None


@lru_cache(maxsize=2048)
def bundle_mm(diameters_mm: tuple[float, ...]) -> float:
    """Diameter of a bundle [mm]: the trade rule, raised to a packing that really holds all wires.

    One and two wires are exact (d, d1 + d2); equal wires take the densest known packing; others
    are laid one by one, the thickest first, and the circle round them is taken.  Raises OutOfRange
    without a wire.
    """
    if not diameters_mm:
        raise OutOfRange("a bundle needs at least one wire")
    widest_first = tuple(sorted(diameters_mm, reverse=True))
    if len(widest_first) == 1:
        return widest_first[0]
    rule = root_sum_mm(widest_first)
    return max(rule, _holding_mm(widest_first))


def _holding_mm(widest_first: tuple[float, ...]) -> float:
    """A circle that holds two wires or more, the thickest given first [mm]."""
    if len(widest_first) == 2:
        return sum(widest_first)
    most = int(limit("most_packed"))
    if len(widest_first) > most:
        # among so many the thin ones fill gaps: the thickest alone may govern
        return _packed_mm(widest_first[: most // 2])
    packed = _packed_mm(widest_first)
    factor = densest_factor(len(widest_first))
    if factor is None:
        return packed
    return min(packed, factor * widest_first[0])


def _packed_mm(widest_first: Sequence[float]) -> float:
    """A circle round wires laid one by one, each as near to the middle as it can be [mm]."""
    first, second, *others = widest_first
    placed = [Disc(0.0, 0.0, first / 2), Disc((first + second) / 2, 0.0, second / 2)]
    for diameter in others:
        placed.append(_next_disc(placed, diameter / 2))
    return 2 * _circle(placed).radius


def _next_disc(placed: Sequence[Disc], radius: float) -> Disc:
    """The place for one more wire that is nearest to the middle of those already laid."""
    middle = _circle(placed)

    def reach(spot: Disc) -> tuple[float, Disc]:
        return round(_apart(spot, middle) + spot.radius, 9), spot

    free = [spot for spot in _spots(placed, radius) if not _overlaps(spot, placed)]
    return min(free, key=reach)


def _apart(one: Disc, two: Disc) -> float:
    return math.hypot(one.x - two.x, one.y - two.y)


def _spots(placed: Sequence[Disc], radius: float) -> Iterator[Disc]:
    """Where a disc of this radius touches two of those already laid."""
    for number, one in enumerate(placed):
        for two in placed[number + 1 :]:
            yield from _touching(one, two, radius)


def _touching(one: Disc, two: Disc, radius: float) -> Iterator[Disc]:
    """The two discs of this radius that touch both others, if these lie near enough."""
    a = one.radius + radius
    b = two.radius + radius
    c = _apart(one, two)
    if c > a + b or c < abs(a - b) or c == 0:
        return
    along = (a * a - b * b + c * c) / (2 * c)
    up = math.sqrt(max(0.0, a * a - along * along))
    ux = (two.x - one.x) / c
    uy = (two.y - one.y) / c
    for rise in (up, -up):
        yield Disc(one.x + along * ux - rise * uy, one.y + along * uy + rise * ux, radius)


def _overlaps(spot: Disc, placed: Sequence[Disc]) -> bool:
    """Whether a disc lies over another, by more than rounding."""
    gaps = (_apart(spot, other) - spot.radius - other.radius for other in placed)
    return min(gaps) < -ROUND


def _circle(discs: Sequence[Disc]) -> Disc:
    """A circle round discs: from the middle ever smaller steps towards the farthest one.

    Every step's circle holds all discs, so the smallest seen is never too small.
    """
    count = len(discs)
    x = sum(disc.x for disc in discs) / count
    y = sum(disc.y for disc in discs) / count
    best = Disc(x, y, math.inf)
    step = _FIRST_STEP
    for _ in range(_ROUNDS):
        reach, far = _farthest(discs, x, y)
        if reach < best.radius:
            best = Disc(x, y, reach)
        else:
            step *= _SLOWER
            x, y = best.x, best.y
            reach, far = _farthest(discs, x, y)
        gap = math.hypot(far.x - x, far.y - y) or 1.0
        share = step * reach * _STRIDE / gap
        x += (far.x - x) * share
        y += (far.y - y) * share
    return best


def _farthest(discs: Sequence[Disc], x: float, y: float) -> tuple[float, Disc]:
    """How far the discs reach from a point, and the one that reaches farthest."""
    most = -math.inf
    farthest = discs[0]
    for disc in discs:
        reach = math.hypot(disc.x - x, disc.y - y) + disc.radius
        if reach >= most:
            most = reach
            farthest = disc
    return most, farthest


def hull_equivalent_mm(d1: float, d2: float) -> float:
    """Bore of a soft sleeve drawn tightly round two touching wires [mm]: hull perimeter over pi.

    Two equal wires give d (1 + 2/pi) = 1.637 d, worked by hand:
    >>> round(hull_equivalent_mm(1, 1), 3)
    1.637
    """
    r1 = max(d1, d2) / 2
    r2 = min(d1, d2) / 2
    straight = 2 * math.sqrt((r1 + r2) ** 2 - (r1 - r2) ** 2)
    tilt = math.asin((r1 - r2) / (r1 + r2))
    arcs = r1 * (math.pi + 2 * tilt) + r2 * (math.pi - 2 * tilt)
    return (straight + arcs) / math.pi


def size_bundle(diameters_mm: Sequence[float]) -> Sized:
    """Diameter of wires lying together [mm], with the trade rule and a lower bound.

    Takes 1 to 400 wires of 0.1 to 100 mm; raises OutOfRange otherwise.  Sources: a distributor's
    rule, geometry.
    """
    most = int(limit("most_wires"))
    if not 1 <= len(diameters_mm) <= most:
        span = f"from 1 to {most} wires (range of this rule)"
        raise OutOfRange(f"a bundle takes {span}; got {len(diameters_mm)}")
    for diameter in diameters_mm:
        if not limit("least_wire_mm") <= diameter <= limit("most_wire_mm"):
            span = "from 0.1 to 100 mm (range of this rule)"
            raise OutOfRange(f"a wire's diameter must be {span}; got {diameter:g}")
    widest_first = tuple(sorted(diameters_mm, reverse=True))
    return Sized(
        results=tuple(_results(widest_first)),
        inputs=(("diameters_mm", list(widest_first)),),
        assumptions=("round bundle of round wires, not pressed out of shape",),
    )


def _results(widest_first: tuple[float, ...]) -> Iterator[Value]:
    answer = bundle_mm(widest_first)
    rule = root_sum_mm(widest_first)
    trade = Origin(source_title(FILE, "distributor"), "computed")
    origin = trade
    formula = RULE
    if answer > rule * (1 + ROUND):
        formula = "a packing that holds all wires, as the trade rule lies below it"
        origin = _packing_origin(widest_first, trade)
    yield origin.value("bundle_diameter", answer, "mm", formula)
    yield Origin(trade.source, "read").value("trade_rule", rule, "mm", RULE)
    least = "no bundle is thinner, few come near it: d1 + d2 and the area of all"
    yield GEOMETRY.value("lower_bound", least_mm(widest_first), "mm", least)
    if len(widest_first) == 2:
        bore = hull_equivalent_mm(*widest_first)
        yield GEOMETRY.value("soft_sleeve_bore", bore, "mm", "hull perimeter / pi")


def _packing_origin(widest_first: tuple[float, ...], trade: Origin) -> Origin:
    if len(widest_first) == 2:
        return trade
    tabled = memory(FILE, "circle-packing")
    equal = math.isclose(widest_first[0], widest_first[-1])
    return tabled if equal else Origin(tabled.source, "computed")


def least_mm(widest_first: Sequence[float]) -> float:
    """A bound below which no bundle can be [mm]: the two thickest abreast, the area of all."""
    return max(sum(widest_first[:2]), _root_of_squares(widest_first))
