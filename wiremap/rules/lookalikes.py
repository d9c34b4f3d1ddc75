"""Joined wires of one connector that look alike, and whether an exchange would matter."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from wiremap.graph import Harness, Point
from wiremap.model import Face
from wiremap.rules.guards import BACK, OUT
from wiremap.rules.view import View
from wiremap.sizing.load import electrical_class
from wiremap.trade.colours import Colour, confusable

PLAIN_GROUNDS = frozenset({"power-ground", "frame-ground"})


@dataclass(frozen=True, slots=True)
class ColouredWire:
    """A joined wire of a tail: its contact and cavity, its colour, its guard loop if it has one."""

    point: Point
    cavity: str
    colour: Colour
    chain: str | None


Group = list[ColouredWire]


def mistakable(harness: Harness) -> list[list[str]]:
    """The contacts of each group of wires that look alike and must not be exchanged."""
    view = View(harness)
    groups = [group for of_end in lookalikes(view).values() for group in of_end]
    risky = [group for group in groups if not may_be_exchanged(view, group)]
    return [[wire.point.address for wire in group] for group in risky]


def may_be_exchanged(view: View, group: Group) -> bool:
    """Whether the wires are one metal, grounds of one size, or the two ends of one guard loop."""
    first = view.net_of(group[0].point.address)
    if all(view.net_of(wire.point.address) is first for wire in group):
        return True
    if all(_is_plain_ground(view, wire) for wire in group):
        return len({_csa(wire) for wire in group}) == 1
    chains = {wire.chain for wire in group}
    functions = sorted(wire.point.function for wire in group)
    return functions == [BACK, OUT] and len(chains) == 1 and None not in chains


def _is_plain_ground(view: View, wire: ColouredWire) -> bool:
    """Whether a wire's whole metal is power ground, which meets at the chassis anyway."""
    signals = view.signals(view.net_of(wire.point.address))
    return all(signal.row.slug in PLAIN_GROUNDS for signal in signals)


def _csa(wire: ColouredWire) -> float | None:
    cavity = wire.point.cavity
    return cavity.wire.csa_mm2 if cavity is not None and cavity.wire is not None else None


def lookalikes(view: View) -> dict[str, list[Group]]:
    """Groups of joined wires that look alike, by the end whose tail they are."""
    by_end: dict[str, Group] = defaultdict(list)
    for wire in _coloured(view):
        by_end[wire.point.owner].append(wire)
    groups_of: dict[str, list[Group]] = {}
    for end, wires in by_end.items():
        alike: dict[tuple[str, ...], Group] = defaultdict(list)
        for wire in wires:  # base and tracer exchanged count as alike
            alike[tuple(sorted(wire.colour.colours))].append(wire)
        groups_of[end] = [group for group in alike.values() if len(group) > 1]
        groups_of[end] += _neighbours(wires)
    return groups_of


def _coloured(view: View) -> Iterator[ColouredWire]:
    for point in view.joined():
        cavity = point.cavity
        if cavity is None or point.end is None or not point.end.has_tail:
            continue
        if cavity.wire is not None and cavity.wire.colour is not None:
            yield ColouredWire(point, cavity.name, cavity.wire.colour, cavity.chain)


def _neighbours(wires: Group) -> Iterator[Group]:
    """A supply and its neighbour on the face that are taken for one another in poor light."""
    by_cavity = {wire.cavity: wire for wire in wires}
    end = wires[0].point.end
    face = end.pinout.connector.face if end else None
    for a, b in _beside(face) if face else ():
        one, two = by_cavity.get(a or ""), by_cavity.get(b or "")
        if one is not None and two is not None and _is_supply_beside(one, two):
            yield [one, two]


def _is_supply_beside(one: ColouredWire, two: ColouredWire) -> bool:
    classes = [electrical_class(wire.point.function) for wire in (one, two)]
    if "supply" not in classes or not confusable(one.colour, two.colour):
        return False
    return sorted(one.colour.colours) != sorted(two.colour.colours)


def _beside(face: Face) -> Iterator[tuple[str | None, str | None]]:
    """Cavities that lie side by side or one above the other."""
    rows = face.padded()
    for row in rows:
        yield from pairwise(row)
    for upper, lower in pairwise(rows):
        yield from zip(upper, lower, strict=False)
