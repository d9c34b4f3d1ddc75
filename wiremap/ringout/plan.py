"""The fewest probes that prove a harness, in the order in which they settle the most harm.

Counts: T - m through-probes (T points within reach, m nets with fuses out), then apart-probes by method: `near` (side by
side on a face, or dangerous together), `rest` (m - 1), `all` (m(m-1)/2), `ganged` (combs on both probes,
ceil(log2 m)).  `near` and `all` put the dangerous pairs right behind the through-probes of their nets; the combs of
`rest` and `ganged` hold those pairs already.

Order: each probe that need not move stays where it is.  `moves` counts how often a probe is set, `moves_bound` is what
no order can beat: one new place per reading, and both for the first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

from wiremap.evidence import SILENT_SURE_OHMS, danger, kind_of, near_pairs
from wiremap.graph import Harness
from wiremap.mistakes.build import APART, IN, THROUGH_OHMS, Bench, Expectation, apart, contradicts
from wiremap.mistakes.faults import Fault, faces
from wiremap.ringout.coverage import Coverage, cover
from wiremap.ringout.gaps import Gap, gaps

METHODS = ("near", "rest", "all", "ganged")
KINDS = ("adapter", "splice-in")


@dataclass(frozen=True, slots=True)
class Probe:
    """One reading to take: a point or comb under each probe and what the meter should do."""

    n: int
    kind: str  # sentinel, through, apart, band
    red: tuple[str, ...]
    black: tuple[str, ...]
    expect: str  # beep, silent, ohms, diode
    low: float | None = None
    high: float | None = None
    proves: tuple[str, ...] = ()
    why: str = ""
    state: str = ""  # for this reading alone: `F1 in`, or `guard-out parted` from what it meets outside the harness

    @property
    def expectation(self) -> Expectation:
        """What the display should do."""
        return Expectation(self.expect, self.low, self.high)

    @property
    def fuse(self) -> str:
        """The fuse that is put in for this reading alone."""
        return self._of_state(IN)

    @property
    def parted(self) -> str:
        """The net that is parted from what it meets outside the harness, for this reading alone."""
        return self._of_state(APART)

    def _of_state(self, what: str) -> str:
        name, _, last = self.state.rpartition(" ")
        return name if last == what else ""

    @property
    def setting(self) -> str:
        """What to do before this reading, and to undo after it; empty if nothing."""
        return setting(self.state)

    def as_dict(self) -> dict[str, Any]:
        """The probe as plain data."""
        out: dict[str, Any] = {
            "n": self.n,
            "kind": self.kind,
            "red": list(self.red),
            "black": list(self.black),
            "expect": self.expect,
            "low": self.low,
            "high": self.high,
            "proves": list(self.proves),
        }
        more = {"why": self.why, "fuse": self.fuse, "parted": self.parted}
        return out | {key: value for key, value in more.items() if value}


@dataclass(frozen=True, slots=True)
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
            "order": {"objective": OBJECTIVE, "moves": self.moves, "bound": self.moves_bound},
        }


def setting(state: str) -> str:
    """The deed that a reading's state asks for, in words."""
    name, _, what = state.rpartition(" ")
    if what == IN:
        return f"put {name} in for this reading, take it out again after"
    return (
        f"part {name} from what it meets outside the harness for this reading, join it again after"
        if what == APART
        else ""
    )


OBJECTIVE = "dangerous nets first, then as few settings of a probe as can be"


def plan(harness: Harness, method: str = "near", kind: str | None = None) -> Plan:
    """The ring-out of a settled job; raises ValueError for a method or kind that does not exist."""
    kind = kind or kind_of(harness)
    if method not in METHODS or kind not in KINDS:
        raise ValueError(
            f"method is one of {', '.join(METHODS)}, kind one of {', '.join(KINDS)} (got {method!r}, {kind!r})"
        )
    bench = Bench(harness, kind)
    probes = _numbered(_still(list(_Planner(bench, method).probes())))
    coverage = cover(bench, probes)
    return Plan(
        kind,
        method,
        probes,
        coverage,
        tuple(gaps(bench, probes, coverage)),
        len(bench.reach),
        len(bench.members),
        moves(probes),
        len(probes) + 1 if probes else 0,
    )


