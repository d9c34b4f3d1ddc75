"""The probes of a plan, collected in order: through, apart one pair at a time, values."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from wiremap.evidence import Dangers, near_pairs
from wiremap.evidence.touching import NearPair
from wiremap.mistakes.build import AS_USUAL, FORWARD, THROUGH_OHMS, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Expectation, Shows, contradicts, expected_apart
from wiremap.mistakes.face_read import MISREAD, FaceRead, face_reads
from wiremap.model import State
from wiremap.ringout.held import Held
from wiremap.ringout.paths import another_path
from wiremap.ringout.probe import Points, Probe, ProbeKind

NO_DANGER = 9  # rank of nets that may touch without harm
SILENCE = Expectation(Shows.SILENT)
THROUGH_IN_OHMS = Expectation(Shows.OHMS, 0.0, THROUGH_OHMS)
ANOTHER_PATH = "another path would beep too: read the ohms"


class ThroughReading(NamedTuple):
    """A through-reading: its net, and where the probes stand; with a fuse in it crosses that."""

    net: int
    red: str
    black: str
    state: State = AS_USUAL


Trees = Mapping[int, list[ThroughReading]]


class Planner:
    """Collects the probes of one plan in order; each pair of points or nets once.

    `trees` gives for each net the through-readings that join its points, `reached` the points at
    which a probe may stand.
    """

    def __init__(self, drawn: Drawn, trees: Trees, reached: Mapping[int, Points]) -> None:
        self.drawn = drawn
        self.trees = trees
        self.harness = drawn.harness
        self.reached = reached
        self.rung: set[int] = set()  # nets whose through-probes were given
        self.done: set[ThroughReading] = set()
        self._beeps: dict[int, bool] = {}  # of a net whether a beep tells: no other path beeps too
        self.pairs: set[tuple[int, int]] = set()  # of nets read apart, lower number first
        self.dangers = Dangers(drawn.harness)
        nearby = near_pairs(drawn.harness, drawn.kind)
        self.near = [pair for pair in nearby if pair.one in reached and pair.other in reached]
        self.near_to: dict[int, list[NearPair]] = defaultdict(list)  # worst first
        for pair in self.near:
            self.near_to[pair.one].append(pair)
            self.near_to[pair.other].append(pair)

    def by_place(self) -> list[int]:
        """The nets of more than one point, in the order of the job."""
        return sorted(self.trees, key=self.place)

    def place(self, net: int) -> int:
        """Where a net stands in the order of the job."""
        return self.drawn.rank[self.first(net)]

    def first(self, net: int) -> str:
        """The first point of a net within reach."""
        return self.reached[net][0]

    def separable(self) -> list[int]:
        """The nets that can be read apart: of those that always read as one, only the first."""
        kept: dict[int, None] = {}
        for net in self.reached:
            close = kept.keys() & self.drawn.close_to(net)
            if not any(self.drawn.inseparable(net, other) for other in close):
                kept[net] = None
        return list(kept)

    def harm(self, net: int) -> int:
        """How bad the worst touch of a net would be, 0 the worst."""
        return min((pair.rank for pair in self.near_to[net]), default=NO_DANGER)

    # -- through ----------------------------------------------------------------------------------

    def through(self, net: int) -> Iterator[Probe]:
        """The through-probes of a net that were not set yet."""
        if net in self.rung or net not in self.trees:
            return
        self.rung.add(net)
        for edge in self.trees[net]:
            if edge not in self.done:
                yield self.through_probe(edge, ProbeKind.THROUGH)

    def through_probe(self, edge: ThroughReading, kind: ProbeKind, *proves: str) -> Probe:
        """A through-reading as a probe; it counts as given from then on."""
        self.done.add(edge)
        expected = self._expect_through(edge)
        proven = [f"{edge.red} reaches {edge.black}", *proves]
        if edge.state.fuse:
            proven.append(f"{edge.state.fuse} sound and seated")
        return Probe(
            kind=kind,
            red=(edge.red,),
            black=(edge.black,),
            expectation=expected,
            proves=tuple(proven),
            why=ANOTHER_PATH if expected.shows == Shows.OHMS else "",
            state=edge.state,
        )

    def _expect_through(self, edge: ThroughReading) -> Expectation:
        """A beep; ohms where another path would beep too."""
        if edge.net not in self._beeps:
            self._beeps[edge.net] = not another_path(self.drawn, edge.net)
        if self._beeps[edge.net]:
            return Expectation(Shows.BEEP)
        return THROUGH_IN_OHMS

    def sentinels(self) -> Iterator[Probe]:
        """The through-readings that show every whole-face mistake, as few as can be."""
        edges = [edge for net in self.by_place() for edge in self.trees[net]]
        sees: dict[ThroughReading, set[FaceRead]] = {edge: set() for edge in edges}
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
            ways = _each_once(MISREAD[mistake.kind] for mistake in told)
            yield self.through_probe(best, ProbeKind.SENTINEL, f"the face of {seen} was not {ways}")

    def _shows(self, edge: ThroughReading, mistake: FaceRead, build: Build) -> bool:
        """Whether a through-reading with one probe on the face shows that it was read wrongly."""
        face = f"{mistake.end}."
        if edge.red.startswith(face) == edge.black.startswith(face):
            return False
        expected = self._expect_through(edge)
        return contradicts(expected, build, (edge.red,), (edge.black,), edge.state)

    # -- apart ------------------------------------------------------------------------------------

    def dangerous(self) -> Iterator[Probe]:
        """Each two nets that are dangerous together, right behind their own through-probes."""
        for rank, _, one, two in self.near:
            if rank >= NO_DANGER or self.drawn.inseparable(one, two):
                continue
            yield from self.through(one)
            yield from self.through(two)
            yield self.apart(one, two)

    def apart(self, one: int, two: int) -> Probe:
        """Two nets read against each other alone."""
        drawn = self.drawn
        self.pairs.add(pair_of(one, two))
        spots = _facing(drawn, self.reached[one], self.reached[two])
        red, black = spots[:1], spots[1:]
        expected = SILENCE
        if two in drawn.tied.get(one, ()):
            expected = expected_apart(drawn.sound, red, black)
            if drawn.sound.diode(red, black) == FORWARD:
                red, black = black, red
        return Probe(
            kind=ProbeKind.APART,
            red=red,
            black=black,
            expectation=expected,
            proves=(f"{drawn.names[one]} apart from {drawn.names[two]}",),
            why=self.why_dangerous(one, two),
        )

    def why_dangerous(self, one: int, two: int) -> str:
        """Why contact between two nets would be dangerous; empty if it is not."""
        reached = self.drawn.reached
        known = self.dangers.between(reached[one], reached[two])
        return known.why if known else ""

    def apart_in_turn(self, wanted: Iterable[tuple[int, int]]) -> Iterator[Probe]:
        """Each of these pairs of nets once.

        A probe stays on one net while the other visits all that it is read against; then, if it can
        be, the last of those keeps its probe.
        """
        partners: dict[int, set[int]] = defaultdict(set)
        for one, two in wanted:
            if (one, two) in self.pairs or self.drawn.inseparable(one, two):
                continue
            partners[one].add(two)
            partners[two].add(one)
        anchor: int | None = None
        while partners:
            if anchor not in partners:
                anchor = max(partners, key=lambda net: (len(partners[net]), -self.place(net)))
            assert anchor is not None
            last = anchor
            for other in sorted(partners.pop(anchor), key=self.place):
                yield self.apart(anchor, other)
                partners[other].discard(anchor)
                if partners[other]:
                    last = other
                else:
                    del partners[other]
            anchor = last


def pair_of(one: int, two: int) -> tuple[int, int]:
    """Two nets, the lower number first."""
    return min(one, two), max(one, two)


def _each_once(words: Iterable[str]) -> str:
    return ", ".join(sorted(set(words)))


def spanning(drawn: Drawn, held: Held) -> Trees:
    """For each net of several points the fewest readings that join them.

    A cavity of the first end stays under one probe, the other visits the rest.  Nothing is read
    over a joint at which a stop stands.
    """
    trees: dict[int, list[ThroughReading]] = {}
    for net, reached in drawn.reached.items():
        edges: list[ThroughReading] = []
        for points in held.groups(reached):
            cavities = (a for a in points if drawn.harness.points[a].kind == "cavity")
            anchor = next(cavities, points[0])
            edges += [ThroughReading(net, anchor, point) for point in points if point != anchor]
        if edges:
            trees[net] = edges
    return trees


def _facing(drawn: Drawn, one: Points, two: Points) -> Points:
    """A point of each net, on one end if they share one, so that the hands stay at one face."""
    points = drawn.harness.points
    at_owner = {points[point].owner: point for point in reversed(two)}
    for point in one:
        owner = points[point].owner
        if owner in at_owner:
            return point, at_owner[owner]
    return one[0], two[0]
