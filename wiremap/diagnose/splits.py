"""How evenly a reading parts the builds in question, and which of two points does it best."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

from wiremap.diagnose.weigh import Evidence
from wiremap.evidence import OPEN_OHMS, metered
from wiremap.mistakes.build import AS_USUAL, THROUGH_OHMS, Build
from wiremap.mistakes.expectation import Shows
from wiremap.model import Span, State
from wiremap.model.quantities import band_ohms
from wiremap.ringout.taken import owner

Probed = tuple[str, ...]


def shown(build: Build, red: Probed, black: Probed, state: State = AS_USUAL) -> str:
    """What a build would show: beep, silent, or the ohms."""
    if len(red) == len(black) == 1 and not state:
        one, other = build.net(red[0]), build.net(black[0])
        if one == other:
            return Shows.BEEP
        if one not in build.linked or other not in build.linked:
            return Shows.SILENT
    span = build.ohms(red, black, state)
    if span.high <= THROUGH_OHMS:
        return Shows.BEEP
    if span.low >= OPEN_OHMS:
        return Shows.SILENT
    return band_ohms(span.low, span.high)


class Split(NamedTuple):
    """A probe, and the weight of the builds that are left together if the worst comes of it."""

    left: float
    red: Probed
    black: Probed
    state: State = AS_USUAL


def unit_to_read(builds: Sequence[Build], red: Probed, black: Probed, state: State) -> Shows:
    """What has to be read so that builds can be told apart: a beep or silence, or ohms."""
    told = {shown(build, red, black, state) for build in builds}
    return Shows.BEEP if told <= {Shows.BEEP, Shows.SILENT} else Shows.OHMS


class Weighed:
    """Builds, and how likely each is."""

    def __init__(self, builds: Sequence[Build], weights: Sequence[float]) -> None:
        self.builds, self.weights = list(builds), list(weights)
        self.total = sum(weights)

    def __iter__(self) -> Iterator[tuple[Build, float]]:
        return zip(self.builds, self.weights, strict=True)

    def is_parted(self, left: float) -> bool:
        """Whether a probe that leaves this weight of builds together parts them at all."""
        return left < self.total * ALMOST_ALL

    def surely_left(self, red: Probed, black: Probed, state: State = AS_USUAL) -> float:
        """The weight of the heaviest group of builds whose displays at this probe may overlap."""
        found: dict[Span, list[float]] = {}
        for build, weights in self._alike(red, black, state):
            found.setdefault(build.ohms(red, black, state), []).extend(weights)
        spans = sorted((metered(span), sorted(weights)) for span, weights in found.items())
        groups: list[list[float]] = []
        top = -math.inf
        for span, weights in spans:
            if span.low > top:
                groups.append([])
            groups[-1] += weights
            top = max(top, span.high)
        return max(map(sum, groups))

    def _alike(
        self, red: Probed, black: Probed, state: State
    ) -> Iterable[tuple[Build, list[float]]]:
        """One build of all that must read the same between two combs, with their weights."""
        if state or len(red) != 1 or len(black) != 1:
            return [(build, [weight]) for build, weight in self]
        found: dict[tuple[int, ...], tuple[Build, list[float]]] = {}
        for build, weight in self:
            way = _way(build, red[0], black[0])
            found.setdefault(way, (build, []))[1].append(weight)
        return found.values()

    def likely_left(self, red: Probed, black: Probed, state: State = AS_USUAL) -> float:
        """The weight of the heaviest group of builds that show one band of ohms at this probe.

        Bands that differ count as told apart, although they may overlap.
        """
        classes: dict[str, float] = defaultdict(float)
        for build, weight in self:
            classes[shown(build, red, black, state)] += weight
        return max(classes.values())


def _way(build: Build, red: str, black: str) -> tuple[int, ...]:
    """What decides the ohms between two points: equal in builds that read the same there."""
    one, other, ties = build.net(red), build.net(black), build.changed_ties
    if one == other:
        return (1,)  # one metal
    if one not in ties.linked or other not in ties.linked:
        return ()
    return ties.number, one, other


ALMOST_ALL = 1 - 1e-9  # of a sum of weights: as much as all
LeftWeight = Callable[[Probed, Probed, State], float]
States = Mapping[State, int | None]  # each with the net that one probe must be on; None: any


def best_split(evidence: Evidence, weighed: Weighed, points: Sequence[str]) -> Split | None:
    """The reading between two points that parts the builds most evenly; None if there is none.

    Points not yet read against each other come first, then ohms where only a beeper spoke, then
    nets parted outside, then bands of ohms that overlap.
    """
    plainly: States = {AS_USUAL: None}
    pairs = _Pairs(evidence, weighed, points)
    best: Split | None = None
    for left, states, again in (
        (weighed.surely_left, plainly, False),
        (weighed.surely_left, plainly, True),
        (weighed.surely_left, evidence.drawn.parting, False),
        (weighed.likely_left, plainly, False),
        (weighed.likely_left, plainly, True),
    ):
        split = pairs.best(left, states, again=again)
        best = split or best
        if split is not None and weighed.is_parted(split.left):
            return split
    return best


class _Pairs:
    """The readings between any two of some points."""

    def __init__(self, evidence: Evidence, weighed: Weighed, points: Sequence[str]) -> None:
        self.evidence, self.weighed, self.points = evidence, weighed, points
        self.nets = {a: [build.net(a) for build in weighed.builds] for a in points}
        self.plain = {a for a in points if self._is_plain(a)}

    def _is_plain(self, point: str) -> bool:
        """Whether no build has a part at a point."""
        nets = zip(self.nets[point], self.weighed.builds, strict=True)
        return not any(n in build.linked for n, build in nets)

    def best(self, left: LeftWeight, states: States, *, again: bool) -> Split | None:
        """The reading that leaves the least weight together, of those taken (`again`) or not yet.

        Of equals one between two ends, then the first in the job's order.
        """
        rank = self.evidence.drawn.rank
        best: tuple[tuple[float, bool, int, int], Split] | None = None
        for red, black in combinations(self.points, 2):
            for state, at in states.items():
                if not self._is_open(red, black, state, at, again=again):
                    continue
                split = self._split(left, red, black, state)
                key = (split.left, owner(red) == owner(black), rank[red], rank[black])
                if best is None or key < best[0]:
                    best = (key, split)
        return None if best is None else best[1]

    def _is_open(self, red: str, black: str, state: State, at: int | None, *, again: bool) -> bool:
        """Whether a reading may be asked for: one taken already only if it would tell more now."""
        evidence, net_of = self.evidence, self.evidence.drawn.net_of
        if evidence.read_alone(red, black, state) != again:
            return False
        if state and at not in (net_of[red], net_of[black]):
            return False
        if not again:
            return True
        unit = unit_to_read(self.weighed.builds, (red,), (black,), state)
        return not evidence.settled(red, black, state, unit)

    def _split(self, left: LeftWeight, red: str, black: str, state: State) -> Split:
        """A reading between two points, and the weight that it leaves together.

        At a point that no part touches in any build there is a beep or silence, no ohms.
        """
        if state or (red not in self.plain and black not in self.plain):
            return Split(left((red,), (black,), state), (red,), (black,), state)
        nets = zip(self.weighed.weights, self.nets[red], self.nets[black], strict=True)
        beep = sum(weight for weight, one, other in nets if one == other)
        return Split(max(beep, self.weighed.total - beep), (red,), (black,))
