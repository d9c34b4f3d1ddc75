"""What is said beside a joint: look-alikes, slack, unsure stripes, where a part or a T lies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence

from wiremap.content.given import Given
from wiremap.content.read_here import is_told
from wiremap.content.words import listed
from wiremap.graph import Joint, Point
from wiremap.rules.lookalikes import mistakable

HERE_ALONE = "known by the readings of this sheet alone"
NOT_TOLD = "no reading of this sheet tells what it is: cut once a named person has said it"
GO_BY = "go by the flag"

MOST_NAMED = 12  # look-alikes; of more the flag alone tells


def notes(
    given: Given, numbers: Mapping[str, int], joint: Joint, alike: LookAlikes
) -> Iterator[str]:
    """Everything that is said beside a joint; `numbers` are the joints' places in the order."""
    yield from _look_alikes(given, joint, alike)
    yield from _no_remake(given, joint)
    yield from _unsure_stripes(given, joint)
    yield from _between(given, numbers, joint)
    yield from _tee(given, joint)
    unread = set(joint.points).intersection(given.not_surveyed)
    if given.surveyed[0] and unread:  # where nothing was surveyed the first page says it once
        yield HERE_ALONE if is_told(given, unread) else NOT_TOLD


def _look_alikes(given: Given, joint: Joint, alike: LookAlikes) -> Iterator[str]:
    tails = [c.point or "" for c in given.conductors(joint) if c.origin == "tail"]
    for tail in tails:
        others = tuple(alike.of(tail, joint.points))
        if len(others) > MOST_NAMED:
            yield f"{tail} looks like more than {MOST_NAMED} others: {GO_BY}"
        elif others:
            yield f"{tail} looks like {listed(*others)}: {GO_BY}"


def _no_remake(given: Given, joint: Joint) -> Iterator[str]:
    """Said where a tail has too little slack for the joint to be made a second time."""
    size = given.joint_size(joint.id)
    strip_mm = size.made.strip_mm if size and size.made else 0.0
    for conductor in given.conductors(joint):
        cut = given.cut(conductor.id)
        if conductor.origin == "tail" and cut is not None and cut.slack_mm < strip_mm:
            yield f"{conductor.point}: {cut.slack_mm:.0f} mm slack, made once only"


def _unsure_stripes(given: Given, joint: Joint) -> Iterator[str]:
    """Two colours whose source does not tell the base from the tracer."""
    for conductor in given.conductors(joint):
        colour = conductor.wire.colour if conductor.wire else None
        if conductor.origin == "tail" and colour is not None and not colour.ordered:
            yield "which colour is the stripe is not known"


def _between(given: Given, numbers: Mapping[str, int], joint: Joint) -> Iterator[str]:
    """Where a part lies whose leads end in two joints; said at the second of them."""
    here = {str(point) for point in joint.points}
    for extra in given.job.extras.values():
        if here.isdisjoint(extra.legs):
            continue
        joints = [j for j in given.harness.joints.values() if j.id in numbers]
        met = [j for j in joints if not set(extra.legs).isdisjoint(j.points)]
        ends = sorted(numbers[j.id] for j in met)
        if len(ends) == 2 and ends[-1] == numbers[joint.id]:
            yield f"{extra.name} lies between J{ends[0]} and J{ends[1]}{_apart(given, met)}"


def _apart(given: Given, joints: Sequence[Joint]) -> str:
    """How far two joints lie apart, to which the leads between them are trimmed."""
    sizes = [given.joint_size(joint.id) for joint in joints]
    places = [size.at_mm for size in sizes if size is not None and size.at_mm is not None]
    if len(places) != len(joints):
        return ""
    return f", {max(places) - min(places):.0f} mm apart: leads trimmed to lie straight"


def _tee(given: Given, joint: Joint) -> Iterator[str]:
    """That a joint is a T, at the place that was marked on its wire."""
    if not joint.tap:
        return
    for address in joint.points:
        if given.harness.points[address].is_tap:
            yield f"a T at the mark on the wire of {address}"


class LookAlikes:
    """For each wire all others that bear the same colours: of its own end, and across the cut.

    Behind them those of its end with which it may be mistaken.  In a large job they are as many as
    the square of its wires: they are asked for one by one, and only as many as anybody reads.
    """

    def __init__(self, given: Given) -> None:
        self.given = given
        self._groups: dict[frozenset[str], list[Point]] = defaultdict(list)
        self._own: dict[tuple[frozenset[str], str], list[str]] = defaultdict(list)
        for point in given.harness.points.values():
            colours = _colours(point)
            if colours:
                self._groups[colours].append(point)
                self._own[colours, point.owner].append(point.address)
        self._mistakable: dict[str, list[list[str]]] = defaultdict(list)
        for group in mistakable(given.harness):
            for address in group:
                self._mistakable[address].append(group)

    def of(self, address: str, joined: Collection[str]) -> Collection[str]:
        """The first of them that are not in its joint: one more than are named at the most."""
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
        colours = _colours(point) if point else frozenset()
        if point and colours:
            yield from (a for a in self._own[colours, point.owner] if a != address)
            joined = {a for c in self.given.circuits([address]) for a in c.join}
            for other in self._groups[colours]:
                if other.owner != point.owner and other.address not in joined:
                    yield other.address
        for group in self._mistakable.get(address, ()):
            yield from (a for a in group if a != address)


def _colours(point: Point) -> frozenset[str]:
    """The colours of the lead that a contact brings; none if it brings none or they are unknown."""
    wire = point.cavity.wire if point.cavity else None
    if not point.brings_lead or wire is None or wire.colour is None:
        return frozenset()
    return frozenset(wire.colour.colours)
