"""What a meter should show between two probes, of the harness as drawn or as it may have been built."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Set
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from types import MappingProxyType

from wiremap.evidence import BEEP_SURE_OHMS, SILENT_SURE_OHMS, metered, reachable, test_points
from wiremap.evidence.nearby import ADAPTER, nets_for
from wiremap.evidence.readings import IN, METER_OHMS
from wiremap.evidence.readings import PARTED as APART
from wiremap.graph import Harness, LinkKind, span_ohms
from wiremap.graph.walks import Joined
from wiremap.model import CHASSIS, OPEN, Span

RESISTOR_SHARE = 0.05  # of its value (common practice: 5 % parts)
LOAD_SHARE = 0.10  # of a single stated value of a coil or sensor (common practice)
THROUGH_OHMS = (
    1.0  # a sound wire with leads zeroed reads below (common practice); it proves no crimp
)
SHORT = Span(0.0, THROUGH_OHMS - METER_OHMS)  # one metal, with what its joints and wires may add
PARTED = 1_000_000  # nets that a mistake makes are numbered from here
EMPTY = 2 * PARTED  # seats without a wire likewise


@dataclass(frozen=True, slots=True)
class Tie:
    """A connection with ohms between two points; a diode conducts from `a` to `b`.

    `outside`: behind the machine's loom; `poor`: a bad joint within what is drawn as one metal.
    """

    a: str
    b: str
    ohms: Span
    name: str = ""
    diode: bool = False
    outside: bool = False
    poor: bool = False


class Bench:
    """What is rung out: its points, those within reach, its nets, its ties with ohms."""

    def __init__(self, harness: Harness, kind: str) -> None:
        self.harness, self.kind = harness, kind
        parted = nets_for(harness, kind)
        self.group: Mapping[str, int] = MappingProxyType(
            {a: i for i, net in enumerate(parted) for a in net.points}
        )
        self.names: tuple[str, ...] = tuple(net.name for net in parted)
        self.points: tuple[str, ...] = tuple(test_points(harness))
        self.reach: tuple[str, ...] = tuple(reachable(harness, kind))
        self.reach_set = frozenset(self.reach)
        self.rank: Mapping[str, int] = MappingProxyType(
            {a: i for i, a in enumerate(harness.points)}
        )
        self.ties: tuple[Tie, ...] = tuple(self._ties())
        self.spans: dict[object, Span] = {}  # what was worked out once
        self.drawn = Build(self, {}, {}, {}, self.ties)

    def _ties(self) -> Iterable[Tie]:
        for bond in self.harness.active_bonds(plugged=False):
            loose = self.kind == ADAPTER and bond.origin in ("behind", "inside", "switch")
            end = self.harness.job.ends.get(bond.end or "")
            if loose and not (end is not None and end.side != "machine" and end.mated):
                continue
            share = RESISTOR_SHARE if bond.origin in ("resistor", "switch") else LOAD_SHARE
            exact = bond.ohms.exact and math.isfinite(bond.ohms.low)
            span = (
                Span(bond.ohms.low * (1 - share), bond.ohms.high * (1 + share))
                if exact
                else bond.ohms
            )
            if math.isfinite(span.low):
                yield Tie(
                    bond.a, bond.b, span, bond.name, bond.origin == "diode", bond.origin == "behind"
                )

    @cached_property
    def members(self) -> Mapping[int, tuple[str, ...]]:
        """The points within reach of each net that has any."""
        found: dict[int, list[str]] = {}
        for a in self.reach:
            found.setdefault(self.group[a], []).append(a)
        return MappingProxyType(
            {i: tuple(sorted(p, key=self.rank.__getitem__)) for i, p in sorted(found.items())}
        )

    @cached_property
    def tied(self) -> Mapping[int, frozenset[int]]:
        """For each net that a tie touches, all nets that ties connect it with, itself included."""
        joined: Joined[int] = Joined()
        for tie in self.ties:
            joined.join(self.group[tie.a], self.group[tie.b])
        nets = sorted({self.group[x] for t in self.ties for x in (t.a, t.b)})
        parts: dict[int, set[int]] = {}
        for n in nets:
            parts.setdefault(joined.root(n), set()).add(n)
        return MappingProxyType({n: frozenset(parts[joined.root(n)]) for n in nets})

    @cached_property
    def drawn_members(self) -> Mapping[int, tuple[str, ...]]:
        """The test points of each net, within reach or not."""
        found: dict[int, list[str]] = {}
        for a in self.points:
            found.setdefault(self.group[a], []).append(a)
        return MappingProxyType(
            {i: tuple(sorted(p, key=self.rank.__getitem__)) for i, p in sorted(found.items())}
        )

    @cached_property
    def drawn_groups(self) -> frozenset[frozenset[str]]:
        """The nets as drawn, as sets of test points."""
        return frozenset(frozenset(g) for g in self.drawn_members.values())

    @cached_property
    def _bolted(self) -> Mapping[str, str]:
        """The one stud that is bolted to the chassis, and the chassis that goes where its wire goes; of several none."""
        bolts = [
            (u, v) for u, v in self.harness.links(LinkKind.BOLT) if self.group[u] == self.group[v]
        ]
        return MappingProxyType(
            {x: CHASSIS for x in bolts[0] if x != CHASSIS} if len(bolts) == 1 else {}
        )

    def with_bolted(self, points: Collection[str]) -> tuple[str, ...]:
        """Points, and the chassis if its only stud is among them."""
        return (*points, *(self._bolted[a] for a in points if a in self._bolted))

    def inseparable(self, i: int, j: int) -> bool:
        """Whether two nets read as one although nothing is wrong (grounds that meet through the chassis)."""
        if j not in self.tied.get(i, ()):
            return False
        return self.drawn.ohms((self._any(i),), (self._any(j),)).low <= 2 * METER_OHMS

    @cached_property
    def meeting(self) -> tuple[tuple[int, ...], ...]:
        """Nets within reach that meet outside the harness, group by group; the first, which stays in place, has the most ties."""
        groups: Joined[int] = Joined()
        for i, j in combinations(sorted(self.members.keys() & self.tied.keys()), 2):
            if self.inseparable(i, j):
                groups.join(i, j)
        found: dict[int, list[int]] = {}
        for i in sorted(self.members.keys() & self.tied.keys()):
            found.setdefault(groups.root(i), []).append(i)
        return tuple(
            tuple(sorted(g, key=lambda i: (-len(self.lifted(i)), i)))
            for g in found.values()
            if len(g) > 1
        )

    def lifted(self, net: int) -> frozenset[tuple[str, str]]:
        """The connections behind the loom that are undone while a net is parted there, by the points that they join."""
        return frozenset(
            (t.a, t.b) for t in self.ties if t.outside and net in (self.group[t.a], self.group[t.b])
        )

    @cached_property
    def parted(self) -> Mapping[str, frozenset[tuple[str, str]]]:
        """The same by the name of the net, of all that meet outside."""
        return MappingProxyType(
            {self.names[i]: self.lifted(i) for group in self.meeting for i in group}
        )

    @cached_property
    def parting(self) -> Mapping[str, frozenset[int]]:
        """The states in which one of those nets is parted, each with the net that one probe must then be on."""
        return MappingProxyType(
            {
                f"{self.names[i]} {APART}": frozenset((i,))
                for _, *others in self.meeting
                for i in others
            }
        )

    def _any(self, i: int) -> str:
        return (
            self.members[i][0]
            if i in self.members
            else next(a for a, g in self.group.items() if g == i)
        )


class Build:
    """One way the harness may have been built: wires in other seats, wires in other joints, nets that touch, ties changed.

    `seats` says whose wire sits in a point (None: nobody's), `joints` into which net a wire is laid, both where that
    differs from the drawing; `merged` leads from a net that touches another to the one that stands for both.
    """

    __slots__ = (
        "_edges",
        "_linked",
        "_seated",
        "bench",
        "joints",
        "merged",
        "moved",
        "seats",
        "ties",
    )

    def __init__(
        self,
        bench: Bench,
        seats: dict[str, str | None],
        joints: dict[str, int],
        merged: dict[int, int],
        ties: tuple[Tie, ...],
    ) -> None:
        self.bench, self.seats, self.joints, self.merged, self.ties = (
            bench,
            seats,
            joints,
            merged,
            ties,
        )
        group = bench.group
        self.moved: dict[str, int] = {w: n for w, n in joints.items() if w not in seats}
        for p, w in seats.items():
            self.moved[p] = EMPTY + bench.rank[p] if w is None else joints.get(w, group[w])
        self._edges: list[tuple[str, str, Span]] | None = None
        self._linked: frozenset[int] = frozenset()
        self._seated: dict[str, str] | None = None

    def wire(self, point: str) -> str | None:
        """Whose wire sits in a point."""
        return self.seats.get(point, point)

    def seat(self, wire: str) -> str | None:
        """The point in which a wire sits; None if it hangs loose."""
        if self._seated is None:
            self._seated = {w: p for p, w in self.seats.items() if w is not None}
        return self._seated.get(wire, None if wire in self.seats else wire)

    def joint(self, wire: str) -> int:
        """The net that a wire is laid into."""
        return self.joints[wire] if wire in self.joints else self.bench.group[wire]

    def raw(self, point: str) -> int:
        """The net that a point's wire belongs to before bridges."""
        return self.moved[point] if point in self.moved else self.bench.group[point]

    def net(self, point: str) -> int:
        """The net of a point as built."""
        n = self.moved[point] if point in self.moved else self.bench.group[point]
        return self.merged.get(n, n) if self.merged else n

    @property
    def linked(self) -> frozenset[int]:
        """The nets that a tie with ohms touches."""
        self._network()
        return self._linked

    def _network(self) -> list[tuple[str, str, Span]]:
        if self._edges is None:
            plain = [(self.net(t.a), self.net(t.b), t.ohms) for t in self.ties if not t.diode]
            self._linked = frozenset(n for a, b, _ in plain for n in (a, b))
            self._edges = [(str(a), str(b), s) for a, b, s in plain if a != b]
        return self._edges

    def _without(self, lifted: frozenset[tuple[str, str]]) -> list[tuple[str, str, Span]]:
        left = [t for t in self.ties if not t.diode and (t.a, t.b) not in lifted]
        return [
            (str(a), str(b), t.ohms)
            for t in left
            for a, b in ((self.net(t.a), self.net(t.b)),)
            if a != b
        ]

    def ohms(self, red: Collection[str], black: Collection[str], state: str = "") -> Span:
        """The true band of ohms between two combs; `state` is that of a `Probe`: a fuse that is in, a net that is parted."""
        return self.between({self.net(p) for p in red}, {self.net(p) for p in black}, state)

    def between(self, reds: Set[int], blacks: Set[int], state: str = "") -> Span:
        """The same between nets as built."""
        if not reds.isdisjoint(blacks):
            return SHORT
        edges = self._network()
        name, _, what = state.rpartition(" ") if state else ("", "", "")
        if what == IN:
            edges = [*edges, (str(self.net(f"{name}.a")), str(self.net(f"{name}.b")), SHORT)]
        elif what == APART:
            edges = self._without(self.bench.parted[name])
        elif reds.isdisjoint(self._linked) or blacks.isdisjoint(self._linked):
            return OPEN
        side = {**{str(n): "R" for n in reds}, **{str(n): "B" for n in blacks}}
        between = tuple(_between([(side.get(u, u), side.get(v, v), s) for u, v, s in edges]))
        if (known := self.bench.spans.get(between)) is None:
            known = self.bench.spans[between] = _span(between)
        return known

    def diode(self, red: Collection[str], black: Collection[str]) -> str:
        """`forward` or `reverse` if a diode lies straight between the probes, otherwise nothing."""
        reds, blacks = {self.net(p) for p in red}, {self.net(p) for p in black}
        for tie in self.ties:
            if tie.diode:
                a, k = self.net(tie.a), self.net(tie.b)
                if a in reds and k in blacks:
                    return "forward"
                if a in blacks and k in reds:
                    return "reverse"
        return ""

    def signature(self) -> frozenset[frozenset[str]]:
        """The metal as built: groups that differ from what is drawn, and the ties by where they end."""
        groups: dict[int, set[str]] = {}
        for a in self.bench.points:
            groups.setdefault(self.net(a), set()).add(a)
        drawn = self.bench.drawn_groups
        odd = {frozenset(g) for g in groups.values()} - drawn
        ties = {
            frozenset((f"={t.name}", f"{t.a}>{t.b}", str(t.ohms)))
            for t in self.ties
            if t not in self.bench.ties
        }
        lost = {
            frozenset((f"-{t.name}",))
            for t in self.bench.ties
            if t.name and t.name not in {x.name for x in self.ties}
        }
        return frozenset(odd | ties | lost)


Edges = Collection[tuple[str, str, Span]]


def _between(edges: Edges) -> Edges:
    """The connections that current between the probes can take: no dead ends, so that many builds share one answer."""
    while True:
        met: dict[str, int] = {"R": 2, "B": 2}
        for u, v, _ in edges:
            met[u] = met.get(u, 0) + 1
            met[v] = met.get(v, 0) + 1
        kept = [e for e in edges if met[e[0]] > 1 and met[e[1]] > 1 and e[0] != e[1]]
        if len(kept) == len(edges):
            return edges
        edges = kept


def _span(edges: Edges) -> Span:
    return span_ohms(tuple(edges), "R", "B")


@dataclass(frozen=True, slots=True)
class Expectation:
    """What the display should do: `beep`, `silent`, `ohms` between low and high, or `diode`."""

    expect: str
    low: float | None = None
    high: float | None = None


def apart(
    build: Build, red: Collection[str], black: Collection[str], state: str = ""
) -> Expectation:
    """What two combs of nets that are no one metal should show."""
    span = build.ohms(red, black, state)
    if math.isinf(span.low):
        return Expectation("silent")
    shown = metered(span)
    return Expectation(
        "ohms", round(shown.low, 3), shown.high if math.isinf(shown.high) else round(shown.high, 3)
    )


def contradicts(
    expected: Expectation,
    build: Build,
    red: Collection[str],
    black: Collection[str],
    state: str = "",
) -> bool:
    """Whether this build would surely show something else than expected."""
    span = build.ohms(red, black, state)
    if expected.expect == "beep":
        return span.low >= SILENT_SURE_OHMS
    if expected.expect == "silent":
        return span.high <= BEEP_SURE_OHMS
    if expected.expect == "diode":
        return build.diode(red, black) != "forward" or span.high <= BEEP_SURE_OHMS
    assert expected.low is not None and expected.high is not None
    return not metered(span).overlaps(Span(expected.low, expected.high))


__all__ = [
    "APART",
    "CHASSIS",
    "IN",
    "PARTED",
    "THROUGH_OHMS",
    "Bench",
    "Build",
    "Expectation",
    "Tie",
    "apart",
    "contradicts",
]
