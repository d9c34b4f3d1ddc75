"""Many points under one probe: of their nets in a build only those that differ are looked up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Set
from dataclasses import dataclass

LEAST_POINTS = 9  # of fewer the nets are looked up point by point


@dataclass(frozen=True, slots=True)
class Comb:
    """The points under one probe, with what is known of their nets as drawn."""

    drawn: Mapping[str, int]  # each point's net
    nets: frozenset[int]
    doubled: frozenset[int]  # those of the nets that two points or more belong to

    def as_built(self, moved: Mapping[str, int], merged: Mapping[int, int]) -> Set[int]:
        """The nets of the points in a build, by its `moved` points and its `merged` nets."""
        here = moved.keys() & self.drawn.keys()
        if not here and self.nets.isdisjoint(merged):
            return self.nets
        left = {self.drawn[p] for p in here}
        if left & self.doubled:
            left = left - {self.drawn[p] for p in self.drawn if p not in moved}
        nets = (self.nets - left) | {moved[p] for p in here}
        gone = nets & merged.keys()
        return (nets - gone) | {merged[n] for n in gone}


def comb_of(points: tuple[str, ...], net_of: Mapping[str, int]) -> Comb:
    """A comb of these points."""
    drawn = {a: net_of[a] for a in points}
    doubled = {net for net, count in Counter(drawn.values()).items() if count > 1}
    return Comb(drawn, frozenset(drawn.values()), frozenset(doubled))