def sentinels(harness: Harness, end: str, kind: str = "adapter") -> list[str]:
    """Joined contacts of an end whose metal changes under every whole-face mistake of that end."""
    bench = Bench(harness, kind)
    mistakes = [dict(f.act[1]) for f in faces(bench, end)]  # type: ignore[call-overload]
    own = [
        a
        for a in bench.points
        if harness.points[a].owner == end and len(bench.drawn_members[bench.group[a]]) > 1
    ]
    return [
        a
        for a in own
        if mistakes
        and all((q := m.get(a, a)) is None or bench.group[q] != bench.group[a] for m in mistakes)
    ]


class _Planner:
    """Collects the probes of one plan in order; each pair of points or nets once."""

    def __init__(self, bench: Bench, method: str) -> None:
        self.bench, self.method = bench, method
        self.harness = bench.harness
        self.trees = {
            i: _tree(bench, points) for i, points in bench.members.items() if len(points) > 1
        }
        self.rung: set[int] = set()
        self.done: set[tuple[str, str]] = set()
        self.pairs: set[tuple[int, int]] = set()

    def probes(self) -> Iterator[Probe]:
        """Sentinels, dangerous nets, the other through-probes, the other apart-probes, bands."""
        yield from self._sentinels()
        near = near_pairs(self.harness, self.bench.kind)
        if self.method in ("near", "all"):
            for rank, _, i, j in near:
                if rank < 9 and not self.bench.inseparable(i, j):
                    yield from self._through(i)
                    yield from self._through(j)
                    yield self._apart(i, j)
        for i in self._by_place():
            yield from self._through(i)
        if self.method in ("near", "all"):
            rest = (
                [(i, j) for _, _, i, j in near]
                if self.method == "near"
                else combinations(self.bench.members, 2)
            )
            yield from self._walk(
                {(i, j) for i, j in rest if not self.bench.inseparable(i, j)} - self.pairs
            )
        else:
            yield from self._combs()
        yield from self._bands()
        yield from self._met_outside()

    def _by_place(self) -> list[int]:
        return sorted(self.trees, key=lambda i: self.bench.rank[self.bench.members[i][0]])

    # -- through ----------------------------------------------------------------------------------

    def _expect_through(self, i: int) -> Expectation:
        others = self.bench.tied.get(i, frozenset()) - {i}
        here = self.bench.members[i][0]
        for j in sorted(others):
            there = self.bench.members.get(j)
            if there and self.bench.drawn.ohms((here,), (there[0],)).low < SILENT_SURE_OHMS:
                return Expectation("ohms", 0.0, THROUGH_OHMS)
        return Expectation("beep")

    def _through(self, i: int, kind: str = "through") -> Iterator[Probe]:
        if i in self.rung or i not in self.trees:
            return
        self.rung.add(i)
        for red, black in self.trees[i]:
            if (red, black) not in self.done:
                yield self._one(i, red, black, kind, (f"{red} reaches {black}",))

    def _one(self, i: int, red: str, black: str, kind: str, proves: tuple[str, ...]) -> Probe:
        self.done.add((red, black))
        e = self._expect_through(i)
        why = "another path would beep too: read the ohms" if e.expect == "ohms" else ""
        return Probe(0, kind, (red,), (black,), e.expect, e.low, e.high, proves, why)

    def _sentinels(self) -> Iterator[Probe]:
        mistakes = {
            (end, n): f
            for end in self.harness.job.ends
            for n, f in enumerate(faces(self.bench, end))
        }
        builds = {k: f.on(self.bench.drawn) for k, f in mistakes.items()}
        edges = [(i, red, black) for i in self._by_place() for red, black in self.trees[i]]
        sees = {
            e: {
                k
                for k, b in builds.items()
                if _touched(mistakes[k], e)
                and contradicts(self._expect_through(e[0]), b, (e[1],), (e[2],))
            }
            for e in edges
        }
        left = set().union(*sees.values()) if sees else set()
        while left:
            best = max(edges, key=lambda e: (len(sees[e] & left), -edges.index(e)))
            told = {mistakes[k] for k in sees[best] & left}
            left -= sees[best]
            faces_seen = ", ".join(sorted({f.subject[0] for f in told}))
            proves = (
                f"{best[1]} reaches {best[2]}",
                f"face of {faces_seen} not read {_kinds(told)}",
            )
            yield self._one(best[0], best[1], best[2], "sentinel", proves)

    # -- apart ------------------------------------------------------------------------------------

    def _apart(self, i: int, j: int) -> Probe:
        self.pairs.add((min(i, j), max(i, j)))
        a, b = self.bench.members[i], self.bench.members[j]
        red, black = _facing(self.bench, a, b)
        e = apart(self.bench.drawn, (red,), (black,))
        known = danger(self.harness, a, b)
        forward = self.bench.drawn.diode((red,), (black,)) == "forward"
        if forward:
            red, black = black, red
        return Probe(
            0,
            "apart",
            (red,),
            (black,),
            e.expect,
            e.low,
            e.high,
            (f"{self.bench.names[i]} apart from {self.bench.names[j]}",),
            known[1] if known else "",
        )

    def _walk(self, pairs: set[tuple[int, int]]) -> Iterator[Probe]:
        """One probe stays on a net while the other visits its partners; then the last partner keeps its probe."""
        near: dict[int, set[int]] = {}
        for i, j in pairs:
            near.setdefault(i, set()).add(j)
            near.setdefault(j, set()).add(i)
        place = {i: self.bench.rank[p[0]] for i, p in self.bench.members.items()}
        hub: int | None = None
        while near:
            if hub is None or hub not in near:
                hub = max(near, key=lambda n: (len(near[n]), -place[n]))
            last = hub
            for other in sorted(near.pop(hub), key=place.__getitem__):
                yield self._apart(hub, other)
                near[other].discard(hub)
                if not near[other]:
                    del near[other]
                else:
                    last = other
            hub = last

    def _combs(self) -> Iterator[Probe]:
        nets = self._separable()
        if self.method == "rest":
            ranked = sorted(
                nets, key=lambda i: (self._harm(i), self.bench.rank[self.bench.members[i][0]])
            )
            for k, i in enumerate(ranked[:-1]):
                yield self._comb([i], ranked[k + 1 :])
            return
        code = _codes(self.bench, nets)
        for bit in range((len(nets) - 1).bit_length()):
            sides = (
                [i for i in nets if code[i] >> bit & 1],
                [i for i in nets if not code[i] >> bit & 1],
            )
            yield self._comb(*sides)

    def _separable(self) -> list[int]:
        """One net of each group that reads as one anyway."""
        kept: list[int] = []
        for i in self.bench.members:
            if not any(self.bench.inseparable(i, j) for j in kept):
                kept.append(i)
        return kept

    def _harm(self, i: int) -> int:
        found = [
            d[0]
            for j in self.bench.members
            if j != i and (d := danger(self.harness, self.bench.members[i], self.bench.members[j]))
        ]
        return min(found, default=9)

    def _comb(self, one: list[int], two: list[int]) -> Probe:
        red, black = (tuple(self.bench.members[i][0] for i in side) for side in (one, two))
        e = apart(self.bench.drawn, red, black)
        text = f"{len(one)} net{'s' * (len(one) != 1)} apart from {len(two)} others at once"
        return Probe(0, "apart", red, black, e.expect, e.low, e.high, (text,))

    # -- bands ------------------------------------------------------------------------------------

    def _bands(self) -> Iterator[Probe]:
        drawn, members = self.bench.drawn, self.bench.members
        for tie in self.bench.ties:
            i, j = self.bench.group[tie.a], self.bench.group[tie.b]
            if i not in members or j not in members or i == j or self.bench.inseparable(i, j):
                continue
            red, black = members[i][0], members[j][0]
            name = tie.name or f"{tie.a} to {tie.b}"
            if tie.diode:
                yield Probe(
                    0,
                    "band",
                    (red,),
                    (black,),
                    "diode",
                    proves=(f"{name} there, anode at {red}",),
                    why="diode range",
                )
                if (min(i, j), max(i, j)) not in self.pairs:
                    e = apart(drawn, (black,), (red,))
                    yield Probe(
                        0,
                        "band",
                        (black,),
                        (red,),
                        e.expect,
                        e.low,
                        e.high,
                        (f"{name} blocks backwards",),
                        "diode range",
                    )
                    self.pairs.add((min(i, j), max(i, j)))
            elif (min(i, j), max(i, j)) not in self.pairs:
                self.pairs.add((min(i, j), max(i, j)))
                e = apart(drawn, (red,), (black,))
                yield Probe(
                    0,
                    "band",
                    (red,),
                    (black,),
                    e.expect,
                    e.low,
                    e.high,
                    (f"{name} there and of its value",),
                )
        for extra in self.harness.job.extras.values():
            if extra.kind == "fuse" and all(leg in self.bench.reach for leg in extra.legs):
                yield Probe(
                    0,
                    "band",
                    extra.legs[:1],
                    extra.legs[1:],
                    "beep",
                    proves=(f"{extra.name} sound and seated",),
                    state=f"{extra.name} {IN}",
                )

    # -- what meets outside the harness -----------------------------------------------------------

    def _met_outside(self) -> Iterator[Probe]:
        """Each of the nets that meet outside parted there and read against one of the others, every face contact of both.

        A touch inside shows only so, and a contact in the wrong one of them.
        """
        bench = self.bench
        for stays, *others in bench.meeting:
            for i in others:
                state = f"{bench.names[i]} {APART}"
                red, black = (_at_faces(bench, bench.members[n]) for n in (i, stays))
                e = apart(bench.drawn, red, black, state)
                known = danger(self.harness, bench.members[i], bench.members[stays])
                why = known[1] if known else ""
                yield Probe(
                    0,
                    "apart",
                    red,
                    black,
                    e.expect,
                    e.low,
                    e.high,
                    (f"{bench.names[i]} apart from {bench.names[stays]} in the harness",),
                    why,
                    state,
                )


