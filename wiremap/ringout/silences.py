"""What a plan reads apart."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from itertools import permutations

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.ringout.masks import Masks, joined
from wiremap.ringout.probe import Points, Probe

NOTHING = (0, 0, 0)


class Silences:
    """Which points the probes of a plan expect to be silent towards each other.

    What is read against a point counts where nothing is set for that reading, and is worked out
    where it is asked for.
    """

    def __init__(self, drawn: Drawn, probes: Iterable[Probe]) -> None:
        self.drawn = drawn
        self.bits = Masks((point, 1 << i) for i, point in enumerate(drawn.points))
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
                for point in here:
                    known = found.get(point, NOTHING)
                    found[point] = known[0] | points, known[1] | nets, known[2] | beside
        return found

    def facing(self, point: str) -> int:
        """The points that a point is read against."""
        return self._against.get(point, NOTHING)[0]

    def facing_nets(self, point: str) -> int:
        """The nets of those points."""
        return self._against.get(point, NOTHING)[1]

    def of(self, points: Iterable[str]) -> int:
        """Points as a set."""
        return joined(self.bits[a] for a in points)

    @cached_property
    def members(self) -> Masks[int]:
        """The points of each net."""
        return Masks((net, self.of(points)) for net, points in self.drawn.members.items())

    def _beside(self, points: Points) -> int:
        """What is in the nets of these points beside the point itself."""
        nets = [self.drawn.net_of[a] for a in points]
        if len(set(nets)) == len(nets):
            return joined(self.members[n] for n in nets) & ~self.of(points)
        return joined(map(self._mates, points))

    def _mates(self, point: str) -> int:
        """The other points of a point's net."""
        return self.members[self.drawn.net_of[point]] & ~self.bits[point]

    def beeping(self, point: str) -> int:
        """The points that beep where silence is expected once one of them is exchanged with this.

        Of two that are exchanged the one comes among the mates of the other.
        """
        net = self.drawn.members[self.drawn.net_of[point]]
        comes = joined(self.facing(mate) for mate in net if mate != point)
        return self._against.get(point, NOTHING)[2] | comes
