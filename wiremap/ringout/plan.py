"""The fewest probes that prove a harness, in the order in which they settle the most harm.
Counts:  T - m through-probes (T points within reach, m nets with fuses out), then apart-probes by
method:  `near` (side by side on a face, or dangerous together), `rest` (m - 1), `all` (m(m-1)/2),
`ganged` (combs on both probes, ceil(log2 m)).  `near` and `all` put the dangerous pairs right
behind the through-probes of their nets; the combs of `rest` and `ganged` hold those pairs already.

Order: each probe that need not move stays where it is.  `moves` counts how often a probe is set,
`moves_bound` is what no order can beat: one new place per reading, and both for the first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import combinations
from typing import Any, NamedTuple

from wiremap.evidence import danger, kind_of, near_pairs
from wiremap.graph import Harness
from wiremap.mistakes.beeper import Beeper, beeper_of
from wiremap.mistakes.build import FORWARD, THROUGH_OHMS, Build, Tie
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Expectation, Shows, apart, contradicts
from wiremap.mistakes.face_read import FaceRead, face_reads
from wiremap.model import State
from wiremap.ringout.coverage import Coverage, cover
from wiremap.ringout.gaps import Gap, gaps
from wiremap.ringout.probe import Probe, ProbeKind

OBJECTIVE = "dangerous nets first, then as few settings of a probe as can be"
NO_DANGER = 9  # rank of nets that may touch without harm


class Method(StrEnum):
    """Which nets are read apart from which."""

    NEAR = "near"
    REST = "rest"
    ALL = "all"
    GANGED = "ganged"


METHODS = tuple(str(m) for m in Method)
KINDS = ("adapter", "splice-in")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """All probes of a ring-out, what they find, and what they cannot."""

    kind: str
    method: str
    probes: tuple[Probe, ...]
    coverage: Coverage
    not_proven: tuple[Gap, ...]
    points: int
    nets: int
    moves: int
    moves_bound: int
    beeper: Beeper

    def as_dict(self) -> dict[str, Any]:
        """The plan as plain data, in the documented shape."""
        return {
            "kind": self.kind,
            "method": self.method,
            "points": self.points,
            "nets": self.nets,
            "probes": [p.as_dict() for p in self.probes],
            "coverage": self.coverage.as_dict(),
            "not_proven": [g.as_dict() for g in self.not_proven],
            "beeper_ohms": self.beeper.limit_ohms,
            "order": {"objective": OBJECTIVE, "moves": self.moves, "bound": self.moves_bound},
        }


def plan(
    harness: Harness,
    method: str = Method.NEAR,
    kind: str | None = None,
    *,
    beeper_ohms: float | None = None,
) -> Plan:
    """The ring-out of a settled job.
    `beeper_ohms` is what the beeper at hand sounds up to; left out, what a notebook of the job
    answers about `beeper` holds, else 50 ohm is assumed.  Raises ValueError for a method or kind
    that does not exist.
    """
    kind = kind or kind_of(harness)
    if method not in METHODS or kind not in KINDS:
        raise ValueError(
            f"method is one of {', '.join(METHODS)}, kind one of {', '.join(KINDS)} "
            f"(got {method!r}, {kind!r})"
        )
    beeper = beeper_of(e for n in harness.job.notebooks for e in n.entries)
    if beeper_ohms is not None:
        beeper = Beeper(beeper_ohms, stated=True)
    drawn = Drawn(harness, kind, beeper)
    probes = _numbered(_still(_Planner(drawn, method).probes()))
    coverage = cover(drawn, probes)
    return Plan(
        kind=kind,
        method=method,
        probes=probes,
        coverage=coverage,
        not_proven=tuple(gaps(drawn, probes, coverage)),
        points=len(drawn.reach),
        nets=len(drawn.reached),
        moves=moves(probes),
        moves_bound=len(probes) + 1 if probes else 0,
        beeper=beeper,
    )


def sentinels(harness: Harness, end: str, kind: str = "adapter") -> list[str]:
    """Joined contacts of an end whose metal changes under every whole-face mistake of that end."""
    drawn = Drawn(harness, kind)
    misreadings = [dict(m.seats) for m in face_reads(drawn, end)]
    if not misreadings:
        return []
    own = [a for a in drawn.points if harness.points[a].owner == end]
    joined = [a for a in own if len(drawn.members[drawn.net_of[a]]) > 1]
    return [a for a in joined if all(_is_elsewhere(drawn, m, a) for m in misreadings)]


def _is_elsewhere(drawn: Drawn, seats: Mapping[str, str | None], point: str) -> bool:
    wire = seats.get(point, point)
    return wire is None or drawn.net_of[wire] != drawn.net_of[point]


class _Edge(NamedTuple):
    """A through-reading: its net, and where the probes stand."""

    net: int
    red: str
    black: str


class _Planner:
    """Collects the probes of one plan in order; each pair of points or nets once."""

    def __init__(self, drawn: Drawn, method: str) -> None:
        self.drawn, self.method = drawn, method
        self.harness = drawn.harness
        self.trees = {n: _tree(drawn, p) for n, p in drawn.reached.items() if len(p) > 1}
        self.rung: set[int] = set()
        self.done: set[tuple[str, str]] = set()
        self.pairs: set[tuple[int, int]] = set()  # of nets read apart, lower number first

    def probes(self) -> Iterator[Probe]:
        """Sentinels, dangerous nets, the other through-probes, the other apart-probes, bands."""
        yield from self._sentinels()
        near = near_pairs(self.harness, self.drawn.kind)
        if self.method in (Method.NEAR, Method.ALL):
            dangerous = [(i, j) for rank, _, i, j in near if rank < NO_DANGER]
            yield from self._dangerous(dangerous)
        for i in self._by_place():
            yield from self._through(i)
        if self.method == Method.NEAR:
            yield from self._apart_in_turn((i, j) for _, _, i, j in near)
        elif self.method == Method.ALL:
            yield from self._apart_in_turn(combinations(self.drawn.reached, 2))
        elif self.method == Method.REST:
            yield from self._each_from_the_rest()
        else:
            yield from self._ganged()
        yield from self._bands()
        yield from self._fuses()
        yield from self._met_outside()

    def _by_place(self) -> list[int]:
        return sorted(self.trees, key=self._place)

    def _place(self, net: int) -> int:
        return self.drawn.rank[self.drawn.reached[net][0]]

    # -- through ----------------------------------------------------------------------------------

    def _expect_through(self, i: int) -> Expectation:
        """A beep; ohms where another path would beep too."""
        drawn = self.drawn
        here = drawn.reached[i][:1]
        for j in sorted(drawn.tied.get(i, frozenset()) - {i}):
            there = drawn.reached.get(j, ())[:1]
            if there and drawn.sound.ohms(here, there).low < drawn.beeper.silent_ohms:
                return Expectation(Shows.OHMS, 0.0, THROUGH_OHMS)
        return Expectation(Shows.BEEP)

    def _through(self, net: int) -> Iterator[Probe]:
        if net in self.rung or net not in self.trees:
            return
        self.rung.add(net)
        for red, black in self.trees[net]:
            if (red, black) not in self.done:
                yield self._one(_Edge(net, red, black), ProbeKind.THROUGH)

    def _one(self, edge: _Edge, kind: ProbeKind, *proves: str) -> Probe:
        self.done.add((edge.red, edge.black))
        expected = self._expect_through(edge.net)
        figure = expected.shows == Shows.OHMS
        return Probe(
            kind=kind,
            red=(edge.red,),
            black=(edge.black,),
            expectation=expected,
            proves=(f"{edge.red} reaches {edge.black}", *proves),
            why="another path would beep too: read the ohms" if figure else "",
        )

    def _sentinels(self) -> Iterator[Probe]:
        """The through-readings that show every whole-face mistake, as few as can be."""
        ends = self.harness.job.ends
        mistakes = [m for end in ends for m in face_reads(self.drawn, end)]
        edges = [_Edge(n, *pair) for n in self._by_place() for pair in self.trees[n]]
        builds = {m: m.on(self.drawn.sound) for m in mistakes}
        sees = {e: {m for m, b in builds.items() if self._shows(e, m, b)} for e in edges}
        left: set[FaceRead] = set().union(*sees.values())
        while left:
            best = max(edges, key=lambda e: (len(sees[e] & left), -edges.index(e)))
            told = sees[best] & left
            left -= told
            seen = ", ".join(sorted({m.end for m in told}))
            kinds = ", ".join(sorted({m.kind for m in told}))
            yield self._one(best, ProbeKind.SENTINEL, f"face of {seen} not read {kinds}")

    def _shows(self, edge: _Edge, mistake: FaceRead, build: Build) -> bool:
        """Whether a through-reading with one probe on the face shows that it was read wrongly."""
        face = f"{mistake.end}."
        if edge.red.startswith(face) == edge.black.startswith(face):
            return False
        return contradicts(self._expect_through(edge.net), build, (edge.red,), (edge.black,))

    # -- apart ------------------------------------------------------------------------------------

    def _dangerous(self, pairs: Iterable[tuple[int, int]]) -> Iterator[Probe]:
        """Each two nets that are dangerous together, right behind their own through-probes."""
        for i, j in pairs:
            if not self.drawn.inseparable(i, j):
                yield from self._through(i)
                yield from self._through(j)
                yield self._apart(i, j)

    def _apart(self, i: int, j: int) -> Probe:
        self.pairs.add((min(i, j), max(i, j)))
        one, two = self.drawn.reached[i], self.drawn.reached[j]
        red, black = _facing(self.drawn, one, two)
        expected = apart(self.drawn.sound, (red,), (black,))
        if self.drawn.sound.diode((red,), (black,)) == FORWARD:
            red, black = black, red
        return Probe(
            kind=ProbeKind.APART,
            red=(red,),
            black=(black,),
            expectation=expected,
            proves=(f"{self.drawn.names[i]} apart from {self.drawn.names[j]}",),
            why=self._why_dangerous(one, two),
        )

    def _why_dangerous(self, one: tuple[str, ...], two: tuple[str, ...]) -> str:
        known = danger(self.harness, one, two)
        return known[1] if known else ""

    def _apart_in_turn(self, wanted: Iterable[tuple[int, int]]) -> Iterator[Probe]:
        """One probe stays on a net while the other visits its partners.

        The last keeps its probe.
        """
        pairs = {(i, j) for i, j in wanted if not self.drawn.inseparable(i, j)} - self.pairs
        near: dict[int, set[int]] = {}
        for i, j in pairs:
            near.setdefault(i, set()).add(j)
            near.setdefault(j, set()).add(i)
        hub: int | None = None
        while near:
            if hub not in near:
                hub = max(near, key=lambda n: (len(near[n]), -self._place(n)))
            assert hub is not None
            last = hub
            for other in sorted(near.pop(hub), key=self._place):
                yield self._apart(hub, other)
                near[other].discard(hub)
                if near[other]:
                    last = other
                else:
                    del near[other]
            hub = last

    def _each_from_the_rest(self) -> Iterator[Probe]:
        harm = {n: self._harm(n) for n in self._separable()}
        ranked = sorted(harm, key=lambda n: (harm[n], self._place(n)))
        for k, net in enumerate(ranked[:-1], 1):
            yield self._comb([net], ranked[k:])

    def _ganged(self) -> Iterator[Probe]:
        nets = self._separable()
        code = _codes(self.drawn, nets)
        for bit in range((len(nets) - 1).bit_length()):
            ones = [n for n in nets if code[n] >> bit & 1]
            yield self._comb(ones, [n for n in nets if n not in ones])

    def _separable(self) -> list[int]:
        """One net of each group that reads as one anyway."""
        kept: list[int] = []
        for net in self.drawn.reached:
            if not any(self.drawn.inseparable(net, other) for other in kept):
                kept.append(net)
        return kept

    def _harm(self, net: int) -> int:
        """How bad the worst touch of a net would be, 0 the worst."""
        reached = self.drawn.reached
        others = [points for n, points in reached.items() if n != net]
        found = [danger(self.harness, reached[net], points) for points in others]
        return min((d[0] for d in found if d), default=NO_DANGER)

    def _comb(self, one: list[int], two: list[int]) -> Probe:
        red = tuple(self.drawn.reached[n][0] for n in one)
        black = tuple(self.drawn.reached[n][0] for n in two)
        nets = "net" if len(one) == 1 else "nets"
        return Probe(
            kind=ProbeKind.APART,
            red=red,
            black=black,
            expectation=apart(self.drawn.sound, red, black),
            proves=(f"{len(one)} {nets} apart from {len(two)} others at once",),
        )

    # -- bands ------------------------------------------------------------------------------------

    def _bands(self) -> Iterator[Probe]:
        """Each part and load by its value, a diode both ways."""
        drawn, net_of = self.drawn, self.drawn.net_of
        for tie in drawn.ties:
            i, j = net_of[tie.a], net_of[tie.b]
            if i == j or i not in drawn.reached or j not in drawn.reached:
                continue
            if drawn.inseparable(i, j):
                continue
            pair = (min(i, j), max(i, j))
            if tie.diode:
                yield self._forward(tie, i, j)
            if pair not in self.pairs:
                self.pairs.add(pair)
                yield self._backwards(tie, i, j) if tie.diode else self._value(tie, i, j)

    def _forward(self, tie: Tie, anode: int, cathode: int) -> Probe:
        red, black = self.drawn.reached[anode][0], self.drawn.reached[cathode][0]
        return Probe(
            kind=ProbeKind.BAND,
            red=(red,),
            black=(black,),
            expectation=Expectation(Shows.DIODE),
            proves=(f"{_called(tie)} there, anode at {red}",),
            why="diode range",
            diode_range=True,
        )

    def _backwards(self, tie: Tie, anode: int, cathode: int) -> Probe:
        red, black = self.drawn.reached[cathode][:1], self.drawn.reached[anode][:1]
        return Probe(
            kind=ProbeKind.BAND,
            red=red,
            black=black,
            expectation=apart(self.drawn.sound, red, black),
            proves=(f"{_called(tie)} blocks backwards",),
            why="diode range",
            diode_range=True,
        )

    def _value(self, tie: Tie, i: int, j: int) -> Probe:
        red, black = self.drawn.reached[i][:1], self.drawn.reached[j][:1]
        return Probe(
            kind=ProbeKind.BAND,
            red=red,
            black=black,
            expectation=apart(self.drawn.sound, red, black),
            proves=(f"{_called(tie)} there and of its value",),
        )

    def _fuses(self) -> Iterator[Probe]:
        for extra in self.harness.job.extras.values():
            if extra.kind == "fuse" and self.drawn.reach_set.issuperset(extra.legs):
                yield Probe(
                    kind=ProbeKind.BAND,
                    red=extra.legs[:1],
                    black=extra.legs[1:],
                    expectation=Expectation(Shows.BEEP),
                    proves=(f"{extra.name} sound and seated",),
                    state=State(fuse=extra.name),
                )

    def _met_outside(self) -> Iterator[Probe]:
        """Each net that meets others outside, parted there and read against the one that stays.
        Every face contact of both: a touch inside shows only so, and a contact in the wrong one of
        them.
        """
        drawn = self.drawn
        for stays, *others in drawn.meeting:
            for i in others:
                state = State(parted=drawn.names[i])
                red = _at_faces(drawn, drawn.reached[i])
                black = _at_faces(drawn, drawn.reached[stays])
                yield Probe(
                    kind=ProbeKind.APART,
                    red=red,
                    black=black,
                    expectation=apart(drawn.sound, red, black, state),
                    proves=(f"{drawn.names[i]} apart from {drawn.names[stays]} in the harness",),
                    why=self._why_dangerous(drawn.reached[i], drawn.reached[stays]),
                    state=state,
                )


def _called(tie: Tie) -> str:
    return tie.name or f"{tie.a} to {tie.b}"


def _tree(drawn: Drawn, points: Sequence[str]) -> list[tuple[str, str]]:
    """A spanning tree.

    A cavity of the first end stays under one probe, the other visits the rest.
    """
    cavities = [a for a in points if drawn.harness.points[a].kind == "cavity"]
    hub = (*cavities, *points)[0]
    return [(hub, a) for a in points if a != hub]


def _facing(drawn: Drawn, one: Sequence[str], two: Sequence[str]) -> tuple[str, str]:
    """A point of each net, on one end if they share one, so that the hands stay at one face."""
    points = drawn.harness.points
    at_owner = {points[x].owner: x for x in reversed(two)}
    for x in one:
        if points[x].owner in at_owner:
            return x, at_owner[points[x].owner]
    return one[0], two[0]


def _at_faces(drawn: Drawn, points: tuple[str, ...]) -> tuple[str, ...]:
    """The points of a net on unmated faces; all of them if there are none.

    What is parted last is read when joints may be closed.
    """
    return tuple(a for a in points if drawn.harness.reach(a) == "face") or points


def _codes(drawn: Drawn, nets: Sequence[int]) -> Mapping[int, int]:
    """A binary number for each net; nets that a tie connects differ in as few bits as can be."""
    free = list(range(len(nets)))
    code: dict[int, int] = {}
    tied = drawn.tied
    for net in sorted(nets, key=lambda n: (n not in tied, min(tied.get(n, {n})), n)):
        kin = [code[j] for j in sorted(tied.get(net, ())) if j in code]
        code[net] = min(free, key=lambda c: (sum((c ^ k).bit_count() for k in kin), c))
        free.remove(code[net])
    return code


# -- order ----------------------------------------------------------------------------------------


def _still(probes: Iterable[Probe]) -> list[Probe]:
    """Turn each reading so that a probe which can stay does; a band keeps its direction."""
    out: list[Probe] = []
    for probe in probes:
        if out and probe.kind != ProbeKind.BAND:
            last, turned = out[-1], replace(probe, red=probe.black, black=probe.red)
            if _stay(last, turned) > _stay(last, probe):
                probe = turned
        out.append(probe)
    return out


def _stay(last: Probe, probe: Probe) -> int:
    return (probe.red == last.red) + (probe.black == last.black)


def moves(probes: Iterable[Probe]) -> int:
    """How often a probe or comb is set in this order."""
    count = 0
    red: tuple[str, ...] = ()
    black: tuple[str, ...] = ()
    for p in probes:
        count += (p.red != red) + (p.black != black)
        red, black = p.red, p.black
    return count


def _numbered(probes: Iterable[Probe]) -> tuple[Probe, ...]:
    return tuple(replace(p, n=i) for i, p in enumerate(probes, 1))