def _touched(fault: Fault, edge: tuple[int, str, str]) -> bool:
    return edge[1].startswith(f"{fault.subject[0]}.") != edge[2].startswith(f"{fault.subject[0]}.")


def _kinds(faults: Iterable[Fault]) -> str:
    return ", ".join(sorted({f.kind for f in faults}))


def _tree(bench: Bench, points: tuple[str, ...]) -> list[tuple[str, str]]:
    """A spanning tree: a cavity of the first end stays under one probe, the other visits the rest."""
    hub = next((a for a in points if bench.harness.points[a].kind == "cavity"), points[0])
    return [(hub, a) for a in points if a != hub]


def _facing(bench: Bench, a: tuple[str, ...], b: tuple[str, ...]) -> tuple[str, str]:
    """A point of each net, on one end if they share one, so that the hands stay at one face."""
    owner = {bench.harness.points[x].owner: x for x in reversed(b)}
    for x in a:
        if bench.harness.points[x].owner in owner:
            return x, owner[bench.harness.points[x].owner]
    return a[0], b[0]


def _at_faces(bench: Bench, points: tuple[str, ...]) -> tuple[str, ...]:
    """The points of a net on unmated faces, all of them if there are none: what is parted last is read when joints may be closed."""
    return tuple(a for a in points if bench.harness.reach(a) == "face") or points


