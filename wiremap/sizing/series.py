"""Parts that lie in the way of a load: a diode or a few ohms in a feed, or in a unit's ground."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wiremap.graph import Harness, Net, Nets
from wiremap.graph.walks import Joined
from wiremap.model import Extra, Side
from wiremap.trade.functions import FUNCTIONS
from wiremap.trade.tables import figure

RESISTOR, DIODE = "resistor", "diode"
CARRIED = ("supply", "ground")  # classes of functions that carry a load's current
FEEDS = ("lamp-feed",)  # what feeds a load as a supply does


def diode_volts() -> float:
    """What a silicon diode keeps of the volts in its way [V]."""
    return figure("drop.toml", "parts", "diode", "volts")


def series_parts(harness: Harness) -> tuple[Extra, ...]:
    """The diodes and resistors that part a source from its load, or a unit from its ground."""
    found = []
    for extra in harness.job.extras.values():
        known = extra.kind == DIODE or (extra.kind == RESISTOR and extra.ohms is not None)
        if known and _in_the_way(harness, extra):
            found.append(extra)
    return tuple(found)


def lets_fuses_open(extra: Extra) -> bool:
    """Whether a fuse may open by what flows through a part.

    A resistor of more ohms bounds the current by itself: what lies behind it is none of the fuse's.
    """
    most = figure("drop.toml", "parts", "series-resistor", "most_ohms")
    return extra.kind == DIODE or extra.ohms is None or extra.ohms <= most


def _in_the_way(harness: Harness, extra: Extra) -> bool:
    """Whether the machine alone lies at one leg of a part and units alone at the other."""
    one, two = (_sides(harness, harness.bench.of(leg)) for leg in extra.legs)
    for near, far in ((one, two), (two, one)):
        for carries in CARRIED:
            if near == {(Side.MACHINE, carries)} and far == {(Side.UNIT, carries)}:
                return True
    return False


def _sides(harness: Harness, net: Net) -> set[tuple[Side, str]]:
    """Who brings supply or ground to a metal: the machine (a stud too), else units."""
    found: set[tuple[Side, str]] = set()
    for address in net.points:
        point = harness.points[address]
        if point.is_stud:
            found.add((Side.MACHINE, "ground"))
        elif point.end is not None:
            carries = "supply" if point.function in FEEDS else FUNCTIONS[point.function].electrical
            side = Side.MACHINE if point.end.is_machine else Side.UNIT
            found.add((side, carries))
    for carries in CARRIED:
        if (Side.MACHINE, carries) in found:
            found.discard((Side.UNIT, carries))
    return found


def joined_over(nets: Nets, parts: Iterable[Extra]) -> Nets:
    """A partition in which these parts join the nets at their legs; the given one without any."""
    joined: Joined[str] = Joined()
    legs: set[str] = set()
    for part in parts:
        one, two = (nets.of(leg).name for leg in part.legs)
        joined.join(two, one)
        legs.update((one, two))
    if not legs:
        return nets
    groups: dict[str, list[Net]] = {}
    for net in nets:
        groups.setdefault(joined.root(net.name), []).append(net)
    return Nets(_merged(groups.values()))


def _merged(groups: Iterable[list[Net]]) -> Iterator[Net]:
    """One net of each group, called by its first."""
    for group in groups:
        points = sorted(point for net in group for point in net.points)
        circuits = sorted({circuit for net in group for circuit in net.circuits})
        yield Net(group[0].name, tuple(points), tuple(circuits))
