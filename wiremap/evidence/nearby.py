"""Which points a ring-out can reach, which nets lie beside one another, and which must never touch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations, pairwise
from types import MappingProxyType

from wiremap.evidence.bands import electrical, refused
from wiremap.evidence.readings import METER_OHMS
from wiremap.graph import Harness, Nets
from wiremap.model import Pinout

SPLICE_IN, ADAPTER = "splice-in", "adapter"


def kind_of(harness: Harness) -> str:
    """`splice-in` if an end was cut from its machine, otherwise `adapter`."""
    return SPLICE_IN if any(e.kind == "cut-tail" for e in harness.job.ends.values()) else ADAPTER


def test_points(harness: Harness) -> list[str]:
    """Every contact of every end (of a tap only those in circuits), every stud and every extra's leg.

    Nothing that touches a restraint circuit or voltage class B is ever among them: nobody puts a probe there.
    """
    barred = {
        a
        for p in harness.points.values()
        if p.cavity and refused(p.cavity)
        for a in harness.metals.of(p.address).points
    }
    return [
        p.address
        for p in harness.points.values()
        if p.kind != "chassis"
        and not (p.is_tap and not harness.circuits_at(p.address))
        and p.address not in barred
    ]


def reachable(harness: Harness, kind: str) -> list[str]:
    """The test points that a probe finds: all of them on an adapter, what `reach` leaves on a splice."""
    points = test_points(harness)
    if kind == ADAPTER:
        return [a for a in points if not ((end := harness.end_of(a)) and end.mated)]
    return [a for a in points if harness.reach(a) != "none"]


def nets_for(harness: Harness, kind: str) -> Nets:
    """What the ring-out counts in: fuses out; on the bench studs lie loose, on the machine they are bolted."""
    return (
        harness.sections if kind == ADAPTER else harness.partition(frozenset({"conductor", "bolt"}))
    )


def face_neighbours(pinout: Pinout) -> Iterator[tuple[str, str]]:
    """Pairs of cavities that lie side by side, also diagonally; without a face, those next in number."""
    face = pinout.connector.face
    if face is None:
        names = list(pinout.cavities)
        yield from pairwise(names)
        return
    rows = face.padded()
    for r, row in enumerate(rows):
        for c, name in enumerate(row):
            for dr, dc in ((0, 1), (1, -1), (1, 0), (1, 1)):
                if (
                    r + dr < len(rows)
                    and 0 <= c + dc < len(row)
                    and name is not None
                    and (other := rows[r + dr][c + dc])
                ):
                    yield name, other


def _classes(harness: Harness, points: tuple[str, ...]) -> set[str]:
    found = set()
    for a in points:
        point = harness.points.get(a)
        if point is not None and point.cavity is not None:
            found.add(RENAMED.get(point.cavity.function) or electrical(point.cavity))
    return found


def _functions(harness: Harness, points: tuple[str, ...]) -> set[str]:
    return {p.function for a in points if (p := harness.points.get(a)) is not None}


RENAMED: Mapping[str, str] = MappingProxyType({"wake": "live", "sensor-return": "return"})
FUSED = (1, "past its fuse: nothing protects the wire")
DANGERS: tuple[tuple[frozenset[str], int, str], ...] = (
    (
        frozenset({"supply", "reference"}),
        0,
        "supply on the sensor reference kills sensors and unit",
    ),
    (
        frozenset({"live", "reference"}),
        0,
        "a live line on the sensor reference kills sensors and unit",
    ),
    (frozenset({"supply", "ground"}), 1, "supply to ground"),
    (frozenset({"supply", "return"}), 1, "supply to the sensor return"),
    (frozenset({"supply", "drive"}), 2, "a load runs by itself"),
    (frozenset({"supply", "lamp"}), 2, "a lamp burns by itself"),
    (frozenset({"live", "supply"}), 3, "the unit never sleeps"),
    (frozenset({"drive"}), 3, "the wrong load moves"),
    (frozenset({"loop"}), 3, "a bridged guard loop protects nobody"),
    (frozenset({"bus"}), 4, "a pair shorted to itself is a dead bus"),
    (
        frozenset({"return", "ground"}),
        4,
        "return and power ground must meet at the star point only",
    ),
    (frozenset({"reference", "ground"}), 4, "the sensor reference shorted"),
    (frozenset({"reference", "return"}), 4, "the sensor reference shorted"),
)


def danger(harness: Harness, a: tuple[str, ...], b: tuple[str, ...]) -> tuple[int, str] | None:
    """How bad contact between two nets would be, 0 the worst, and why; None if it is no special danger."""
    if any((s in a and t in b) or (s in b and t in a) for s, t in _fuses(harness)):
        return FUSED
    one, two = _classes(harness, a), _classes(harness, b)
    for pair, rank, why in DANGERS:
        if len(pair) == 1:
            (group,) = pair
            met = group in one and group in two and (group != "bus" or _is_pair(harness, a, b))
        else:
            x, y = sorted(pair)
            met = (x in one and y in two) or (y in one and x in two)
        if met:
            return rank, why
    return None


def _fuses(harness: Harness) -> list[tuple[str, ...]]:
    return [x.legs for x in harness.job.extras.values() if x.kind == "fuse"]


def _is_pair(harness: Harness, a: tuple[str, ...], b: tuple[str, ...]) -> bool:
    one, two = _functions(harness, a), _functions(harness, b)
    halves = (
        ("can-high", "can-low"),
        ("j1850-plus", "j1850-minus"),
        ("differential-data", "differential-data"),
    )
    return any(
        (h in one and low in two) or (low in one and h in two) for h, low in halves
    ) and bool(_pair_names(harness, a) & _pair_names(harness, b))


def _pair_names(harness: Harness, points: tuple[str, ...]) -> set[tuple[str, str | None]]:
    return {
        (p.owner, p.cavity.pair)
        for a in points
        if (p := harness.points.get(a)) is not None and p.cavity is not None
    }


def near_pairs(harness: Harness, kind: str) -> list[tuple[int, bool, int, int]]:
    """Pairs of nets that lie beside each other on a face or are dangerous together: (rank, apart on the face, i, j).

    i < j index the nets of `nets_for`; rank is that of `danger`, 9 for mere neighbours; sorted, worst first.  Pairs that
    read as one anyway are left out; `meeting_pairs` has those.
    """
    parted = nets_for(harness, kind)
    return [
        row
        for row in _ranked(harness, kind, parted)
        if not inseparable(harness, kind, parted, row[2], row[3])
    ]


def meeting_pairs(harness: Harness, kind: str) -> list[tuple[int, int]]:
    """Those of such pairs that meet outside the harness, so that they are apart only while they are parted there."""
    parted = nets_for(harness, kind)
    return [
        (i, j)
        for _, _, i, j in _ranked(harness, kind, parted)
        if inseparable(harness, kind, parted, i, j)
    ]


def _ranked(harness: Harness, kind: str, parted: Nets) -> list[tuple[int, bool, int, int]]:
    index = {a: i for i, net in enumerate(parted) for a in net.points}
    points = {i: tuple(net.points) for i, net in enumerate(parted)}
    allowed = {index[a] for a in reachable(harness, kind)}
    beside: set[tuple[int, int]] = set()
    for end in harness.job.ends.values():
        for x, y in face_neighbours(end.pinout):
            i, j = index.get(f"{end.name}.{x}"), index.get(f"{end.name}.{y}")
            if i is not None and j is not None and i != j and i in allowed and j in allowed:
                beside.add((min(i, j), max(i, j)))
    found = {}
    fused = {leg for legs in _fuses(harness) for leg in legs}
    ringed = [
        i
        for i in sorted(allowed)
        if _classes(harness, points[i]) & _DANGEROUS or fused.intersection(points[i])
    ]
    for i, j in sorted({*beside, *combinations(ringed, 2)}):
        known = danger(harness, points[i], points[j])
        if known is not None or (i, j) in beside:
            found[i, j] = (known[0] if known else 9, (i, j) not in beside, i, j)
    return sorted(found.values())


def inseparable(harness: Harness, kind: str, parted: Nets, i: int, j: int) -> bool:
    """Whether two nets read as one although nothing is wrong, such as two grounds that meet through the chassis.

    An adapter on the bench has nothing behind it that could join two nets.
    """
    if kind == ADAPTER:
        return False
    bonded = {parted.of(x).name for b in harness.active_bonds(plugged=False) for x in (b.a, b.b)}
    one, two = parted.all[i], parted.all[j]
    if one.name not in bonded or two.name not in bonded:
        return False
    return (
        harness.ohms(one.points[0], two.points[0], plugged=False, nets=parted).low <= 2 * METER_OHMS
    )


_DANGEROUS = frozenset().union(*(pair for pair, _, _ in DANGERS))
