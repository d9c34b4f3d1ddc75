"""Family `wire`: wires that look alike."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from wiremap.graph import Point
from wiremap.model import Face
from wiremap.rules.guards import BACK, OUT
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.view import View
from wiremap.sizing.load import electrical_class
from wiremap.trade.colours import Colour, confusable

WIRE = Family("wire", Matter.BENCH)
GROUNDS = frozenset({"power-ground", "frame-ground"})
RETURNS = frozenset({"sensor-return", "signal-ground", "bus-ground"})
DRIVES = frozenset({"high-side-drive", "low-side-drive", "lamp-feed"})


@dataclass(frozen=True, slots=True)
class Coloured:
    """A joined wire of a tail, with its colour."""

    point: Point
    cavity: str
    colour: Colour
    chain: str | None


Group = list[Coloured]


@WIRE.caution(
    "colours-confused",
    what="{end}: wires that can be taken for one another: {wires}",
    why="Two wires that look alike are exchanged sooner or later, and colour is then no help in "
    "finding it.",
    fix="Flag them with their cavity before the cut; tell them apart by {how}.",
)
def colours_confused(view: View) -> Hits:
    """Joined wires of one connector that look alike and must not be exchanged, one line a face."""
    for groups in view.once(_lookalikes).values():
        risky = [group for group in groups if not _may_be_exchanged(view, group)]
        if risky:
            how = "; ".join(dict.fromkeys(_apart(group) for group in risky))
            yield _colour_hit(view, risky, how=how)


@WIRE.note(
    "colour-repeated",
    matter=Matter.HOUSE,
    what="{end}: {wires} look alike; exchanging them changes nothing",
    why="The same metal, or a loop that reads alike both ways, bears an exchange.",
    fix="Nothing need be done.",
)
def colour_repeated(view: View) -> Hits:
    """Joined wires of one connector that look alike but may be exchanged without harm."""
    for groups in view.once(_lookalikes).values():
        harmless = [group for group in groups if _may_be_exchanged(view, group)]
        if harmless:
            yield _colour_hit(view, harmless)


def _colour_hit(view: View, groups: list[Group], **facts: object) -> Hit:
    told = []
    for group in groups:
        told.append(" and ".join(f"{wire.cavity} ({wire.colour.word})" for wire in group))
    wires = [wire for group in groups for wire in group]
    addresses = dict.fromkeys(wire.point.address for wire in wires)
    end = wires[0].point.owner
    return view.described_hit(*addresses, end=end, wires="; ".join(told), **facts)


def _may_be_exchanged(view: View, group: Group) -> bool:
    """Whether the wires are one metal, or the two ends of one guard loop."""
    if len({view.net_of(wire.point.address).points for wire in group}) == 1:
        return True
    chains = {wire.chain for wire in group}
    functions = sorted(wire.point.function for wire in group)
    return functions == [BACK, OUT] and len(chains) == 1 and None not in chains


def _lookalikes(view: View) -> dict[str, list[Group]]:
    """Groups of joined wires that look alike, by the end whose tail they are."""
    by_end: dict[str, Group] = defaultdict(list)
    for wire in _coloured(view):
        by_end[wire.point.owner].append(wire)
    found: dict[str, list[Group]] = {}
    for end, wires in by_end.items():
        alike: dict[tuple[str, ...], Group] = defaultdict(list)
        for wire in wires:  # base and tracer exchanged count as alike
            alike[tuple(sorted(wire.colour.colours))].append(wire)
        found[end] = [group for group in alike.values() if len(group) > 1]
        found[end] += _neighbours(wires)
    return found


def _coloured(view: View) -> Iterator[Coloured]:
    for point in view.joined():
        cavity = point.cavity
        if cavity is None or point.end is None or not point.end.has_tail:
            continue
        if cavity.wire is not None and cavity.wire.colour is not None:
            yield Coloured(point, cavity.name, cavity.wire.colour, cavity.chain)


def _neighbours(wires: Group) -> Iterator[Group]:
    """A supply and its neighbour on the face that are taken for one another in poor light."""
    by_cavity = {wire.cavity: wire for wire in wires}
    end = wires[0].point.end
    face = end.pinout.connector.face if end else None
    for a, b in _beside(face) if face else ():
        one, two = by_cavity.get(a or ""), by_cavity.get(b or "")
        if one is not None and two is not None and _is_supply_beside(one, two):
            yield [one, two]


def _is_supply_beside(one: Coloured, two: Coloured) -> bool:
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


def _apart(group: Group) -> str:
    """What a meter shows differently on wires of one colour."""
    functions = {wire.point.function for wire in group}
    if functions & GROUNDS and functions & RETURNS:
        return "ohms to chassis, battery off: the ground under 0.5 ohm, the return open"
    if any("supply" in function or function == "wake" for function in functions):
        return "volts to battery minus, key off and on"
    if functions <= DRIVES:
        return "unplugging one load and seeing which goes open"
    return "a beep from the contact itself, not by colour"
