"""What a plan reads apart: sets of points and of nets are whole numbers, a bit each.

So all that one contact is read against is one number, and a thousand are met at once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cached_property, reduce
from operator import or_

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.ringout.probe import Points, Probe


class Silences:
    """Which nets and points the probes of a plan expect to be silent towards each other.

    `apart` gives for a net the nets that it is read apart from.  For a point `facing` gives the
    points that it is read against with nothing set for that reading, `facing_nets` their nets, and
    `beside` the other points of those nets.
    """

    def __init__(self, drawn: Drawn, probes: Iterable[Probe]) -> None:
        self.drawn = drawn
        self.bits = {point: 1 << i for i, point in enumerate(drawn.points)}
        self.apart: dict[int, int] = defaultdict(int)
        self.facing: dict[str, int] = defaultdict(int)
        self.facing_nets: dict[str, int] = defaultdict(int)
        self.beside: dict[str, int] = defaultdict(int)
        for probe in probes:
            if probe.expect == Shows.SILENT:
                self._note(probe, probe.red, probe.black)
                self._note(probe, probe.black, probe.red)

    def _note(self, probe: Probe, here: Points, there: Points) -> None:
        net_of = self.drawn.net_of
        nets = joined(1 << net_of[a] for a in there)
        for net in {net_of[a] for a in here}:
            self.apart[net] |= nets
        if probe.state:
            return
        points, beside = self.of(there), joined(map(self.mates, there))
        for a in here:
            self.facing[a] |= points
            self.facing_nets[a] |= nets
            self.beside[a] |= beside

    def of(self, points: Iterable[str]) -> int:
        """Points as a set."""
        return joined(self.bits.get(a, 0) for a in points)

    @cached_property
    def members(self) -> dict[int, int]:
        """The points of each net."""
        return {net: self.of(points) for net, points in self.drawn.members.items()}

    def mates(self, point: str) -> int:
        """The other points of a point's net."""
        return self.members.get(self.drawn.net_of[point], 0) & ~self.bits.get(point, 0)

    def are_apart(self, one: int, other: int) -> bool:
        """Whether two nets are read apart."""
        return bool(self.apart.get(one, 0) >> other & 1)

    def beeping(self, point: str) -> int:
        """The points of which one, exchanged with this, is in silence no more, nor is this one.

        Of two that are exchanged the one comes among the mates of the other.
        """
        net = self.drawn.members[self.drawn.net_of[point]]
        comes = joined(self.facing.get(mate, 0) for mate in net if mate != point)
        return self.beside.get(point, 0) | comes


def joined(sets: Iterable[int]) -> int:
    """All that is in any of these sets."""
    return reduce(or_, sets, 0)


def members_of(of: int) -> Iterator[int]:
    """The places of the bits that are set, the lowest first."""
    if of:
        yield from (i for i, digit in enumerate(reversed(f"{of:b}")) if digit == "1")
