"""Which nets lie beside one another, or might touch with harm."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import combinations, combinations_with_replacement, pairwise, product
from typing import NamedTuple

from wiremap.evidence.danger import DangerNet, classes_on, fuse_legs, harm_between, may_harm
from wiremap.evidence.meter import METER_OHMS
from wiremap.evidence.probe_points import HarnessKind, nets_for, reachable
from wiremap.graph import Harness, Nets
from wiremap.model import Circuit, Face, Pinout

NEIGHBOURS_RANK = 9  # of nets that lie side by side and are no special danger
AS_ONE_OHMS = 2 * METER_OHMS  # nets with no more between them read as one metal
LEAST_SHARE = 1 - 1e-6  # sums of fractions are rounded
BESIDE = ((0, 1), (1, -1), (1, 0), (1, 1))  # rows and columns on: each pair is met once


class NearPair(NamedTuple):
    """Two nets that might touch; they index the nets of `nets_for`, `one` below `other`."""

    rank: int  # that of their danger, NEIGHBOURS_RANK for mere neighbours
    off_face: bool  # dangerous together, though they do not lie side by side
    one: int
    other: int


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


def near_points(harness: Harness) -> Mapping[str, set[str]]:
    """For each point those that a hand comes near too: beside it on a face, in the next joints."""
    near: dict[str, set[str]] = {}
    joints = [joint.points for joint in harness.joints.values() if joint.points]
    pairs: list[tuple[str, str]] = []
    for here, there in pairwise(joints):
        pairs += product(here, there)
    for end in harness.job.ends.values():
        for one, two in face_neighbours(end.pinout):
            pairs.append((f"{end.name}.{one}", f"{end.name}.{two}"))
    for one, two in pairs:
        near.setdefault(one, set()).add(two)
        near.setdefault(two, set()).add(one)
    return near


def _places(face: Face) -> dict[tuple[int, int], str]:
    places = {}
    for r, row in enumerate(face.padded()):
        for c, name in enumerate(row):
            if name:
                places[r, c] = name
    return places


# -- pairs that might touch -----------------------------------------------------------------------


@lru_cache(maxsize=2)
def near_pairs(harness: Harness, kind: str) -> tuple[NearPair, ...]:
    """Pairs of nets that lie side by side on a face or are dangerous together, worst first.

    Pairs that read as one anyway are left out; `meeting_pairs` has those.
    """
    parted = nets_for(harness, kind)
    close = _close(harness, kind, parted)
    return tuple(
        pair for pair in _ranked(harness, kind) if not _read_as_one(harness, parted, close, pair)
    )


def meeting_pairs(harness: Harness, kind: str) -> list[tuple[int, int]]:
    """Those of such pairs that meet outside the harness: apart only while parted there."""
    parted = nets_for(harness, kind)
    close = _close(harness, kind, parted)
    return [
        (pair.one, pair.other)
        for pair in _ranked(harness, kind)
        if _read_as_one(harness, parted, close, pair)
    ]


@lru_cache(maxsize=2)
def _ranked(harness: Harness, kind: str) -> tuple[NearPair, ...]:
    parted = nets_for(harness, kind)
    index = {address: i for i, net in enumerate(parted) for address in net.points}
    allowed = {index[address] for address in reachable(harness, kind)}
    beside = {pair for pair in _side_by_side(harness, index) if allowed.issuperset(pair)}
    nets = [DangerNet(net.points, classes_on(harness, net.points)) for net in parted]
    found = []
    across = {
        (min(i, j), max(i, j))
        for i, j in (map(index.__getitem__, legs) for legs in fuse_legs(harness))
        if {i, j} <= allowed
    }
    for i, j in sorted({*beside, *across, *_of_classes(nets, sorted(allowed))}):
        known = harm_between(harness, nets[i], nets[j])
        if known is not None:
            found.append(NearPair(known.rank, (i, j) not in beside, i, j))
        elif (i, j) in beside:
            found.append(NearPair(NEIGHBOURS_RANK, False, i, j))
    return tuple(sorted(found))


def _of_classes(nets: Sequence[DangerNet], allowed: Iterable[int]) -> Iterator[tuple[int, int]]:
    """The pairs of nets that might touch with harm by their classes."""
    alike: dict[frozenset[str], list[int]] = {}
    for i in allowed:
        alike.setdefault(nets[i].classes, []).append(i)
    for one, other in combinations_with_replacement(alike, 2):
        if may_harm(one, other):
            here, there = alike[one], alike[other]
            pairs = combinations(here, 2) if here is there else product(here, there)
            yield from ((min(pair), max(pair)) for pair in pairs)


def _side_by_side(harness: Harness, index: Mapping[str, int]) -> Iterator[tuple[int, int]]:
    for end in harness.job.ends.values():
        for x, y in face_neighbours(end.pinout):
            i, j = index.get(f"{end.name}.{x}"), index.get(f"{end.name}.{y}")
            if i is not None and j is not None and i != j:
                yield min(i, j), max(i, j)
    for circuits in _twisted(harness):
        nets = sorted({index[point] for one in circuits for point in one.join if point in index})
        yield from combinations(nets, 2)


def _twisted(harness: Harness) -> Iterator[list[Circuit]]:
    """The circuits of each twist, its drain too: their wires lie on each other all along."""
    known = {circuit.id: circuit for circuit in harness.job.circuits}
    for twist in harness.job.twists.values():
        members = (*twist.circuits, *([twist.drain] if twist.drain else []))
        yield [known[name] for name in members if name in known]


def _close(harness: Harness, kind: str, parted: Nets) -> set[str]:
    """The nets that something outside the harness might join with others as if by metal.

    All that ends at them together has so few ohms.  An adapter on the bench has nothing behind it.
    """
    if kind == HarnessKind.ADAPTER:
        return set()
    siemens: dict[str, float] = defaultdict(float)
    for bond in harness.active_bonds(plugged=False):
        for address in (bond.a, bond.b):
            name = parted.of(address).name
            siemens[name] += 1 / bond.ohms.low if bond.ohms.low else math.inf
    return {name for name, sum_ in siemens.items() if sum_ * AS_ONE_OHMS >= LEAST_SHARE}


def _read_as_one(harness: Harness, parted: Nets, close: set[str], pair: NearPair) -> bool:
    """Whether two nets read as one with nothing wrong, as two grounds that meet at the chassis."""
    one, two = parted.all[pair.one], parted.all[pair.other]
    if one.name not in close or two.name not in close:
        return False
    return harness.ohms(one.first, two.first, plugged=False, nets=parted).low <= AS_ONE_OHMS
