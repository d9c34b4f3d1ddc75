"""A harness as it is drawn and lies on the bench: points, nets, and ties, which have ohms."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from functools import cached_property, lru_cache
from itertools import combinations
from types import MappingProxyType

from wiremap.evidence import reachable, test_points
from wiremap.evidence.expected import as_found
from wiremap.evidence.meter import METER_OHMS
from wiremap.evidence.probe_points import ADAPTER, is_hole, nets_for
from wiremap.evidence.touching import face_neighbours, near_points
from wiremap.graph import Bond, Harness, LinkKind
from wiremap.graph.walks import Joined
from wiremap.mistakes.beeper import Beeper
from wiremap.mistakes.build import FRESH_NETS, Build
from wiremap.mistakes.comb import Comb, comb_of
from wiremap.mistakes.network import Network
from wiremap.mistakes.tie import Tie
from wiremap.model import CHASSIS, Span, State

UNPLUGGED = frozenset({"behind", "inside", "switch"})  # what an adapter on the bench has not on it

INSEPARABLE_OHMS = 2 * METER_OHMS  # two nets with no more between them read as one metal
ROUNDED = 1 + 1e-6  # sums of fractions are rounded

Lifted = frozenset[tuple[str, str]]  # ties that are undone for a reading, by their two points


class Drawn:
    """What is rung out, as drawn: its points, those within reach, its nets, its ties.

    `kind` is that of `evidence.probe_points`: a splice-in, or an adapter that lies unplugged.  Nets
    are numbered: `net_of` gives the net of a point, `names` the name of a net.  `order` holds the
    points in the order of the job, `rank` the place of each in it; `sound` is the build without any
    mistake.
    """

    def __init__(self, harness: Harness, kind: str, beeper: Beeper | None = None) -> None:
        self.harness, self.kind = harness, kind
        self.beeper = beeper or Beeper()
        nets = nets_for(harness, kind)
        self.net_of: Mapping[str, int] = MappingProxyType(
            {a: i for i, net in enumerate(nets) for a in net.points}
        )
        self.names: tuple[str, ...] = tuple(net.name for net in nets)
        self.points: tuple[str, ...] = tuple(test_points(harness))
        self.reach: tuple[str, ...] = tuple(reachable(harness, kind))
        self.reach_set = frozenset(self.reach)
        self.order: tuple[str, ...] = tuple(harness.points)
        self.rank: Mapping[str, int] = MappingProxyType({a: i for i, a in enumerate(self.order)})
        self.ties: tuple[Tie, ...] = tuple(self._ties())
        self.tie_set = frozenset(self.ties)
        self.diodes: tuple[Tie, ...] = tuple(tie for tie in self.ties if tie.diode)
        self.network = Network(self.ties, self.net_of)
        # of many builds few networks differ: each has a number, each band is worked out once
        self.bands: dict[object, Span] = {}
        self.spans: dict[object, Span] = {}
        self._combs: dict[tuple[str, ...], Comb] = {}
        self.sound = Build(self, {}, {}, {}, self.ties)

    def comb(self, points: tuple[str, ...]) -> Comb:
        """The points of a comb with their nets, worked out once."""
        if points not in self._combs:
            self._combs[points] = comb_of(points, self.net_of)
        return self._combs[points]

    def _ties(self) -> Iterator[Tie]:
        """The bonds that a meter finds on the bench, with the ohms that were found if any were."""
        for bond in self.harness.active_bonds(plugged=False):
            if self.kind == ADAPTER and bond.origin in UNPLUGGED and not self._mated(bond):
                continue
            span = as_found(bond.ohms)
            if math.isfinite(span.low):
                diode, outside = bond.origin == "diode", bond.origin == "behind"
                yield Tie(bond.a, bond.b, span, name=bond.name, diode=diode, outside=outside)

    def _mated(self, bond: Bond) -> bool:
        """Whether a bond belongs to a unit that stays plugged in."""
        end = self.harness.job.ends.get(bond.end or "")
        return end is not None and not end.is_machine and end.mated

    # -- nets -------------------------------------------------------------------------------------

    @cached_property
    def reached(self) -> Mapping[int, tuple[str, ...]]:
        """The points within reach of each net that has any."""
        return self._by_net(self.reach)

    @cached_property
    def members(self) -> Mapping[int, tuple[str, ...]]:
        """The test points of each net, within reach or not."""
        return self._by_net(self.points)

    def _by_net(self, points: Collection[str]) -> Mapping[int, tuple[str, ...]]:
        found: dict[int, list[str]] = {}
        for a in sorted(points, key=self.rank.__getitem__):
            found.setdefault(self.net_of[a], []).append(a)
        return MappingProxyType({i: tuple(found[i]) for i in sorted(found)})

    @cached_property
    def holes(self) -> frozenset[str]:
        """The cavities without a contact: left out of the job, and blanked, empty or not filled."""
        return frozenset(a for a in self.points if is_hole(self.harness, a))

    @cached_property
    def touched(self) -> Mapping[int, tuple[str, ...]]:
        """The points within reach of each net that has some, empty holes left out."""
        filled = {n: at for n, at in self.reached.items() if self.holes.isdisjoint(at)}
        return MappingProxyType(filled)

    def legs_of(self, state: State) -> tuple[str, ...]:
        """The legs of the fuse that is in for a reading."""
        return self.harness.job.extras[state.fuse].legs if state.fuse else ()

    @cached_property
    def groups(self) -> frozenset[frozenset[str]]:
        """The nets as sets of test points."""
        return frozenset(frozenset(g) for g in self.members.values())

    def name(self, net: int) -> str:
        """The name of a net; what a mistake parted is called by its first contact."""
        return self.names[net] if net < FRESH_NETS else self.order[net % FRESH_NETS]

    @cached_property
    def beside(self) -> frozenset[frozenset[str]]:
        """The pairs of contacts that lie side by side on a face."""
        return frozenset(
            frozenset((f"{end.name}.{x}", f"{end.name}.{y}"))
            for end in self.harness.job.ends.values()
            for x, y in face_neighbours(end.pinout)
        )

    @cached_property
    def neighbours(self) -> Mapping[str, set[str]]:
        """For each point those that a hand at it comes near."""
        return near_points(self.harness)

    @cached_property
    def _bolted(self) -> Mapping[str, str]:
        """The chassis by its only stud, whose wire it follows; of several studs it follows none."""
        if len(self.bolts) != 1:
            return {}
        return MappingProxyType({x: CHASSIS for x in self.bolts[0] if x != CHASSIS})

    @cached_property
    def bolts(self) -> list[tuple[str, str]]:
        """The studs that are bolted to the chassis, each with it."""
        bolts = self.harness.links(LinkKind.BOLT)
        return [(u, v) for u, v in bolts if self.net_of[u] == self.net_of[v]]

    def with_bolted(self, points: Collection[str]) -> tuple[str, ...]:
        """Points, and the chassis if its only stud is among them."""
        return (*points, *(self._bolted[a] for a in points if a in self._bolted))

    # -- nets that parts and loads join -----------------------------------------------------------

    @cached_property
    def tied(self) -> Mapping[int, frozenset[int]]:
        """For each net that a tie touches, all nets that ties connect it with, itself included."""
        joined: Joined[int] = Joined()
        for tie in self.ties:
            joined.join(self.net_of[tie.a], self.net_of[tie.b])
        nets = sorted({self.net_of[x] for t in self.ties for x in (t.a, t.b)})
        parts: dict[int, set[int]] = {}
        for n in nets:
            parts.setdefault(joined.root(n), set()).add(n)
        return MappingProxyType({n: frozenset(parts[joined.root(n)]) for n in nets})

    def inseparable(self, i: int, j: int) -> bool:
        """Whether two nets read as one though nothing is wrong, as grounds do that meet outside."""
        if i == j:
            return i in self.tied
        return j in self.close_to(i) and self.sound.between({i}, {j}).low <= INSEPARABLE_OHMS

    def close_to(self, net: int) -> frozenset[int]:
        """Of the nets that ties connect with this one those that may read as one with it."""
        return self._close & self.tied[net] if net in self._close else frozenset()

    @cached_property
    def _close(self) -> frozenset[int]:
        """The nets with ties of so few ohms that a net may read as one with another."""
        nets = ((net, self.network.least(net)) for net in self.tied)
        return frozenset(net for net, ohms in nets if ohms <= ROUNDED * INSEPARABLE_OHMS)

    @cached_property
    def meeting(self) -> tuple[tuple[int, ...], ...]:
        """Nets within reach that meet outside the harness and read as one, group by group.

        The first of a group has the most ties.
        """
        outside = sorted(self.reached.keys() & self._close)
        joined: Joined[int] = Joined()
        for i, j in combinations(outside, 2):
            if self.inseparable(i, j):
                joined.join(i, j)
        found: dict[int, list[int]] = {}
        for i in outside:
            found.setdefault(joined.root(i), []).append(i)
        groups = [g for g in found.values() if len(g) > 1]
        return tuple(tuple(sorted(g, key=self._most_ties)) for g in groups)

    def _most_ties(self, net: int) -> tuple[int, int]:
        return -len(self.lifted(net)), net

    def lifted(self, net: int) -> Lifted:
        """The connections behind the loom undone while a net is parted there, by their points."""
        outside = [t for t in self.ties if t.outside]
        return frozenset((t.a, t.b) for t in outside if net in (self.net_of[t.a], self.net_of[t.b]))

    @cached_property
    def lifted_by(self) -> Mapping[str, Lifted]:
        """What is undone while a net is parted, by its name, of all that meet outside."""
        nets = [i for group in self.meeting for i in group]
        return MappingProxyType({self.names[i]: self.lifted(i) for i in nets})

    @cached_property
    def parting(self) -> Mapping[State, int]:
        """The states in which one net of `meeting` is parted, each with that net.

        The first net of a group stays in place.  One probe must be on the parted net.
        """
        nets = [i for _, *others in self.meeting for i in others]
        return MappingProxyType({State(parted=self.names[i]): i for i in nets})


@lru_cache(maxsize=4)
def drawn_of(harness: Harness, kind: str, beeper: Beeper | None = None) -> Drawn:
    """A harness as drawn; who asks again of the same harness shares what was worked out."""
    return Drawn(harness, kind, beeper)
