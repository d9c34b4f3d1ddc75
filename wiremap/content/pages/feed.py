"""The places of the parts: an in-line unit sketched, and how far its new wires reach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_places import to_place
from wiremap.content.laid_out import tapped_wires
from wiremap.content.pieces import Block, CutLeg, HandStrip, Section
from wiremap.content.reaches import reaches
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step, Steps
from wiremap.content.words import listed, signal_words
from wiremap.sizing.paths import GROUNDS

SHIELDS = ("shield",)
SUPPLIES = (
    "permanent-supply",
    "switched-supply",
    "accessory-supply",
    "auxiliary-supply",
    "relay-switched-supply",
)
NOT_JOINED = "not joined"
DECIDED = "decided now, marked on the machine"
WITHIN = "along its way each new wire reaches:"


@dataclass(frozen=True, slots=True)
class Port:
    """The two legs of one port of an in-line unit, and whether they go to the machine."""

    legs: tuple[CutLeg, CutLeg]
    to_machine: bool


def feed_section(given: Given) -> Section | None:
    """A sketch for each in-line unit with two ports; None where no place is to be decided."""
    blocks: list[Block] = []
    for end in given.job.ends.values():
        if end.side == "between" and len(end.pinout.segments) > 1:
            first, second, *_ = end.pinout.segments.values()
            ports = (_port(given, end.name, first), _port(given, end.name, second))
            blocks.append(_sketch(given, end.name, *ports))
    placed = listed(*to_place(given))
    if placed:
        lines = tuple(reaches(given))
        tapped = listed(*(tap for taps, _ in tapped_wires(given) for tap in taps))
        decided = listed(DECIDED, f"the flag of {tapped} beside its mark" if tapped else "")
        words = f"{decided}; {WITHIN}" if lines else f"{decided}."
        blocks.append(Steps(steps=(Step(at=placed, text=words, lines=lines),)))
    if not blocks:
        return None
    return Section(
        key="feed",
        title="In-line unit, parts, and their places",
        drawn_from="seen from above, machine left, unit right",
        blocks=tuple(blocks),
        fresh=False,
    )


# -- the sketch -----------------------------------------------------------------------------------


def _port(given: Given, name: str, segment: Sequence[str]) -> Port:
    """A port of an in-line unit; a leg that its paper does not have is empty."""
    legs = [_leg(given, f"{name}.{cavity}", cavity) for cavity in segment[:2]]
    while len(legs) < 2:
        legs.append(CutLeg("", ""))
    one, other = legs
    end = given.harness.end_of(one.far)
    return Port((one, other), end is not None and end.is_machine)


def _leg(given: Given, address: str, cavity: str) -> CutLeg:
    words = f"{cavity} {signal_words(given.harness.points[address])}"
    for circuit in given.circuits([address]):
        for point in given.points(circuit):
            if point.address != address and point.cavity is not None:
                return CutLeg(point.address, words)
    return CutLeg(NOT_JOINED, words)


def _sketch(given: Given, name: str, left: Port, right: Port) -> HandStrip:
    """An in-line unit with the port that goes to the machine on the left."""
    if right.to_machine and not left.to_machine:
        left, right = right, left
    return HandStrip(
        unit=name,
        left=left.legs,
        right=right.legs,
        across_left=_across(given, left),
        across_right=_across(given, right),
        shield=_power_leg(given, name, SHIELDS),
        ground=_power_leg(given, name, GROUNDS) or "no ground in this job",
        feed=_power_leg(given, name, SUPPLIES) or "no feed in this job",
    )


def _across(given: Given, port: Port) -> str:
    """The resistor that lies across the two legs of a port; empty for none."""
    circuits = [set(given.harness.circuits_at(leg.far)) for leg in port.legs]
    for extra in given.job.extras.values():
        if extra.kind != "resistor":
            continue
        at = [set(given.harness.circuits_at(leg)) for leg in extra.legs]
        if at in (circuits, [*reversed(circuits)]) and all(at):
            return f"{extra.name} {extra.ohms:g} Ω" if extra.ohms else extra.name
    return ""


def _power_leg(given: Given, name: str, functions: Sequence[str]) -> str:
    """The way from an in-line unit's contact to its ground or source, point by point."""
    here = _contact(given, name, functions)
    if not here:
        return ""
    way, passed = [here], {here}
    while True:
        joined = (a for c in given.circuits([here]) for a in c.join if a not in passed)
        ahead = next(joined, None)
        if ahead is None:
            break
        way.append(ahead)
        extra = given.harness.points[ahead].extra
        if extra is None or not extra.is_fuse:
            break
        passed.update(extra.legs)
        here = next(leg for leg in extra.legs if leg != ahead)
        way.append(here)
    return " – ".join(way)


def _contact(given: Given, name: str, functions: Sequence[str]) -> str:
    """The first joined contact of an in-line unit with one of these functions."""
    for address, point in given.harness.points.items():
        wanted = point.owner == name and point.function in functions
        if wanted and given.harness.circuits_at(address):
            return address
    return ""


PAGE = Page(key="feed", stage=Stage.PLACES, make=feed_section, order=4)
