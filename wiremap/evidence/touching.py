"""Which nets lie beside one another, and which must never touch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise
from types import MappingProxyType
from typing import NamedTuple

from wiremap.evidence.expected import electrical
from wiremap.evidence.meter import METER_OHMS
from wiremap.evidence.probe_points import HarnessKind, nets_for, reachable
from wiremap.graph import Harness, Nets
from wiremap.model import ExtraKind, Face, Pinout

NEIGHBOURS_RANK = 9  # of nets that lie side by side and are no special danger
PAIR_HALVES = (
    ("can-high", "can-low"),
    ("j1850-plus", "j1850-minus"),
    ("differential-data", "differential-data"),
)
CLASS_OF: Mapping[str, str] = MappingProxyType({"wake": "live", "sensor-return": "return"})
BESIDE = ((0, 1), (1, -1), (1, 0), (1, 1))  # rows and columns on: each pair is met once


class Harm(NamedTuple):
    """How bad contact between two nets would be, 0 the worst, and why."""

    rank: int
    why: str


class NearPair(NamedTuple):
    """Two nets that might touch; they index the nets of `nets_for`, `one` below `other`."""

    rank: int  # that of their danger, NEIGHBOURS_RANK for mere neighbours
    off_face: bool  # dangerous together, though they do not lie side by side
    one: int
    other: int


@dataclass(frozen=True, slots=True)
class KeptApart:
    """Two electrical classes that must not touch; both alike: two of that class."""

    one: str
    other: str
    danger: Harm


REFERENCE_SHORTED = Harm(4, "the sensor reference shorted")
FUSED = Harm(1, "past its fuse: nothing protects the wire")
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
HARMFUL = frozenset(name for kept in KEPT_APART for name in (kept.one, kept.other))


def face_neighbours(pinout: Pinout) -> Iterator[tuple[str, str]]:
    """Pairs of cavities side by side, also diagonally; without a face, those next in number."""
    face = pinout.connector.face
    if face is None:
        yield from pairwise(pinout.cavities)
        return
    places = _places(face)
    for (row, column), name in places.items():
        for down, right in BESIDE:
            other = places.get((row + down, column + right))
            if other is not None:
                yield name, other


def _places(face: Face) -> dict[tuple[int, int], str]:
    places = {}
    for r, row in enumerate(face.padded()):
        for c, name in enumerate(row):
            if name:
                places[r, c] = name
    return places


# -- danger ---------------------------------------------------------------------------------------


class _Net(NamedTuple):
    """A net as to what it must not touch; worked out once, as every net meets every other."""

    points: Sequence[str]
    classes: set[str]


def danger(harness: Harness, a: Sequence[str], b: Sequence[str]) -> Harm | None:
    """How bad contact between two nets would be; None if it is no special danger."""
    return Dangers(harness).between(tuple(a), tuple(b))


class Dangers:
    """How bad contact between nets would be, for many pairs: each net is looked at once."""

    def __init__(self, harness: Harness) -> None:
        self._harness = harness
        self._nets: dict[tuple[str, ...], _Net] = {}

    def between(self, a: tuple[str, ...], b: tuple[str, ...]) -> Harm | None:
        """That of two nets; None if it is no special danger."""
        return _danger(self._harness, self._net(a), self._net(b))

    def _net(self, points: tuple[str, ...]) -> _Net:
        if points not in self._nets:
            self._nets[points] = _Net(points, _classes(self._harness, points))
        return self._nets[points]


def _danger(harness: Harness, a: _Net, b: _Net) -> Harm | None:
    for one, other in _fuse_legs(harness):
        if (one in a.points and other in b.points) or (other in a.points and one in b.points):
            return FUSED
    for kept in KEPT_APART:
        if not _meet(kept, a.classes, b.classes):
            continue
        if kept.one != "bus" or _is_pair(harness, a.points, b.points):
            return kept.danger
    return None


def _meet(kept: KeptApart, left: set[str], right: set[str]) -> bool:
    one_way = kept.one in left and kept.other in right
    return one_way or (kept.other in left and kept.one in right)


def _classes(harness: Harness, points: Sequence[str]) -> set[str]:
    """The electrical classes on a net, live lines and returns told apart."""
    found = set()
    for address in points:
        point = harness.points.get(address)
        if point is not None and point.cavity is not None:
            own = CLASS_OF.get(point.cavity.function)
            found.add(own or electrical(point.cavity))
    return found


def _fuse_legs(harness: Harness) -> list[tuple[str, ...]]:
    return [x.legs for x in harness.job.extras.values() if x.kind == ExtraKind.FUSE]


def _is_pair(harness: Harness, a: Sequence[str], b: Sequence[str]) -> bool:
    """Whether two nets are the halves of one pair."""
    one, two = _functions(harness, a), _functions(harness, b)
    for high, low in PAIR_HALVES:
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


# -- pairs that might touch -----------------------------------------------------------------------


def near_pairs(harness: Harness, kind: str) -> list[NearPair]:
    """Pairs of nets that lie side by side on a face or are dangerous together, worst first.

    Pairs that read as one anyway are left out; `meeting_pairs` has those.
    """
    parted = nets_for(harness, kind)
    tied = _tied(harness, kind, parted)
    return [
        pair for pair in _ranked(harness, kind) if not _read_as_one(harness, parted, tied, pair)
    ]


def meeting_pairs(harness: Harness, kind: str) -> list[tuple[int, int]]:
    """Those of such pairs that meet outside the harness: apart only while parted there."""
    parted = nets_for(harness, kind)
    tied = _tied(harness, kind, parted)
    return [
        (pair.one, pair.other)
        for pair in _ranked(harness, kind)
        if _read_as_one(harness, parted, tied, pair)
    ]


@lru_cache(maxsize=2)
def _ranked(harness: Harness, kind: str) -> tuple[NearPair, ...]:
    parted = nets_for(harness, kind)
    index = {address: i for i, net in enumerate(parted) for address in net.points}
    allowed = {index[address] for address in reachable(harness, kind)}
    beside = {
        pair for pair in _side_by_side(harness, index) if pair[0] in allowed and pair[1] in allowed
    }
    nets = [_Net(net.points, _classes(harness, net.points)) for net in parted]
    risky = [i for i in sorted(allowed) if _may_harm(harness, nets[i])]
    found = []
    for i, j in sorted({*beside, *combinations(risky, 2)}):
        known = _danger(harness, nets[i], nets[j])
        if known is not None:
            found.append(NearPair(known.rank, (i, j) not in beside, i, j))
        elif (i, j) in beside:
            found.append(NearPair(NEIGHBOURS_RANK, False, i, j))
    return tuple(sorted(found))


def _side_by_side(harness: Harness, index: Mapping[str, int]) -> Iterator[tuple[int, int]]:
    for end in harness.job.ends.values():
        for x, y in face_neighbours(end.pinout):
            i, j = index.get(f"{end.name}.{x}"), index.get(f"{end.name}.{y}")
            if i is not None and j is not None and i != j:
                yield min(i, j), max(i, j)


def _may_harm(harness: Harness, net: _Net) -> bool:
    if not HARMFUL.isdisjoint(net.classes):
        return True
    return any(leg in net.points for legs in _fuse_legs(harness) for leg in legs)


def _tied(harness: Harness, kind: str, parted: Nets) -> set[str]:
    """The nets that something outside the harness might join with others.

    An adapter on the bench has nothing behind it.
    """
    if kind == HarnessKind.ADAPTER:
        return set()
    bonds = harness.active_bonds(plugged=False)
    return {parted.of(address).name for bond in bonds for address in (bond.a, bond.b)}


def _read_as_one(harness: Harness, parted: Nets, tied: set[str], pair: NearPair) -> bool:
    """Whether two nets read as one with nothing wrong, as two grounds that meet at the chassis."""
    one, two = parted.all[pair.one], parted.all[pair.other]
    if one.name not in tied or two.name not in tied:
        return False
    a, b = one.points[0], two.points[0]
    return harness.ohms(a, b, plugged=False, nets=parted).low <= 2 * METER_OHMS
