"""Which points a ring-out can reach, and the nets that it counts in."""

from __future__ import annotations

from collections.abc import Collection
from enum import StrEnum

from wiremap.evidence.expected import refused
from wiremap.graph import Harness, LinkKind, Nets, PointKind, Reach
from wiremap.graph.harness import SECTION
from wiremap.graph.walks import groups
from wiremap.model import Address, AsFound, EndKind, Treat


class HarnessKind(StrEnum):
    """Where a harness is rung out: on the machine after the cut, or on the bench."""

    SPLICE_IN = "splice-in"
    ADAPTER = "adapter"


SPLICE_IN, ADAPTER = HarnessKind.SPLICE_IN, HarnessKind.ADAPTER
BOLTED = frozenset({LinkKind.CONDUCTOR, LinkKind.BOLT})


def kind_of(harness: Harness) -> HarnessKind:
    """`splice-in` if an end was cut from its machine, otherwise `adapter`."""
    cut = any(end.kind == EndKind.CUT_TAIL for end in harness.job.ends.values())
    return HarnessKind.SPLICE_IN if cut else HarnessKind.ADAPTER


def test_points(harness: Harness) -> list[str]:
    """Every contact of every end (of a tap only those in circuits), every stud and part's leg.

    Nothing that touches a restraint circuit or voltage class B is ever among them: nobody puts a
    probe there.
    """
    barred: set[str] = set()
    for point in harness.points.values():
        if point.cavity is not None and refused(point.cavity):
            barred.update(harness.metals.of(point.address).points)
    found: list[str] = []
    for point in harness.points.values():
        loose_tap = point.is_tap and not harness.circuits_at(point.address)
        if point.kind != PointKind.CHASSIS and not loose_tap and point.address not in barred:
            found.append(point.address)
    return found


def reachable(harness: Harness, kind: str) -> list[str]:
    """The test points that a probe finds: all on an adapter, what `reach` leaves on a splice."""
    points = test_points(harness)
    if kind == HarnessKind.ADAPTER:
        return [a for a in points if not _is_mated(harness, a)]
    return [a for a in points if harness.reach(a) != Reach.NONE]


def is_hole(harness: Harness, address: str) -> bool:
    """Whether a cavity has no contact: left out of the job, and blanked, empty or not filled."""
    point = harness.points[address]
    if point.cavity is None or point.end is None or harness.circuits_at(address):
        return False
    left = harness.job.not_joined.get(Address.read(address))
    blanked = left is not None and left.treat == Treat.BLANK
    unfilled = point.end.kind == EndKind.MATE
    return blanked or unfilled or point.cavity.as_found == AsFound.EMPTY


def _is_mated(harness: Harness, address: str) -> bool:
    end = harness.end_of(address)
    return end is not None and end.mated


def nets_for(harness: Harness, kind: str) -> Nets:
    """What the ring-out counts in, fuses out: on the bench studs lie loose, otherwise bolted."""
    return harness.partition(_counted_in(kind))


def parts_without(harness: Harness, kind: str, off: Collection[str]) -> dict[str, int]:
    """By point the number of the piece that it is in while these points are off their joints.

    Each of those points is a piece by itself.
    """
    graph = harness.conducting(_counted_in(kind))
    stays = graph.subgraph(node for node in graph if node not in off)
    found: dict[str, int] = {}
    for number, nodes in enumerate(groups(stays)):
        found.update(dict.fromkeys(nodes, number))
    first = len(found)
    return found | {point: first + number for number, point in enumerate(sorted(off))}


def _counted_in(kind: str) -> frozenset[str]:
    return SECTION if kind == HarnessKind.ADAPTER else BOLTED
