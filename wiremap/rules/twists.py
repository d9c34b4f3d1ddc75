"""Which circuits are the legs of a pair, and which twist they share."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.evidence.terminators import low_half
from wiremap.model import Circuit, Twist
from wiremap.rules.pairs import halves
from wiremap.rules.view import View


def bus_circuits(view: View) -> Iterator[tuple[Circuit, Circuit]]:
    """The circuits of the two legs of each joined pair, once."""
    seen = set()
    for pair in view.fixed(halves).pairs:
        high, low = (view.circuit_of(leg.address) for leg in pair.legs)
        if high is None or low is None or high.id == low.id:
            continue
        if (high.id, low.id) not in seen:
            seen.add((high.id, low.id))
            yield high, low


def shared_twist(view: View, one: Circuit, two: Circuit) -> Twist | None:
    """The twist that both circuits lie in; None if there is none."""
    twists = view.fixed(twists_of)
    both = set(twists.get(one.id, ())) & set(twists.get(two.id, ()))
    return view.job.twists[min(both)] if both else None


def twists_of(view: View) -> dict[str, list[str]]:
    """The names of the twists that each circuit lies in."""
    twists: dict[str, list[str]] = defaultdict(list)
    for name, twist in view.job.twists.items():
        for circuit in twist.circuits:
            twists[circuit].append(name)
    return twists


def high_half(view: View, circuit: Circuit) -> str:
    """The contact at which an answer tells of a pair: one that its paper calls the high half."""
    points = (view.points[point] for point in circuit.join if point in view.points)
    told = (p for p in points if p.end and p.cavity and low_half(p.end, p.cavity))
    return next((point.address for point in told), circuit.join[0])
