"""Which nets must never touch, and how bad it would be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from types import MappingProxyType
from typing import NamedTuple

from wiremap.evidence.expected import electrical
from wiremap.graph import Harness
from wiremap.trade.functions import HIGH_AND_LOW

CLASS_OF: Mapping[str, str] = MappingProxyType({"wake": "live", "sensor-return": "return"})


class Harm(NamedTuple):
    """How bad contact between two nets would be, 0 the worst, and why."""

    rank: int
    why: str


@dataclass(frozen=True, slots=True)
class KeptApart:
    """Two electrical classes that must not touch; both alike: two of that class."""

    one: str
    other: str
    danger: Harm


REFERENCE_SHORTED = Harm(4, "the sensor reference shorted")
FUSED = Harm(1, "a way past its fuse, only a larger one protects the wire")
KEPT_APART = (
    KeptApart(
        "supply", "reference", Harm(0, "supply on the sensor reference kills sensors and unit")
    ),
    KeptApart(
        "live", "reference", Harm(0, "a live line on the sensor reference kills sensors and unit")
    ),
    KeptApart("supply", "ground", Harm(1, "supply to ground")),
    KeptApart("supply", "return", Harm(1, "supply to the sensor return")),
    KeptApart("supply", "drive", Harm(2, "a load runs by itself")),
    KeptApart("supply", "lamp", Harm(2, "a lamp burns by itself")),
    KeptApart("live", "supply", Harm(3, "the unit never sleeps")),
    KeptApart("drive", "drive", Harm(3, "the wrong load moves")),
    KeptApart("loop", "loop", Harm(3, "a bridged guard loop protects nobody")),
    KeptApart("bus", "bus", Harm(4, "a pair shorted to itself is a dead bus")),
    KeptApart(
        "return", "ground", Harm(4, "return and power ground must meet at the star point only")
    ),
    KeptApart("reference", "ground", REFERENCE_SHORTED),
    KeptApart("reference", "return", REFERENCE_SHORTED),
)


class DangerNet(NamedTuple):
    """A net as to what it must not touch; worked out once, as every net meets every other."""

    points: Sequence[str]
    classes: frozenset[str]


def danger(harness: Harness, a: Sequence[str], b: Sequence[str]) -> Harm | None:
    """How bad contact between two nets would be; None if it is no special danger."""
    return Dangers(harness).between(tuple(a), tuple(b))


class Dangers:
    """How bad contact between nets would be, for many pairs: each net is looked at once."""

    def __init__(self, harness: Harness) -> None:
        self._harness = harness
        self._nets: dict[tuple[str, ...], DangerNet] = {}

    def between(self, a: tuple[str, ...], b: tuple[str, ...]) -> Harm | None:
        """How bad contact between two nets would be; None if it is no special danger."""
        return harm_between(self._harness, self._net(a), self._net(b))

    def _net(self, points: tuple[str, ...]) -> DangerNet:
        if points not in self._nets:
            self._nets[points] = DangerNet(points, classes_on(self._harness, points))
        return self._nets[points]


def harm_between(harness: Harness, a: DangerNet, b: DangerNet) -> Harm | None:
    """How bad contact between two nets that were looked at would be."""
    for one, other in fuse_legs(harness):
        if (one in a.points and other in b.points) or (other in a.points and one in b.points):
            return FUSED
    for kept in _met(a.classes, b.classes):
        if kept.one != "bus" or _is_pair(harness, a.points, b.points):
            return kept.danger
    return None


def may_harm(left: frozenset[str], right: frozenset[str]) -> bool:
    """Whether nets of these classes must be kept apart; the two halves of one pair may not."""
    return bool(_met(left, right))


@lru_cache(maxsize=1024)
def _met(left: frozenset[str], right: frozenset[str]) -> tuple[KeptApart, ...]:
    """What must be kept apart of nets of these classes, the worst first.

    Kept in memory, as the same few sets of classes meet again and again.
    """
    pairs = {*product(left, right), *product(right, left)}
    return tuple(kept for kept in KEPT_APART if (kept.one, kept.other) in pairs)


def classes_on(harness: Harness, points: Sequence[str]) -> frozenset[str]:
    """The electrical classes on a net, live lines and returns told apart."""
    found = set()
    for address in points:
        point = harness.points.get(address)
        if point is not None and point.cavity is not None:
            own = CLASS_OF.get(point.cavity.function)
            found.add(own or electrical(point.cavity))
    return frozenset(found)


def fuse_legs(harness: Harness) -> list[tuple[str, ...]]:
    """The legs of each fuse of the job."""
    return [x.legs for x in harness.job.extras.values() if x.is_fuse]


def _is_pair(harness: Harness, a: Sequence[str], b: Sequence[str]) -> bool:
    """Whether two nets are the halves of one pair."""
    one, two = _functions(harness, a), _functions(harness, b)
    for high, low in HIGH_AND_LOW:
        if (high in one and low in two) or (low in one and high in two):
            return bool(_pair_names(harness, a) & _pair_names(harness, b))
    return False


def _functions(harness: Harness, points: Sequence[str]) -> set[str]:
    return {harness.points[a].function for a in points if a in harness.points}


def _pair_names(harness: Harness, points: Sequence[str]) -> set[tuple[str, str | None]]:
    found = set()
    for address in points:
        point = harness.points.get(address)
        if point is not None and point.cavity is not None:
            found.add((point.owner, point.cavity.pair))
    return found
