"""What is said beside a joint: look-alikes, slack, unsure stripes, where a part or a T lies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from operator import itemgetter
from typing import NamedTuple

from wiremap.content.given import Given
from wiremap.content.joint_sleeves import sleeve_mm
from wiremap.content.part_made_ready import made_ready, tail_sizes
from wiremap.content.read_here import is_told
from wiremap.content.words import listed
from wiremap.graph import Conductor, Joint, Point
from wiremap.rules.lookalikes import mistakable
from wiremap.sizing.joint_sides import joint_sides

NOT_SURVEYED = "known by the readings of this sheet alone"
GO_BY_FLAG = "go by the flag"

MOST_NAMED = 12  # look-alikes: nobody reads more, so they are not named


def joint_notes(
    given: Given, numbers: Mapping[str, int], joint: Joint, alike: LookAlikes
) -> Iterator[str]:
    """Everything that is said beside a joint; `numbers` are the joints' places in the order."""
    yield from _look_alikes(given, joint, alike)
    yield from _no_remake(given, joint)
    yield from _unsure_stripes(given, joint)
    yield from _part_between(given, numbers, joint)
    yield from _tee(given, joint)
    unread = set(joint.points).intersection(given.not_surveyed)
    begun = given.surveyed.done  # where nothing was surveyed the first page says it once
    if begun and unread and is_told(given, unread):
        yield NOT_SURVEYED


def _look_alikes(given: Given, joint: Joint, alike: LookAlikes) -> Iterator[str]:
    for conductor in given.conductors(joint):
        at = _contact_called_by(given, conductor)
        others = tuple(alike.of(at, joint.points)) if at else ()
        told = f"new to {at}" if conductor.is_new else at
        if len(others) > MOST_NAMED:
            yield f"{told} looks like more than {MOST_NAMED} others: {GO_BY_FLAG}"
        elif others:
            yield f"{told} looks like {listed(*others)}: {GO_BY_FLAG}"


def _contact_called_by(given: Given, conductor: Conductor) -> str:
    """The contact by which a wire is called: its own if a paper has it, the one that a new wire
    ends in; empty for the lead of a part.
    """
    if conductor.is_tail:
        return conductor.point or ""
    if conductor.is_new:
        return next(iter(given.loose_ends(conductor)), "")
    return ""


def _no_remake(given: Given, joint: Joint) -> Iterator[str]:
    """Said where a tail has too little slack for the joint to be made a second time."""
    size = given.joint_size(joint.id)
    if size is None or size.made is None:
        return
    for conductor in given.conductors(joint):
        cut = given.cut(conductor.id)
        if conductor.is_tail and cut is not None and cut.slack_mm < size.made.strip_mm:
            yield f"{conductor.point}: {cut.slack_mm:.0f} mm slack, made once only"


def _unsure_stripes(given: Given, joint: Joint) -> Iterator[str]:
    """Two colours whose source does not tell the base from the tracer."""
    for conductor in given.conductors(joint):
        colour = conductor.wire.colour if conductor.wire else None
        if conductor.is_tail and colour is not None and not colour.ordered:
            yield "which colour is the stripe is not known"


def _part_between(given: Given, numbers: Mapping[str, int], joint: Joint) -> Iterator[str]:
    """Where a part lies whose leads end in two joints, said at the second of them; what is done
    to it before, at the first.
    """
    here = {str(point) for point in joint.points}
    for extra in given.job.extras.values():
        if here.isdisjoint(extra.legs):
            continue
        joints = [j for j in given.harness.joints.values() if j.id in numbers]
        met = [j for j in joints if not set(extra.legs).isdisjoint(j.points)]
        ends = sorted(numbers[j.id] for j in met)
        ready = made_ready(given, extra)
        if ready and ends[:1] == [numbers[joint.id]]:
            yield f"{extra.name} first: {ready}"
        match ends:
            case [_, last] if last == numbers[joint.id]:
                yield f"{extra.name} lies {_part_laid(given, extra.name, met)}"


