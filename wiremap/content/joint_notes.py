"""What is said beside a joint: look-alikes, slack, unsure stripes, where a part or a T lies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import permutations

from wiremap.content.given import Given
from wiremap.content.words import listed
from wiremap.graph import Joint, Point
from wiremap.rules.lookalikes import mistakable

GO_BY = "go by the flag"

Alike = Mapping[str, tuple[str, ...]]


def notes(given: Given, numbers: Mapping[str, int], joint: Joint, alike: Alike) -> Iterator[str]:
    """Everything that is said beside a joint; `numbers` are the joints' places in the order."""
    yield from _look_alikes(given, joint, alike)
    yield from _no_remake(given, joint)
    yield from _unsure_stripes(given, joint)
    yield from _between(given, numbers, joint)
    yield from _tee(given, joint)
    # where nothing was surveyed the first page says it once
    if given.surveyed[0] and not set(given.not_surveyed).isdisjoint(joint.points):
        yield f"not read before {given.before_what} yet"


def _look_alikes(given: Given, joint: Joint, alike: Alike) -> Iterator[str]:
    found: dict[str, None] = {}
    for conductor in given.conductors(joint):
        if conductor.origin == "tail":
            found.update(dict.fromkeys(alike.get(conductor.point or "", ())))
    others = [address for address in found if address not in joint.points]
    if others:
        yield f"looks like {listed(*others)}: {GO_BY}"


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
    joints = [j for j in given.harness.joints.values() if j.id in numbers]
    for extra in given.job.extras.values():
        ends = [numbers[j.id] for j in joints if not set(extra.legs).isdisjoint(j.points)]
        if len(ends) == 2 and max(ends) == numbers[joint.id]:
            yield f"{extra.name} lies between J{min(ends)} and J{max(ends)}"


def _tee(given: Given, joint: Joint) -> Iterator[str]:
    """That a joint is a T, at the place that was marked on its wire."""
    if not joint.tap:
        return
    for address in joint.points:
        if given.harness.points[address].is_tap:
            yield f"a T at the mark on the wire of {address}"


def look_alikes(given: Given) -> Alike:
    """For each wire all others that bear the same colours: of its own end, and across the cut."""
    groups: dict[frozenset[str], list[Point]] = defaultdict(list)
    for point in given.harness.points.values():
        wire = point.cavity.wire if point.cavity else None
        if point.brings_lead and wire is not None and wire.colour is not None:
            groups[frozenset(wire.colour.colours)].append(point)
    found: dict[str, tuple[str, ...]] = {}
    for group in groups.values():
        for point in group:
            joined = {a for c in given.circuits([point.address]) for a in c.join}
            own = [p.address for p in group if p is not point and p.owner == point.owner]
            across = [p.address for p in group if p.owner != point.owner]
            others = own + [address for address in across if address not in joined]
            if others:
                found[point.address] = tuple(others)
    for alike in mistakable(given.harness):
        for one, other in permutations(alike, 2):
            _add(found, one, other)
    return found


def _add(found: dict[str, tuple[str, ...]], address: str, other: str) -> None:
    known = found.get(address, ())
    if other not in known:
        found[address] = (*known, other)
