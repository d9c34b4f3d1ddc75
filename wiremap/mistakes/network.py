"""What nets are joined with by ohms: all ties as drawn, and what one build changes of them.

A net whose ties all lead to one other net is a dead end: current between two probes goes there only
if a probe is on it.  So of a hundred loads to one chassis a reading looks at two.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from wiremap.graph.walks import Joined
from wiremap.mistakes.bundles import Bundles, Edge, inverse

if TYPE_CHECKING:
    from wiremap.mistakes.build import Build
    from wiremap.mistakes.tie import Tie

Points = tuple[str, str]
WIDE = 16  # nets under one probe from which on they are bundled
MANY = 12  # changed ties from which on a build has a network of its own


@dataclass(frozen=True, slots=True)
class ChangedTies:
    """What a build changes of the ties as drawn."""

    changed: Mapping[int, Edge | None]  # by a tie's place, where it now leads (None: gone)
    added: tuple[Edge, ...]
    ends: frozenset[int]  # the nets at which changed and new ties end, or ended
    linked: frozenset[int]  # all nets at which a tie of the build ends
    number: int  # equal for builds of one drawing whose ties join the same nets
    whole: Network | None = None  # the network as built, where very much is changed


class Network:
    """The ties as drawn, without diodes, each known by its place among all ties.

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
        self.as_drawn = ChangedTies({}, (), frozenset(), self.linked, self._number({}, ()))

    def hub(self, net: int) -> int | None:
        """The one net that all ties of a net lead to; None if there are several, or none."""
        return self._hubs.get(net)

    def least(self, net: int) -> float:
        """The least ohms that may be between a net and any other: all its ties side by side."""
        low, _ = self._siemens
        return inverse(low[net])

    def most_beside(self, nets: Iterable[int]) -> float:
        """The most ohms of all ties of some nets side by side."""
        _, high = self._siemens
        return inverse(sum(high[net] for net in nets))

    @cached_property
    def _siemens(self) -> tuple[Mapping[int, float], Mapping[int, float]]:
        """The siemens of all ties of each net, from low and from high ohms."""
        low: dict[int, float] = defaultdict(float)
        high: dict[int, float] = defaultdict(float)
        for one, two, ohms in self.edges.values():
            for net in (one, two) if one != two else ():
                low[net] += inverse(ohms.low)
                high[net] += inverse(ohms.high)
        return low, high

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

    def of(self, build: Build) -> ChangedTies:
        """What a build changes of the ties as drawn."""
        ties, added = self._otherwise(build.ties)
        for k in self._moved(build):
            if k not in ties:
                ties[k] = self.ties[k]
        changed: dict[int, Edge | None] = {}
        for k, tie in sorted(ties.items()):
            edge = None if tie is None else _edge(build, tie)
            if edge != self.edges.get(k):
                changed[k] = edge
        new = tuple(filter(None, (_edge(build, tie) for tie in added)))
        if not changed and not new:
            return self.as_drawn
        before = [self.edges[k] for k in changed if k in self.edges]
        ends = frozenset(
            net for edge in (*before, *changed.values(), *new) if edge for net in _ends(edge)
        )
        whole = as_built(build) if len(changed) > MANY else None
        linked, number = self._linked(changed, new), self._number(changed, new)
        return ChangedTies(changed, new, ends, linked, number, whole)

    def _moved(self, build: Build) -> Iterable[int]:
        """The places of the ties that end at a point, or in a net, that is another as built."""
        moved, merged, at_point = build.moved, build.merged, self.at_point
        found = [k for a in moved.keys() & at_point.keys() for k in at_point[a]]
        found += [k for n in merged.keys() & self.at_net.keys() for k in self.at_net[n]]
        return found

    def _otherwise(self, ties: Sequence[Tie]) -> tuple[dict[int, Tie | None], list[Tie]]:
        """The ties in place of those as drawn (None: gone), and those that are more.

        Ties as drawn are told by their identity, wherever they stand among the others.
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
        old = {n for k in changed if k in self.edges for n in _ends(self.edges[k])}
        new = {n for edge in (*changed.values(), *added) if edge for n in _ends(edge)}
        lost = {n for n in old - new if all(k in changed for k in self.at_net[n])}
        if not lost and new <= self.linked:
            return self.linked
        return (self.linked - lost) | new

    def _number(self, changed: Mapping[int, Edge | None], added: Iterable[Edge]) -> int:
        """A number by which equal changes are known."""
        key = tuple(changed.items()), tuple(added)
        return self._numbers.setdefault(key, len(self._numbers))

    # -- what a reading looks at ----------------------------------------------------------------

    def near(
        self, ties: ChangedTies, sides: Iterable[frozenset[int]], lifted: Collection[Points]
    ) -> list[Edge]:
        """The ties of a build that current between some nets may take, in their order.

        `sides` are the nets under each probe and those of a fuse that is in, `lifted` the points of
        the ties that are undone for this reading.  What leads from a wide side to one hub is one
        tie.
        """
        if ties.whole is not None:
            return ties.whole.near(ties.whole.as_drawn, sides, lifted)
        places: set[int] = set(ties.changed)
        bundled: list[Edge] = []
        for side in (*sides, ties.ends):
            nets: Iterable[int] = side
            if len(side) > WIDE and side is not ties.ends and not lifted:
                to_hubs = list(self.bundles.unchanged(side, ties.ends))
                bundled += to_hubs
                places.update(k for _, hub, _ in to_hubs for k in self._inner[hub])
                nets = self.bundles.others(side)
            for net in nets:
                places.update(self._inner.get(net, ()))
                if net in self._hubs:
                    places.update(self.at_net[net])
        return [*self._standing(ties, sorted(places), lifted), *bundled, *ties.added]

    @cached_property
    def bundles(self) -> Bundles:
        """What leads from combs to one net."""
        ohms = {k: span for k, (one, two, span) in self.edges.items() if one != two}
        spans = {n: [ohms[k] for k in self.at_net[n] if k in ohms] for n in self._hubs}
        return Bundles(self.linked, self._hubs, spans)

    def _standing(
        self, ties: ChangedTies, places: Iterable[int], lifted: Collection[Points]
    ) -> Iterator[Edge]:
        """The ties at these places as they are in a build, without those that are undone."""
        for k in places:
            edge = ties.changed[k] if k in ties.changed else self.edges[k]
            if edge is None or len({*_ends(edge)}) == 1:
                continue
            if lifted and (self.ties[k].a, self.ties[k].b) in lifted:
                continue
            yield edge


def _ends(edge: Edge) -> tuple[int, int]:
    """The two nets that a tie joins."""
    one, two, _ = edge
    return one, two


def _edge(build: Build, tie: Tie) -> Edge | None:
    """Where a tie leads in a build; None for a diode, which no band of ohms tells."""
    return None if tie.diode else (build.net(tie.a), build.net(tie.b), tie.ohms)


def as_built(build: Build) -> Network:
    """The ties of a build between its nets."""
    points = {point for tie in build.ties for point in (tie.a, tie.b)}
    return Network(build.ties, {point: build.net(point) for point in points})
