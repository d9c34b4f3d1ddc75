"""What a plan reads apart: sets of points and of nets are whole numbers, a bit each.

So all that one contact is read against is one number, and a thousand are met at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property, reduce
from itertools import permutations
from operator import or_

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.ringout.probe import Points, Probe

NOTHING = (0, 0, 0)


class Silences:
    """Which points the probes of a plan expect to be silent towards each other.

    What is read against a point counts where nothing is set for that reading, and is worked out
    where it is asked for.
    """

    def __init__(self, drawn: Drawn, probes: Iterable[Probe]) -> None:
        self.drawn = drawn
        self.bits = {point: 1 << i for i, point in enumerate(drawn.points)}
        self._silent = [probe for probe in probes if probe.expect == Shows.SILENT]

    @cached_property
    def _against(self) -> Mapping[str, tuple[int, int, int]]:
        """For each point `facing`, `facing_nets` and `beside`."""
        found: dict[str, tuple[int, int, int]] = {}
        for probe in self._silent:
            if probe.state:
                continue
            for here, there in permutations((probe.red, probe.black)):
                nets = joined(1 << self.drawn.net_of[a] for a in there)
                points, beside = self.of(there), self._beside(there)
                for a in here:
                    known = found.get(a, NOTHING)
                    found[a] = known[0] | points, known[1] | nets, known[2] | beside
        return found

    def facing(self, point: str) -> int:
        """The points that a point is read against."""
        return self._against.get(point, NOTHING)[0]

    def facing_nets(self, point: str) -> int:
        """The nets of those points."""
        return self._against.get(point, NOTHING)[1]

    def of(self, points: Iterable[str]) -> int:
        """Points as a set."""
        return joined(self.bits.get(a, 0) for a in points)

    @cached_property
    def members(self) -> dict[int, int]:
        """The points of each net."""
        return {net: self.of(points) for net, points in self.drawn.members.items()}

    def _beside(self, points: Points) -> int:
        """What is in the nets of these points beside the point itself."""
        nets = [self.drawn.net_of[a] for a in points]
        if len(set(nets)) == len(nets):
            return joined(self.members.get(n, 0) for n in nets) & ~self.of(points)
        return joined(map(self._mates, points))

    def _mates(self, point: str) -> int:
        """The other points of a point's net."""
        return self.members.get(self.drawn.net_of[point], 0) & ~self.bits.get(point, 0)

    def beeping(self, point: str) -> int:
        """The points that beep where silence is expected once one of them is exchanged with this.

        Of two that are exchanged the one comes among the mates of the other.
        """
        net = self.drawn.members[self.drawn.net_of[point]]
        comes = joined(self.facing(mate) for mate in net if mate != point)
        return self._against.get(point, NOTHING)[2] | comes


def joined(sets: Iterable[int]) -> int:
    """All that is in any of these sets."""
    return reduce(or_, sets, 0)


def ones_of(number: int) -> Iterator[int]:
    """The places of the bits that are set in a number, the lowest first."""
    if number:
        yield from (i for i, digit in enumerate(reversed(f"{number:b}")) if digit == "1")
