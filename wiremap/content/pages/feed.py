"""Ground and feed of an in-line unit, drawn for the hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.pieces import Block, HandStrip, Leg, Section, Text
from wiremap.content.stages import Page, Stage
from wiremap.content.words import signal_words

GROUNDS = ("power-ground", "frame-ground")
SUPPLIES = (
    "permanent-supply",
    "switched-supply",
    "accessory-supply",
    "auxiliary-supply",
    "relay-switched-supply",
)
NOTHING = "No in-line unit with two ports takes part in this job."
NOT_JOINED = "not joined"
MOST_LETTERS = 24  # of a port's words


@dataclass(frozen=True, slots=True)
class Port:
    """The two legs of one port of an in-line unit, and whether they go to the machine."""

    legs: tuple[Leg, Leg]
    to_machine: bool


def feed_section(given: Given) -> Section:
    """A drawing for each in-line unit with two ports."""
    blocks: list[Block] = []
    for end in given.job.ends.values():
        if end.side == "between" and len(end.pinout.segments) > 1:
            first, second, *_ = end.pinout.segments.values()
            ports = (_port(given, end.name, first), _port(given, end.name, second))
            blocks.append(_hand(given, end.name, *ports))
    return Section(
        key="feed",
        title="The cut pair: in-line unit, its ground and its feed",
        drawn_from="seen from above, machine left, unit right",
        blocks=tuple(blocks or [Text(NOTHING)]),
    )


def _port(given: Given, name: str, segment: Sequence[str]) -> Port:
    legs = [_leg(given, f"{name}.{cavity}", cavity) for cavity in segment[:2]]
    while len(legs) < 2:
        legs.append(Leg("", ""))
    end = given.harness.end_of(legs[0].far)
    return Port((legs[0], legs[1]), end is not None and end.side == "machine")


def _leg(given: Given, address: str, cavity: str) -> Leg:
    words = f"{cavity} {signal_words(given.harness.points[address])}"[:MOST_LETTERS]
    for circuit in given.circuits([address]):
        for point in given.points(circuit):
            if point.address != address and point.cavity is not None:
                return Leg(point.address, words)
    return Leg(NOT_JOINED, words)


def _hand(given: Given, name: str, left: Port, right: Port) -> HandStrip:
    if right.to_machine and not left.to_machine:
        left, right = right, left
    ground = _power_leg(given, name, GROUNDS)
    feed = _power_leg(given, name, SUPPLIES)
    return HandStrip(
        module=name,
        left=left.legs,
        right=right.legs,
        ground=ground or "no ground in this job",
        feed=feed or "no feed in this job",
        sentences=(
            f"Machine half of the cut pair ({_fars(left)}) to the port facing the machine, "
            "legs not crossed, twisted up to the joints.",
            f"Unit half of the cut pair ({_fars(right)}) to the other port.",
            f"Ground: {ground or 'not in this job'}. Bare metal, its own place on the stud; no "
            "sensor return, not the unit's ground wire.",
            f"Feed: {feed or 'not in this job'}. Its own fuse near the source, put in last.",
        ),
    )


def _fars(port: Port) -> str:
    return ", ".join(leg.far for leg in port.legs)


def _power_leg(given: Given, name: str, functions: Sequence[str]) -> str:
    """The way from a module's contact to its ground or source, point by point."""
    here = _contact(given, name, functions)
    if not here:
        return ""
    way, passed = [here], {here}
    while True:
        ahead = [a for c in given.circuits([here]) for a in c.join if a not in passed]
        if not ahead:
            break
        way.append(ahead[0])
        extra = given.harness.points[ahead[0]].extra
        if extra is None or extra.kind != "fuse":
            break
        passed.update(extra.legs)
        here = next(leg for leg in extra.legs if leg != ahead[0])
    return " – ".join(way)


def _contact(given: Given, name: str, functions: Sequence[str]) -> str:
    """The first joined contact of a module with one of these functions."""
    for address, point in given.harness.points.items():
        wanted = point.owner == name and point.function in functions
        if wanted and given.harness.circuits_at(address):
            return address
    return ""


PAGE = Page(key="feed", stage=Stage.ANNEX, make=feed_section, order=4, annex="feed")
