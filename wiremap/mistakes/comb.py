"""Many points under one probe: their nets in a build are looked up where it differs alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Set
from dataclasses import dataclass

LEAST_POINTS = 9  # of fewer the nets are looked up point by point


@dataclass(frozen=True, slots=True)
class Comb:
    """The points, each with its net as drawn, those nets, and the nets that two points are of."""

    drawn: Mapping[str, int]
    nets: frozenset[int]
    doubled: frozenset[int]

    def as_built(self, moved: Mapping[str, int], merged: Mapping[int, int]) -> Set[int]:
        """The nets where some points are of other nets, and some nets touch others."""
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