def _part_laid(given: Given, part: str, joints: Sequence[Joint]) -> str:
    """How a part lies whose two leads end in joints, as it can be built.

    Leads that leave both joints by the same end make a hairpin over the sleeve of the one that
    lies further that way; between sleeves that leave no room nothing lies straight.
    """
    sizes = [given.joint_size(joint.id) for joint in joints]
    places = [size.at_mm for size in sizes if size is not None and size.at_mm is not None]
    if len(places) != len(joints):
        return "between both, its leads not shortened"
    (near_mm, near), (far_mm, far) = sorted(zip(places, joints, strict=True), key=itemgetter(0))
    apart = f"{far_mm - near_mm:.0f} mm apart"
    by_near, by_far = _lead_exit(given, part, near), _lead_exit(given, part, far)
    if by_near.on_right and not by_far.on_right:
        room = far_mm - near_mm - (sleeve_mm(given, near.id) + sleeve_mm(given, far.id)) / 2
        if room > 0:
            return f"between both, {room:.0f} mm of room: leads trimmed to lie straight"
    bent = by_far if by_far.on_right else by_near
    straight = by_near if bent is by_far else by_far
    return (
        f"beside the sleeve of {bent.leg}, {apart}: {straight.leg} straight, {bent.leg} past that "
        f"sleeve's end and bent back into it{_covered(given, part)}"
    )


def _covered(given: Given, part: str) -> str:
    """That leads without tails keep their length and are covered."""
    if tail_sizes(given, given.job.extras[part]):
        return ""
    return ", neither cut short, tubes up to the body"


class LeadExit(NamedTuple):
    """A lead of a part, and whether it leaves its joint on the side away from the machine."""

    leg: str
    on_right: bool


def _lead_exit(given: Given, part: str, joint: Joint) -> LeadExit:
    """By which end of a joint the lead of a part leaves it; a part has one lead in a joint."""
    legs = [str(point) for point in joint.points if point.end == part]
    right = joint_sides(joint, given.harness).right
    leg, *_ = legs
    return LeadExit(leg, any(conductor.point == leg for conductor in right))


def _tee(given: Given, joint: Joint) -> Iterator[str]:
    """That a joint is a T, at the place that was marked on its wire."""
    if not joint.tap:
        return
    for address in joint.points:
        if given.harness.points[address].is_tap:
            yield f"a T at the mark on the wire of {address}"


class LookAlikes:
    """For each wire the others that bear the same colours: of its end, across the cut, new ones.

    After them those of its end whose colours may be mistaken for its own.  In a large job such
    pairs are as many as the square of its wires: they are worked out when a wire is asked for, and
    only as many as are named.
    """

    def __init__(self, given: Given) -> None:
        self.given = given
        self._groups: dict[frozenset[str], list[Point]] = defaultdict(list)
        self._own: dict[tuple[frozenset[str], str], list[str]] = defaultdict(list)
        self._colours = dict(_coloured(given))
        for address, colours in self._colours.items():
            point = given.harness.points[address]
            self._groups[colours].append(point)
            self._own[colours, point.owner].append(point.address)
        self._mistakable: dict[str, list[list[str]]] = defaultdict(list)
        for group in mistakable(given.harness):
            for address in group:
                self._mistakable[address].append(group)

    def of(self, address: str, joined: Collection[str]) -> Collection[str]:
        """The first of them that are not in its joint, `joined`; one more than are named, so that
        who asks sees that there are too many.
        """
        found: dict[str, None] = {}
        for other in self._others(address):
            if other not in joined:
                found[other] = None
            if len(found) > MOST_NAMED:
                break
        return found

    def _others(self, address: str) -> Iterator[str]:
        """Of its own end, across the cut where nothing joins them, then the mistakable ones."""
        point = self.given.harness.points.get(address)
        colours = self._colours.get(address, frozenset())
        if point and colours:
            yield from (a for a in self._own[colours, point.owner] if a != address)
            joined = {a for c in self.given.circuits([address]) for a in c.join}
            for other in self._groups[colours]:
                if other.owner != point.owner and other.address not in joined:
                    yield other.address
        for group in self._mistakable.get(address, ()):
            yield from (a for a in group if a != address)


def _coloured(given: Given) -> Iterator[tuple[str, frozenset[str]]]:
    """The contact of each wire that comes to hand, with its colours: the new wires last."""
    for point in given.harness.points.values():
        if _colours(point):
            yield point.address, _colours(point)
    for circuit in given.worked_circuits:
        for conductor in given.harness.conductors_by_circuit.get(circuit.id, ()):
            wire, at = conductor.wire, _contact_called_by(given, conductor)
            if conductor.is_new and at and wire is not None and wire.colour is not None:
                yield at, frozenset(wire.colour.colours)


def _colours(point: Point) -> frozenset[str]:
    """The colours of the lead that a contact brings; none if it brings none or they are unknown."""
    wire = point.cavity.wire if point.cavity else None
    if not point.brings_lead or wire is None or wire.colour is None:
        return frozenset()
    return frozenset(wire.colour.colours)
