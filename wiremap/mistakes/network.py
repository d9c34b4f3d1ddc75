"""What nets are joined with by ohms: all ties as drawn, and what one build changes of them.

A net whose ties all lead to one other net is a dead end: current between two probes goes there only
if a probe is on it.  So of a hundred loads to one chassis a reading looks at two.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from wiremap.graph.walks import Joined
from wiremap.mistakes.bundles import Bundles, Edge

if TYPE_CHECKING:
    from wiremap.mistakes.build import Build, Tie

Points = tuple[str, str]
WIDE = 16  # nets under one probe from which on they are bundled
MANY = 12  # changed ties from which on a build has a network of its own


@dataclass(frozen=True, slots=True)
class Wired:
    """What a build changes: ties by their place, with the nets at which they now end (None: gone),
    ties that are new, the nets at which those and the changed ones end, and all nets with a tie.

    `number` is equal for builds of one drawing whose ties join the same nets.  Where very much is
    changed, `whole` is the network as built.
    """

    changed: Mapping[int, Edge | None]
    added: tuple[Edge, ...]
    ends: frozenset[int]
    linked: frozenset[int]
    number: int
    whole: Network | None = None


class Network:
    """The ties as drawn, those of diodes apart, by their places among all ties.

    `linked` are the nets at which a tie ends.
    """

    def __init__(self, ties: Sequence[Tie], net_of: Mapping[str, int]) -> None:
        self.ties, self.net_of = ties, net_of
        self.edges = {
            k: (net_of[t.a], net_of[t.b], t.ohms) for k, t in enumerate(ties) if not t.diode
        }
        at_net: dict[int, list[int]] = defaultdict(list)
        at_point: dict[str, list[int]] = defaultdict(list)
        self.joined: dict[int, set[int]] = defaultdict(set)  # nets that a tie leads to
        for k, (one, two, _) in self.edges.items():
            for net in {one, two}:
                at_net[net].append(k)
            for point in {ties[k].a, ties[k].b}:
                at_point[point].append(k)
            if one != two:
                self.joined[one].add(two)
                self.joined[two].add(one)
        self.at_net: Mapping[int, Sequence[int]] = dict(at_net)
        self.at_point: Mapping[str, Sequence[int]] = dict(at_point)
        self.linked = frozenset(at_net)
        self._hubs = {net: min(to) for net, to in self.joined.items() if len(to) == 1}
        self._numbers: dict[object, int] = {}
        self.as_drawn = Wired({}, (), frozenset(), self.linked, self._number({}, ()))

    def hub(self, net: int) -> int | None:
        """The one net that all ties of a net lead to; None if there are several, or none."""
        return self._hubs.get(net)

    def least(self, net: int) -> float:
        """No fewer ohms are between a net and any other: those of all its ties side by side."""
        low, _ = self._siemens.get(net, (0.0, 0.0))
        return 1 / low if low else math.inf

    def most_beside(self, nets: Iterable[int]) -> float:
        """The most ohms of all ties of some nets side by side."""
        siemens = sum(self._siemens[net][1] for net in nets if net in self._siemens)
        return 1 / siemens if siemens else math.inf

    @cached_property
    def _siemens(self) -> Mapping[int, tuple[float, float]]:
        """The siemens of all ties of a net, from low and from high ohms."""
        found: dict[int, tuple[float, float]] = {}
        for one, two, ohms in self.edges.values():
            for net in (one, two) if one != two else ():
                low, high = found.get(net, (0.0, 0.0))
                found[net] = low + _siemens(ohms.low), high + _siemens(ohms.high)
        return found

    @cached_property
    def _inner(self) -> Mapping[int, Sequence[int]]:
        """For each net the ties between nets that are no dead ends, as far as ties lead from it."""
        parts: Joined[int] = Joined()
        for one, two, _ in self.edges.values():
            parts.join(one, two)
        found: dict[int, list[int]] = defaultdict(list)
        for k, (one, two, _) in self.edges.items():
            if one != two and self.hub(one) is None and self.hub(two) is None:
                found[parts.root(one)].append(k)
        return {net: found[parts.root(net)] for net in self.linked}

    # -- what a build changes -------------------------------------------------------------------

    def of(self, build: Build) -> Wired:
        """What a build changes of the ties as drawn."""
        ties, added = self._otherwise(build.ties)
        for k in self._moved(build):
            if k not in ties:
                ties[k] = self.ties[k]
        if not ties and not added:
            return self.as_drawn
        changed: dict[int, Edge | None] = {}
        fresh = [tie for tie in added if not tie.diode]
        ends: set[int] = set()
        for k, tie in sorted(ties.items()):
            edge = None
            if tie is not None and not tie.diode:
                edge = build.net(tie.a), build.net(tie.b), tie.ohms
            if edge != self.edges.get(k):
                changed[k] = edge
                ends.update(self.edges[k][:2] if k in self.edges else ())
                ends.update(edge[:2] if edge else ())
        new = tuple((build.net(tie.a), build.net(tie.b), tie.ohms) for tie in fresh)
        ends.update(n for edge in new for n in edge[:2])
        if not changed and not new:
            return self.as_drawn
        whole = as_built(build) if len(changed) > MANY else None
        linked, number = self._linked(changed, new), self._number(changed, new)
        return Wired(changed, new, frozenset(ends), linked, number, whole)

    def _moved(self, build: Build) -> Iterable[int]:
        """The places of the ties that end at a point, or in a net, which is another as built."""
        moved, merged, at_point = build.moved, build.merged, self.at_point
        found = [k for a in moved.keys() & at_point.keys() for k in at_point[a]]
        found += [k for n in merged.keys() & self.at_net.keys() for k in self.at_net[n]]
        return found

    def _otherwise(self, ties: Sequence[Tie]) -> tuple[dict[int, Tie | None], list[Tie]]:
        """The ties in place of those as drawn (None: gone), and those that are more.

        Those as drawn are the same wherever they stand among the others.
        """
        if ties is self.ties:
            return {}, []
        known = self._places
        if len(ties) == len(self.ties):
            pairs = enumerate(zip(self.ties, ties, strict=True))
            instead = {k: new for k, (old, new) in pairs if new is not old}
            if not any(id(new) in known for new in instead.values()):
                return dict(instead), []
        here = {id(tie) for tie in ties}
        gone = {k: None for place, k in known.items() if place not in here}
        return dict(gone), [tie for tie in ties if id(tie) not in known]

    @cached_property
    def _places(self) -> Mapping[int, int]:
        """By its identity the place of each tie as drawn."""
        return {id(tie): k for k, tie in enumerate(self.ties)}

    def _linked(self, changed: Mapping[int, Edge | None], added: Iterable[Edge]) -> frozenset[int]:
        """The nets at which a tie of a build ends."""
        old = {n for k in changed if k in self.edges for n in self.edges[k][:2]}
        new = {n for edge in (*changed.values(), *added) if edge for n in edge[:2]}
        lost = {n for n in old - new if all(k in changed for k in self.at_net[n])}
        if not lost and new <= self.linked:
            return self.linked
        return (self.linked - lost) | new

    def _number(self, changed: Mapping[int, Edge | None], added: Iterable[Edge]) -> int:
        key = tuple(changed.items()), tuple(added)
        return self._numbers.setdefault(key, len(self._numbers))

    # -- what a reading looks at ----------------------------------------------------------------

    def near(
        self, wired: Wired, sides: Iterable[frozenset[int]], lifted: Collection[Points]
    ) -> list[Edge]:
        """The ties of a build that current between some nets may take, in their order.

        `lifted` are the points of the ties that are undone for this reading.  What leads from a
        wide comb to one hub is one tie.
        """
        if wired.whole is not None:
            return wired.whole.near(wired.whole.as_drawn, sides, lifted)
        places: set[int] = set(wired.changed)
        bundled: list[Edge] = []
        for side in (*sides, wired.ends):
            nets: Iterable[int] = side
            if len(side) > WIDE and side is not wired.ends and not lifted:
                found = list(self.bundles.unchanged(side, wired.ends))
                bundled += found
                places.update(k for _, hub, _ in found for k in self._inner[hub])
                nets = self.bundles.others(side)
            for net in nets:
                places.update(self._inner.get(net, ()))
                if net in self._hubs:
                    places.update(self.at_net[net])
        return [*self._standing(wired, sorted(places), lifted), *bundled, *wired.added]

    @cached_property
    def bundles(self) -> Bundles:
        """What leads from combs to one net."""
        edges = {k: edge for k, edge in self.edges.items() if edge[0] != edge[1]}
        spans = {n: [edges[k][2] for k in self.at_net[n] if k in edges] for n in self._hubs}
        return Bundles(self.linked, self._hubs, spans)

    def _standing(
        self, wired: Wired, places: Iterable[int], lifted: Collection[Points]
    ) -> Iterator[Edge]:
        for k in places:
            edge = wired.changed[k] if k in wired.changed else self.edges[k]
            if edge is None or edge[0] == edge[1]:
                continue
            if lifted and (self.ties[k].a, self.ties[k].b) in lifted:
                continue
            yield edge


def _siemens(ohms: float) -> float:
    return 1 / ohms if ohms else math.inf


def as_built(build: Build) -> Network:
    """The ties of a build between its nets."""
    points = {point for tie in build.ties for point in (tie.a, tie.b)}
    return Network(build.ties, {point: build.net(point) for point in points})
