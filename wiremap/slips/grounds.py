"""What a unit does that loses a ground: another carries its current, or it finds another way back.

`base` is the job as drawn, `view` the job with the changed metals in it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.graph import BondOrigin, Point, PointKind
from wiremap.model import OPEN
from wiremap.rules import View
from wiremap.rules.clash import POWER_GROUNDS, STAR_RETURNS
from wiremap.rules.limits import is_over
from wiremap.rules.signals import Signal
from wiremap.slips.effect import Effect, Gravity, named, spot

MAIN = ("power-ground", "restricted-ground", "signal-ground", "frame-ground")
RETURNS = POWER_GROUNDS | STAR_RETURNS
# kinds of contact through which current finds back while nothing there is grounded by wire: by the
# other units of a bus, by the load of an output
OPEN_WAYS = ("bus", "data", "drive", "lamp")


@dataclass(frozen=True, slots=True, kw_only=True)
class Grounds:
    """The contacts of one function by which a unit is grounded as drawn.

    `is_main`: its current flows back through them; `others`: its other contacts, but supplies.
    """

    owner: str
    is_main: bool
    is_fed: bool
    contacts: tuple[Signal, ...]
    others: tuple[Signal, ...]
    amps: float | None  # what the contacts are stated to carry together


def losing_ground(base: View, view: View, touched: set[str]) -> Iterator[Effect]:
    """What comes of each unit's grounds among the touched contacts that reach no ground now."""
    if touched.isdisjoint(base.fixed(ground_points)):
        return
    for grounds in base.fixed(unit_grounds):
        lost = [each for each in grounds.contacts if not reaches_ground(view, each.address)]
        if lost:
            yield _lost(base, view, grounds, lost)


def ground_points(view: View) -> frozenset[str]:
    """Every contact by which a unit is grounded as drawn."""
    return frozenset(each.address for g in view.fixed(unit_grounds) for each in g.contacts)


def reaches_ground(view: View, address: str) -> bool:
    """Whether the machine's ground, a stud or the chassis lies on the metal of a point."""
    return any(_is_root(view, view.points[point]) for point in view.net_of(address).points)


def _is_root(view: View, point: Point) -> bool:
    if point.kind in (PointKind.STUD, PointKind.CHASSIS):
        return True
    signal = view.signal(point.address)
    if signal is None or signal.side != "machine":
        return False
    return signal.row.electrical == "ground" and signal.row.role == "return"


def unit_grounds(view: View) -> tuple[Grounds, ...]:
    """The grounds of each unit by function, in the order of the ends."""
    joined: dict[str, list[Signal]] = defaultdict(list)
    for point in view.joined():
        signal = view.signal(point.address)
        if signal is not None and signal.side != "machine":
            joined[signal.owner].append(signal)
    return tuple(each for signals in joined.values() for each in _of_unit(view, signals))


def _of_unit(view: View, signals: list[Signal]) -> Iterator[Grounds]:
    by_function: dict[str, list[Signal]] = defaultdict(list)
    for signal in signals:
        is_return = signal.row.electrical == "ground" and signal.row.role == "return"
        if is_return and reaches_ground(view, signal.address):
            by_function[signal.row.slug].append(signal)
    main = next((slug for slug in MAIN if slug in by_function), "")
    for slug, contacts in by_function.items():
        of_others = [s for s in signals if s not in contacts and s.row.electrical != "supply"]
        yield Grounds(
            owner=contacts[0].owner,
            is_main=slug == main,
            is_fed=any(s.row.electrical == "supply" and s.listens for s in signals),
            contacts=tuple(contacts),
            others=tuple(sorted(of_others, key=_way_order)),
            amps=_amps(view, contacts),
        )


def _way_order(signal: Signal) -> int:
    """Where a contact comes among the ways back: a return of the unit's own first."""
    kind = signal.row.electrical
    if signal.row.slug in RETURNS:
        return -1
    return OPEN_WAYS.index(kind) if kind in OPEN_WAYS else len(OPEN_WAYS)


def _amps(view: View, contacts: list[Signal]) -> float | None:
    """What some contacts are stated to carry together [A]; None where one of them is not stated."""
    amps = [cavity.amps for each in contacts if (cavity := view.points[each.address].cavity)]
    return None if None in amps else sum(each or 0.0 for each in amps)


# -- what comes of it -----------------------------------------------------------------------------


def _lost(base: View, view: View, grounds: Grounds, lost: list[Signal]) -> Effect:
    left = [
        each for each in grounds.contacts if each not in lost and not _parted(base, each, lost[0])
    ]
    word = named(lost[0])
    if left:
        words = f"{word} is open: {spot(left[0].address)} carries its current too"
        return Effect(Gravity.QUIET, "half a ground", words, (lost[0].address,))
    if not grounds.is_main:
        return Effect(Gravity.DEAD, "dead signal", f"{word} is open", (lost[0].address,))
    return _without_ground(view, grounds, lost)


def _parted(view: View, one: Signal, two: Signal) -> bool:
    """Whether the unit's paper says that two of its contacts are open to one another inside."""
    pair = {one.address, two.address}
    return any(
        bond.origin is BondOrigin.INSIDE and {bond.a, bond.b} == pair and bond.ohms == OPEN
        for bond in view.harness.bonds
    )


def _without_ground(view: View, grounds: Grounds, lost: list[Signal]) -> Effect:
    """What a unit does whose current flows back by none of its grounds."""
    points = tuple(each.address for each in lost)
    words = f"{grounds.owner} has no ground ({spot(points[0])})"
    if grounds.is_fed:
        grounded = [each for each in grounds.others if reaches_ground(view, each.address)]
        if grounded:
            return _through(view, grounds, grounded[0], points)
        ways = _open_ways(view, grounds)
        if ways:
            words += f": its current feeds back through {' and '.join(map(named, ways))}"
            return Effect(Gravity.HARM, "ground lost", words, points)
    return Effect(Gravity.DEAD, "no ground", words, points)


def _through(view: View, grounds: Grounds, way: Signal, points: tuple[str, ...]) -> Effect:
    """What comes of all a unit's ground current through another contact that is grounded now."""
    amps, cavity = grounds.amps, view.points[way.address].cavity
    stated = cavity.amps if cavity else None
    words = f"{grounds.owner}'s ground current flows through {named(way)}"
    if amps is not None:
        words += f": up to {amps:g} A"
    if amps is not None and stated is not None:
        words += f", stated for {stated:g} A"
        if way.row.slug in RETURNS and not is_over(amps, stated):
            return Effect(Gravity.QUIET, "return-off-star", words, (*points, way.address))
    return Effect(Gravity.HARM, "ground lost", words, (*points, way.address))


def _open_ways(view: View, grounds: Grounds) -> list[Signal]:
    """One return of a unit and one line, of those that lead on to another end."""
    ways = [each for each in grounds.others if _is_open_way(view, each)]
    returns = [each for each in ways if each.row.slug in RETURNS]
    lines = [each for each in ways if each.row.slug not in RETURNS]
    return [*returns[:1], *lines[:1]]


def _is_open_way(view: View, signal: Signal) -> bool:
    if signal.row.slug not in RETURNS and signal.row.electrical not in OPEN_WAYS:
        return False
    return any(other.owner != signal.owner for other in view.signals(view.net_of(signal.address)))