def _codes(bench: Bench, nets: list[int]) -> Mapping[int, int]:
    """A binary number for each net; nets that a tie connects differ in as few bits as can be."""
    free = list(range(len(nets)))
    code: dict[int, int] = {}
    for i in sorted(nets, key=lambda n: (n not in bench.tied, min(bench.tied.get(n, {n})), n)):
        kin = [code[j] for j in sorted(bench.tied.get(i, ())) if j in code]
        best = min(free, key=lambda c: (sum((c ^ k).bit_count() for k in kin), c))
        free.remove(best)
        code[i] = best
    return code


def _still(probes: list[Probe]) -> list[Probe]:
    """Turn each reading so that a probe which can stay does stay; a diode's reading keeps its direction."""
    out: list[Probe] = []
    for p in probes:
        if out and p.expect != "diode" and p.why != "diode range" and p.kind != "band":
            stay = (p.red == out[-1].red) + (p.black == out[-1].black)
            turned = (p.black == out[-1].red) + (p.red == out[-1].black)
            if turned > stay:
                p = replace(p, red=p.black, black=p.red)
        out.append(p)
    return out


def moves(probes: Iterable[Probe]) -> int:
    """How often a probe or comb is set in this order."""
    count, red, black = 0, None, None
    for p in probes:
        count += (p.red != red) + (p.black != black)
        red, black = p.red, p.black
    return count


def _numbered(probes: list[Probe]) -> tuple[Probe, ...]:
    return tuple(replace(p, n=i) for i, p in enumerate(probes, 1))
