"""The fewest probes that prove a harness, in the order in which they settle the most harm.
Counts:  T - m through-probes (T points within reach, m nets with fuses out), then apart-probes by
method:  `near` (side by side on a face, or dangerous together), `rest` (m - 1), `all` (m(m-1)/2),
`ganged` (combs on both probes, ceil(log2 m)).  `near` and `all` put the dangerous pairs right
behind the through-probes of their nets; the combs of `rest` and `ganged` hold those pairs already.

Order: each probe that need not move stays where it is.  `moves` counts how often a probe is set,
`moves_bound` is what no order can beat: one new place per reading, and both for the first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
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
from wiremap.rules import held_parts

OBJECTIVE = "dangerous circuits first, then as few probe moves as can be"
NO_DANGER = 9  # rank of nets that may touch without harm


class Method(StrEnum):
    """Which nets are read apart from which."""

    NEAR = "near"
    REST = "rest"
    ALL = "all"
    GANGED = "ganged"


METHODS = tuple(str(m) for m in Method)
KINDS = ("adapter", "splice-in")
Points = tuple[str, ...]


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
            "probes": [probe.as_dict() for probe in self.probes],
            "coverage": self.coverage.as_dict(),
            "not_proven": [gap.as_dict() for gap in self.not_proven],
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
        wanted = f"method is one of {', '.join(METHODS)}, kind one of {', '.join(KINDS)}"
        raise ValueError(f"{wanted} (got {method!r}, {kind!r})")
    drawn = Drawn(harness, kind, _beeper(harness, beeper_ohms))
    planner = _Planner(drawn, method)
    probes = _numbered(_still(planner.without_held_parts()))
    coverage = cover(drawn, probes)
    bound = len(probes) + 1 if probes else 0
    return Plan(
        kind=kind,
        method=method,
        probes=probes,
        coverage=coverage,
        not_proven=tuple(gaps(drawn, probes, coverage)),
        points=len(drawn.reach),
        nets=len(drawn.reached),
        moves=moves(probes),
        moves_bound=bound,
        beeper=drawn.beeper,
    )


def _beeper(harness: Harness, ohms: float | None) -> Beeper:
    if ohms is not None:
        return Beeper(ohms, stated=True)
    notebooks = harness.job.notebooks
    return beeper_of(entry for notebook in notebooks for entry in notebook.entries)


def sentinels(harness: Harness, end: str, kind: str = "adapter") -> list[str]:
    """Joined contacts of an end whose metal changes under every whole-face mistake of that end."""
    drawn = Drawn(harness, kind)
    misreadings = [dict(mistake.seats) for mistake in face_reads(drawn, end)]
    if not misreadings:
        return []
    found = []
    for point in drawn.points:
        if harness.points[point].owner != end:
            continue
        net = drawn.net_of[point]
        joined = len(drawn.members[net]) > 1
        if joined and all(_is_elsewhere(drawn, seats, point) for seats in misreadings):
            found.append(point)
    return found


def _is_elsewhere(drawn: Drawn, seats: Mapping[str, str | None], point: str) -> bool:
    wire = seats.get(point, point)
    if wire is None:
        return True
    return drawn.net_of[wire] != drawn.net_of[point]


class _Edge(NamedTuple):
    """A through-reading: its net, and where the probes stand."""

    net: int
    red: str
    black: str


class _Planner:
    """Collects the probes of one plan in order; each pair of points or nets once."""

    def __init__(self, drawn: Drawn, method: str) -> None:
        self.drawn = drawn
        self.method = method
        self.harness = drawn.harness
        self.reached = drawn.reached
        self.trees: dict[int, list[_Edge]] = {}
        for net, points in drawn.reached.items():
            if len(points) > 1:
                self.trees[net] = _tree(drawn, net)
        self.rung: set[int] = set()
        self.done: set[_Edge] = set()
        self.pairs: set[tuple[int, int]] = set()  # of nets read apart, lower number first

    def probes(self) -> Iterator[Probe]:
        """Sentinels, dangerous nets, the other through-probes, the other apart-probes, bands."""
        yield from self._sentinels()
        near = near_pairs(self.harness, self.drawn.kind)
        if self.method in (Method.NEAR, Method.ALL):
            dangerous = [(one, two) for rank, _, one, two in near if rank < NO_DANGER]
            yield from self._dangerous(dangerous)
        for net in self._by_place():
            yield from self._through(net)
        match self.method:
            case Method.NEAR:
                yield from self._apart_in_turn((one, two) for _, _, one, two in near)
            case Method.ALL:
                yield from self._apart_in_turn(combinations(self.reached, 2))
            case Method.REST:
                yield from self._each_from_the_rest()
            case _:
                yield from self._ganged()
        yield from self._bands()
        yield from self._fuses()
        yield from self._met_outside()

    def without_held_parts(self) -> Iterator[Probe]:
        """The probes, but none that would expect a part that an unsigned stop names."""
        names = held_parts(self.harness)
        ties = [tie for tie in self.drawn.ties if tie.name in names]
        nets = {_pair(self.drawn.net_of[tie.a], self.drawn.net_of[tie.b]) for tie in ties}
        for probe in self.probes():
            silent = probe.expectation.shows == Shows.SILENT
            if silent or probe.is_through or not self._is_across(probe, nets):
                yield probe

    def _is_across(self, probe: Probe, pairs: Collection[tuple[int, int]]) -> bool:
        """Whether it is read between two of these nets alone."""
        nets = {self.drawn.net_of[point] for point in (*probe.red, *probe.black)}
        return len(nets) == 2 and _pair(*nets) in pairs

    def _by_place(self) -> list[int]:
        return sorted(self.trees, key=self._place)

    def _place(self, net: int) -> int:
        return self.drawn.rank[self._first(net)]

    def _first(self, net: int) -> str:
        return self.reached[net][0]

    def _apart_now(self, red: Points, black: Points) -> Expectation:
        return apart(self.drawn.sound, red, black)

    # -- through ----------------------------------------------------------------------------------

    def _expect_through(self, net: int) -> Expectation:
        """A beep; ohms where another path would beep too."""
        drawn = self.drawn
        here = self.reached[net][:1]
        for other in sorted(drawn.tied.get(net, ())):
            if other == net or other not in self.reached:
                continue
            between = drawn.sound.ohms(here, self.reached[other][:1])
            if between.low < drawn.beeper.silent_ohms:
                return Expectation(Shows.OHMS, 0.0, THROUGH_OHMS)
        return Expectation(Shows.BEEP)

    def _through(self, net: int) -> Iterator[Probe]:
        if net in self.rung or net not in self.trees:
            return
        self.rung.add(net)
        for edge in self.trees[net]:
            if edge not in self.done:
                yield self._one(edge, ProbeKind.THROUGH)

    def _one(self, edge: _Edge, kind: ProbeKind, *proves: str) -> Probe:
        self.done.add(edge)
        expected = self._expect_through(edge.net)
        why = ""
        if expected.shows == Shows.OHMS:
            why = "another path would beep too: read the ohms"
        return Probe(
            kind=kind,
            red=(edge.red,),
            black=(edge.black,),
            expectation=expected,
            proves=(f"{edge.red} reaches {edge.black}", *proves),
            why=why,
        )

    def _sentinels(self) -> Iterator[Probe]:
        """The through-readings that show every whole-face mistake, as few as can be."""
        edges = [edge for net in self._by_place() for edge in self.trees[net]]
        sees: dict[_Edge, set[FaceRead]] = {edge: set() for edge in edges}
        for end in self.harness.job.ends:
            for mistake in face_reads(self.drawn, end):
                build = mistake.on(self.drawn.sound)
                for edge in edges:
                    if self._shows(edge, mistake, build):
                        sees[edge].add(mistake)
        left: set[FaceRead] = set().union(*sees.values())
        while left:
            best = max(edges, key=lambda edge: len(sees[edge] & left))
            told = sees[best] & left
            left -= told
            seen = _each_once(mistake.end for mistake in told)
            kinds = _each_once(mistake.kind for mistake in told)
            yield self._one(best, ProbeKind.SENTINEL, f"face of {seen} not read {kinds}")

    def _shows(self, edge: _Edge, mistake: FaceRead, build: Build) -> bool:
        """Whether a through-reading with one probe on the face shows that it was read wrongly."""
        face = f"{mistake.end}."
        if edge.red.startswith(face) == edge.black.startswith(face):
            return False
        expected = self._expect_through(edge.net)
        return contradicts(expected, build, (edge.red,), (edge.black,))

    # -- apart ------------------------------------------------------------------------------------

    def _dangerous(self, pairs: Iterable[tuple[int, int]]) -> Iterator[Probe]:
        """Each two nets that are dangerous together, right behind their own through-probes."""
        for one, two in pairs:
            if self.drawn.inseparable(one, two):
                continue
            yield from self._through(one)
            yield from self._through(two)
            yield self._apart(one, two)

    def _apart(self, one: int, two: int) -> Probe:
        drawn = self.drawn
        self.pairs.add(_pair(one, two))
        spots = _facing(drawn, self.reached[one], self.reached[two])
        red, black = spots[:1], spots[1:]
        expected = self._apart_now(red, black)
        if drawn.sound.diode(red, black) == FORWARD:
            red, black = black, red
        return Probe(
            kind=ProbeKind.APART,
            red=red,
            black=black,
            expectation=expected,
            proves=(f"{drawn.names[one]} apart from {drawn.names[two]}",),
            why=self._why_dangerous(one, two),
        )

    def _why_dangerous(self, one: int, two: int) -> str:
        known = danger(self.harness, self.reached[one], self.reached[two])
        return known[1] if known else ""

    def _apart_in_turn(self, wanted: Iterable[tuple[int, int]]) -> Iterator[Probe]:
        """One probe stays on a net while the other visits its partners.

        The last keeps its probe.
        """
        near: dict[int, set[int]] = defaultdict(set)
        for one, two in wanted:
            if (one, two) in self.pairs or self.drawn.inseparable(one, two):
                continue
            near[one].add(two)
            near[two].add(one)
        hub: int | None = None
        while near:
            if hub not in near:
                hub = max(near, key=lambda net: (len(near[net]), -self._place(net)))
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
        harm = {net: self._harm(net) for net in self._separable()}
        ranked = sorted(harm, key=lambda net: (harm[net], self._place(net)))
        while len(ranked) > 1:
            net = ranked.pop(0)
            yield self._comb([net], ranked)

    def _ganged(self) -> Iterator[Probe]:
        nets = self._separable()
        code = _codes(self.drawn, nets)
        bits = (len(nets) - 1).bit_length()
        for bit in range(bits):
            ones = [net for net in nets if code[net] >> bit & 1]
            zeros = [net for net in nets if net not in ones]
            yield self._comb(ones, zeros)

    def _separable(self) -> list[int]:
        """One net of each group that reads as one anyway."""
        kept: list[int] = []
        for net in self.reached:
            if not any(self.drawn.inseparable(net, other) for other in kept):
                kept.append(net)
        return kept

    def _harm(self, net: int) -> int:
        """How bad the worst touch of a net would be, 0 the worst."""
        worst = NO_DANGER
        for other, points in self.reached.items():
            if other == net:
                continue
            known = danger(self.harness, self.reached[net], points)
            if known:
                worst = min(worst, known[0])
        return worst

    def _comb(self, one: list[int], two: list[int]) -> Probe:
        red = tuple(map(self._first, one))
        black = tuple(map(self._first, two))
        circuits = "circuit" if len(one) == 1 else "circuits"
        return Probe(
            kind=ProbeKind.APART,
            red=red,
            black=black,
            expectation=self._apart_now(red, black),
            proves=(f"{len(one)} {circuits} apart from {len(two)} others at once",),
        )

    # -- bands ------------------------------------------------------------------------------------

    def _bands(self) -> Iterator[Probe]:
        """Each part and load by its value, a diode both ways."""
        for tie in self.drawn.ties:
            one = self.drawn.net_of[tie.a]
            two = self.drawn.net_of[tie.b]
            if one == two or one not in self.reached or two not in self.reached:
                continue
            if self.drawn.inseparable(one, two):
                continue
            pair = _pair(one, two)
            known = pair in self.pairs
            self.pairs.add(pair)
            here, there = self.reached[one][:1], self.reached[two][:1]
            if tie.diode:
                yield _forward(tie, here, there)
                if not known:
                    yield self._backwards(tie, here, there)
            elif not known:
                yield self._value(tie, here, there)

    def _backwards(self, tie: Tie, anode: Points, cathode: Points) -> Probe:
        return Probe(
            kind=ProbeKind.BAND,
            red=cathode,
            black=anode,
            expectation=self._apart_now(cathode, anode),
            proves=(f"{_called(tie)} blocks backwards",),
            why="diode range",
            diode_range=True,
        )

    def _value(self, tie: Tie, red: Points, black: Points) -> Probe:
        return Probe(
            kind=ProbeKind.BAND,
            red=red,
            black=black,
            expectation=self._apart_now(red, black),
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
        for stays, *others in self.drawn.meeting:
            for net in others:
                yield self._parted(net, stays)

    def _parted(self, net: int, stays: int) -> Probe:
        drawn = self.drawn
        name = drawn.names[net]
        state = State(parted=name)
        red = _at_faces(drawn, self.reached[net])
        black = _at_faces(drawn, self.reached[stays])
        return Probe(
            kind=ProbeKind.APART,
            red=red,
            black=black,
            expectation=apart(drawn.sound, red, black, state),
            proves=(f"{name} apart from {drawn.names[stays]} in the harness",),
            why=self._why_dangerous(net, stays),
            state=state,
        )


def _forward(tie: Tie, anode: Points, cathode: Points) -> Probe:
    return Probe(
        kind=ProbeKind.BAND,
        red=anode,
        black=cathode,
        expectation=Expectation(Shows.DIODE),
        proves=(f"{_called(tie)} there, anode at {anode[0]}",),
        why="diode range",
        diode_range=True,
    )


def _pair(one: int, two: int) -> tuple[int, int]:
    """Two nets, the lower number first."""
    return min(one, two), max(one, two)


def _each_once(words: Iterable[str]) -> str:
    return ", ".join(sorted(set(words)))


def _called(tie: Tie) -> str:
    return tie.name or f"{tie.a} to {tie.b}"


def _tree(drawn: Drawn, net: int) -> list[_Edge]:
    """A spanning tree.

    A cavity of the first end stays under one probe, the other visits the rest.
    """
    points = drawn.reached[net]
    hub = points[0]
    for point in points:
        if drawn.harness.points[point].kind == "cavity":
            hub = point
            break
    return [_Edge(net, hub, point) for point in points if point != hub]


def _facing(drawn: Drawn, one: Points, two: Points) -> Points:
    """A point of each net, on one end if they share one, so that the hands stay at one face."""
    points = drawn.harness.points
    at_owner = {points[point].owner: point for point in reversed(two)}
    for point in one:
        owner = points[point].owner
        if owner in at_owner:
            return point, at_owner[owner]
    return one[0], two[0]


def _at_faces(drawn: Drawn, points: Points) -> Points:
    """The points of a net on unmated faces; all of them if there are none.

    What is parted last is read when joints may be closed.
    """
    found = tuple(point for point in points if drawn.harness.reach(point) == "face")
    return found or points


def _codes(drawn: Drawn, nets: Sequence[int]) -> Mapping[int, int]:
    """A binary number for each net; nets that a tie connects differ in as few bits as can be."""
    free = list(range(len(nets)))
    code: dict[int, int] = {}
    tied = drawn.tied

    def turn(net: int) -> tuple[bool, int, int]:
        return net not in tied, min(tied.get(net, (net,))), net

    for net in sorted(nets, key=turn):
        kin = [code[other] for other in tied.get(net, ()) if other in code]
        best = min(free, key=lambda number: _bits_apart(number, kin))
        code[net] = best
        free.remove(best)
    return code


def _bits_apart(number: int, kin: Iterable[int]) -> int:
    return sum((number ^ other).bit_count() for other in kin)


# -- order ----------------------------------------------------------------------------------------


def _still(probes: Iterable[Probe]) -> list[Probe]:
    """Turn each reading so that a probe which can stay does; a band keeps its direction."""
    out: list[Probe] = []
    for probe in probes:
        if out and probe.kind != ProbeKind.BAND:
            probe = _turned(out[-1], probe)
        out.append(probe)
    return out


def _turned(last: Probe, probe: Probe) -> Probe:
    turned = replace(probe, red=probe.black, black=probe.red)
    if _stay(last, turned) > _stay(last, probe):
        return turned
    return probe


def _stay(last: Probe, probe: Probe) -> int:
    return (probe.red == last.red) + (probe.black == last.black)


def moves(probes: Iterable[Probe]) -> int:
    """How often a probe or comb is set in this order."""
    count = 0
    red: Points = ()
    black: Points = ()
    for probe in probes:
        count += (probe.red != red) + (probe.black != black)
        red, black = probe.red, probe.black
    return count


def _numbered(probes: Iterable[Probe]) -> tuple[Probe, ...]:
    return tuple(replace(probe, n=number) for number, probe in enumerate(probes, 1))
