"""From readings that disagree to the mistake: the fewest mistakes that fit, and the probe that tells them apart.

Whole-face mistakes come first.  Failed readings that one mistake could explain together form an island; for each island
every set of one or two mistakes is tried, three if nothing smaller fits and it has at most 12 nets.  Sets that give the
same metal count as one.  What rests on one reading alone is asked again, not believed.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from typing import Any

from wiremap.evidence import BEEP_SURE_OHMS, SILENT_SURE_OHMS
from wiremap.evidence.nearby import face_neighbours
from wiremap.ringout import faults as make
from wiremap.ringout.expect import Bench, Build
from wiremap.ringout.faults import Fault
from wiremap.ringout.readings import Taken, consistent, owner

WHOLE = ("mirrored", "rotated", "shifted", "rows-swapped", "by-columns", "snake")
SHOWN = 8  # explanations that are told
KEPT = 40  # explanations that the next probe is chosen to tell apart
TRIED = 2_500  # sets tried for one island before it is given up
TRIED_BESIDES = 600  # sets of two tried although one mistake fits
FEW = 6  # failed readings up to which each is left out once to see whether it alone misleads
ROUGH = 3  # good readings that one of several overlapping mistakes may break by itself
MANY = 1_500  # candidates that are weighed against each other
THREE_UP_TO = 12  # nets of an island for which three mistakes are tried
COSTS = {
    "pair-crossed": 0.2,
    "open": 0.3,
    "extra-missing": 0.3,
    "extra-wrong": 0.5,
    "exchange": 0.6,
    "bridge": 0.6,
    "misplaced": 0.8,
}


@dataclass(frozen=True, slots=True)
class Explanation:
    """Mistakes that together fit the readings, what they leave unexplained, and how likely they are (lower is likelier)."""

    faults: tuple[Fault, ...]
    unexplained: tuple[Taken, ...]
    cost: float
    build: Build

    def as_json(self) -> dict[str, Any]:
        """The explanation as plain data."""
        return {
            "faults": [{"kind": f.kind, "subject": list(f.subject)} for f in self.faults],
            "unexplained": [t.told for t in self.unexplained],
            "words": words(self.faults),
        }


@dataclass(frozen=True, slots=True)
class Ask:
    """A probe to take next, and why."""

    red: tuple[str, ...]
    black: tuple[str, ...]
    why: str
    again: bool = False


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Explanations best first, readings to be taken again, the next telling probe, and the map if nothing fits."""

    explanations: tuple[Explanation, ...]
    suspect: tuple[Taken, ...]
    ask: Ask | None
    as_built: tuple[tuple[str, ...], ...] = ()


def words(faults: Sequence[Fault]) -> str:
    """Mistakes in words."""
    return " and ".join(_words(f) for f in faults)


def _words(f: Fault) -> str:
    s = f.subject
    if f.kind == "open":
        return f"circuit {s[0]} is open" + (f" towards {', '.join(s[1:])}" if len(s) > 1 else "")
    told = {
        "bridge": "{0} and {1} touch",
        "exchange": "{0} and {1} are exchanged",
        "pair-crossed": "the pair is crossed at {0} and {1}",
        "misplaced": "the wire of {0} is in {1}",
        "mirrored": "the face of {0} was read mirrored",
        "rotated": "the face of {0} was read turned by half a turn",
        "rows-swapped": "the rows of {0} are exchanged",
        "by-columns": "the face of {0} was counted by columns",
        "snake": "every second row of {0} was counted backwards",
        "shifted": "the face of {0} is off by one",
        "extra-missing": "{0} is missing",
        "extra-wrong": "{0} has another value or is the wrong way round",
    }
    return told[f.kind].format(*s)


class Detective:
    """Weighs sets of mistakes against the readings."""

    def __init__(self, bench: Bench, readings: Sequence[Taken]) -> None:
        self.bench = bench
        self.readings = list(readings)
        self.failing = [k for k, t in enumerate(self.readings) if t.agrees is False]
        self.at_point: dict[str, set[int]] = {}
        self.at_net: dict[int, set[int]] = {}
        self.sound: set[str] = set()
        for k, t in enumerate(self.readings):
            for a in (*t.red, *t.black):
                self.at_point.setdefault(a, set()).add(k)
                self.at_net.setdefault(bench.group[a], set()).add(k)
            if t.agrees and t.entry.seen == "beep" and len(t.red) == len(t.black) == 1:
                self.sound.update((t.red[0], t.black[0]))
        self.beside = {
            frozenset((f"{e.name}.{x}", f"{e.name}.{y}"))
            for e in bench.harness.job.ends.values()
            for x, y in face_neighbours(e.pinout)
        }
        self._broken: dict[Fault, frozenset[int]] = {}
        self.variants: list[Explanation] = []  # all that fits the first island in question, the others at their best

    # -- weighing ---------------------------------------------------------------------------------

    def affected(self, fault: Fault) -> set[int]:
        """The readings that a mistake can change."""
        touched = fault.touches(self.bench)
        found: set[int] = set()
        for a in touched:
            found |= self.at_point.get(a, set())
        nets = {self.bench.group[a] for a in touched} | (
            {int(str(n)) for n in fault.act[1:]} if fault.act[0] == "touch" else set()
        )
        if fault.act[0] == "move":
            nets.add(int(str(fault.act[2])))
        for n in nets:
            if fault.act[0] == "touch":
                found |= self.at_net.get(n, set())
            for m in self.bench.tied.get(n, ()):
                found |= self.at_net.get(m, set())
        return found

    def broken(self, faults: tuple[Fault, ...]) -> frozenset[int]:
        """The readings that this set of mistakes leaves unexplained."""
        if len(faults) == 1 and faults[0] in self._broken:
            return self._broken[faults[0]]
        build = make.made(self.bench, faults)
        looked = set().union(*(self.affected(f) for f in faults))
        out = frozenset({k for k in looked if not consistent(build, self.readings[k])} | (set(self.failing) - looked))
        if len(faults) == 1:
            self._broken[faults[0]] = out
        return out

    def cost(self, fault: Fault) -> float:
        """How unlikely a mistake is: whole-face mistakes cost least, far-off contact most."""
        if fault.kind in WHOLE:
            return 1.0
        near = fault.act[0] == "swap" and frozenset(fault.act[1:]) in self.beside
        if fault.act[0] == "touch":
            one, two = (self.bench.drawn_members[int(str(n))] for n in fault.act[1:])
            near = any(frozenset((a, b)) in self.beside for a in one for b in two)
        return 2.0 + COSTS[fault.kind] - (0.35 if near else 0.0) + (0.3 if fault.act[0] == "move" else 0.0)

    # -- candidates -------------------------------------------------------------------------------

    def candidates(self, k: int) -> Iterator[Fault]:
        """The mistakes that could make one failed reading what it is."""
        t, bench = self.readings[k], self.bench
        for end in dict.fromkeys(owner(a) for a in (*t.red, *t.black)):
            if end in bench.harness.job.ends:
                yield from make.faces(bench, end)
        reds, blacks = {bench.group[a] for a in t.red}, {bench.group[a] for a in t.black}
        tied = {m for n in reds | blacks for m in bench.tied.get(n, ())}
        if reds == blacks and len(reds) == 1:
            yield from make.opens(bench, next(iter(reds)))
            yield from self._strays((*t.red, *t.black))
        else:
            for i, j in product(sorted(reds), sorted(blacks)):
                if i != j and not bench.inseparable(i, j):
                    yield make.touch(bench, i, j)
            if len(t.red) == 1:
                for b in t.black:
                    yield from self._met(t.red[0], b)
            if len(t.black) == 1:
                for a in t.red:
                    yield from self._met(t.black[0], a)
        if tied:
            yield from make.extras(bench)
            for n in sorted(tied):
                yield from make.opens(bench, n)
                yield from self._strays(bench.drawn_members.get(n, ()))
                for m in sorted({*bench.members} - {n}) if len(t.red) == len(t.black) == 1 else ():
                    if not bench.inseparable(n, m):
                        yield make.touch(bench, n, m)

    def _strays(self, points: Iterable[str]) -> Iterator[Fault]:
        """Each of the points exchanged with another of its end, or joined into another circuit."""
        bench = self.bench
        for p in points:
            if p in self.sound:
                continue
            for q in bench.points:
                ours = q != p and q not in self.sound and owner(q) == owner(p) and bench.harness.points[q].end is not None
                if ours and (fault := make.swap(bench, p, q)) is not None:
                    yield fault
            if len(bench.drawn_members[bench.group[p]]) > 1:
                for j, members in bench.drawn_members.items():
                    if j != bench.group[p] and len(members) > 1:
                        yield make.misjoined(bench, p, j)

    def _met(self, p: str, other: str) -> Iterator[Fault]:
        """A point that beeps to a strange one: exchanged with a contact of that net, or joined into it."""
        bench, net = self.bench, self.bench.group[other]
        for q in bench.drawn_members[net]:
            ours = owner(q) == owner(p) and bench.harness.points[q].end is not None
            if ours and (fault := make.swap(bench, p, q)) is not None:
                yield fault
        if len(bench.drawn_members[bench.group[p]]) > 1 and len(bench.drawn_members[net]) > 1:
            yield make.misjoined(bench, p, net)

    # -- sets -------------------------------------------------------------------------------------

    def fixers(self, rough: bool = False) -> dict[int, list[Fault]]:
        """For each failed reading the mistakes that explain it, likeliest first.

        With `rough` also those that would break a few good readings, as one of two overlapping mistakes does; they
        stand last.
        """
        pool = dict.fromkeys(f for k in self.failing for f in self.candidates(k))
        failing = frozenset(self.failing)
        ranked = []
        for fault in pool:
            broken = self.broken((fault,))
            harm = len(broken - failing)
            if failing - broken and harm <= (ROUGH if rough else 0):
                ranked.append((harm > 0, harm - len(failing - broken) if harm else 0, self.cost(fault), fault))
        ranked.sort(key=lambda r: r[:3])
        out: dict[int, list[Fault]] = {k: [] for k in self.failing}
        for *_, fault in ranked[:MANY]:
            for k in failing - self.broken((fault,)):
                out[k].append(fault)
        return out

    def islands(self, fixers: dict[int, list[Fault]]) -> list[list[int]]:
        """Failed readings in groups that a mistake, or a net, ties together."""
        parent = {k: k for k in self.failing}

        def root(k: int) -> int:
            while parent[k] != k:
                k = parent[k]
            return k

        first: dict[object, int] = {}
        for k, found in fixers.items():
            nets = {self.bench.group[a] for a in (*self.readings[k].red, *self.readings[k].black)}
            keys: list[object] = [*found, *(nets if len(nets) <= 2 else ())]
            for key in keys:
                parent[root(k)] = root(first.setdefault(key, k))
        groups: dict[int, list[int]] = {}
        for k in self.failing:
            groups.setdefault(root(k), []).append(k)
        return list(groups.values())

    def is_through(self, k: int) -> bool:
        """Whether a reading lies within one net as drawn: its failure is always a mistake of its own."""
        t = self.readings[k]
        return len({self.bench.group[a] for a in (*t.red, *t.black)}) == 1

    def solve(self, island: list[int], fixers: dict[int, list[Fault]]) -> list[tuple[Fault, ...]]:
        """The sets of one, two or three mistakes that explain an island and break nothing, likeliest first."""
        mine = frozenset(island)
        others = frozenset(self.failing) - mine
        found: dict[frozenset[frozenset[str]], tuple[Fault, ...]] = {}
        tries, most = 0, TRIED

        def grow(chosen: tuple[Fault, ...], left: frozenset[int], depth: int) -> None:
            nonlocal tries
            pivot = min(left & mine, key=lambda k: (not self.is_through(k), len(fixers[k]), k)) if left & mine else None
            if pivot is None:
                return
            for fault in fixers[pivot]:
                if fault in chosen or tries > most:
                    continue
                tries += 1
                trial = (*chosen, fault)
                broken = self.broken(trial) - others
                if not broken:
                    self._keep(found, trial)
                elif depth > 1 and len(trial) < 3:
                    grow(trial, broken, depth - 1)

        grow((), mine, 1)
        if not any(f.kind in WHOLE for s in found.values() for f in s):
            tries, most = 0, TRIED_BESIDES if found else TRIED
            grow((), mine, 2)
        nets = {self.bench.group[a] for k in island for a in (*self.readings[k].red, *self.readings[k].black)}
        if not found and len(nets) <= THREE_UP_TO:
            tries, most = 0, TRIED
            grow((), mine, 3)
        return sorted(found.values(), key=self._cost_of)

    def _cost_of(self, faults: tuple[Fault, ...]) -> tuple[float, tuple[str, ...]]:
        return sum(map(self.cost, faults)), tuple(s for f in faults for s in f.subject)

    def _keep(self, found: dict[frozenset[frozenset[str]], tuple[Fault, ...]], trial: tuple[Fault, ...]) -> None:
        metal = make.made(self.bench, trial).signature()
        if metal not in found or self._cost_of(trial) < self._cost_of(found[metal]):
            found[metal] = trial

    def explain(self) -> list[Explanation]:
        """The best explanations of all failed readings together."""
        if not self.failing:
            return []
        fixers = self.fixers()
        parts = [self.solve(island, fixers)[:KEPT] for island in self.islands(fixers)]
        if not all(parts):
            fixers = self.fixers(rough=True)
            parts = [self.solve(island, fixers)[:KEPT] for island in self.islands(fixers)]
        if not all(parts):
            parts = [p for p in parts if p]
        if not parts:
            return []
        sets = sorted(
            (tuple(f for s in combo for f in s) for combo in product(*(p[: _share(len(parts))] for p in parts))),
            key=self._cost_of,
        )[:KEPT]
        first = next((i for i, p in enumerate(parts) if len(p) > 1), None)
        if first is not None:
            rest = tuple(f for i, p in enumerate(parts) if i != first for f in p[0])
            self.variants = [self._told((*s, *rest)) for s in parts[first]]
        out = [self._told(s) for s in sets]
        return sorted(out, key=lambda e: (len(e.unexplained), e.cost))

    def _told(self, faults: tuple[Fault, ...]) -> Explanation:
        left = tuple(self.readings[k] for k in sorted(self.broken(faults)))
        return Explanation(faults, left, self._cost_of(faults)[0], make.made(self.bench, faults))


def _share(parts: int) -> int:
    return KEPT if parts == 1 else 4 if parts <= 3 else 2 if parts <= 6 else 1


def diagnose(bench: Bench, readings: Sequence[Taken]) -> Diagnosis:
    """Explain the readings that disagree with what is drawn."""
    detective = Detective(bench, readings)
    if not detective.failing:
        return Diagnosis((), (), None)
    found = detective.explain()
    suspect = _suspects(detective, found)
    whole = [e for e in found if not e.unexplained]
    if not whole and len(detective.failing) <= FEW:
        lone, better = _leave_one_out(bench, readings)
        if lone is not None:
            suspect, found = (lone,), better
    if suspect:
        t = suspect[0]
        ask: Ask | None = Ask(t.red, t.black, "one reading alone speaks for this: touch both points again", True)
    else:
        ask = _telling(detective, detective.variants or found) or _loose_ends(detective, found)
    fits = any(not e.unexplained for e in found)
    return Diagnosis(tuple(found[:SHOWN]), suspect, ask, () if fits else as_built(readings))


def _suspects(detective: Detective, found: list[Explanation]) -> tuple[Taken, ...]:
    """Failed readings on which a mistake of the best explanation rests alone, taken only once."""
    if not found:
        return tuple(t for t in detective.readings if t.agrees is False and t.times < 2)[:1]
    best, failing = found[0], set(detective.failing)
    out = []
    for fault in best.faults:
        rest = tuple(f for f in best.faults if f is not fault)
        alone = failing & (set(detective.broken(rest)) if rest else failing)
        if len(alone) == 1 and (t := detective.readings[next(iter(alone))]).times < 2:
            out.append(t)
    out += [t for t in best.unexplained if t.times < 2 and t not in out]
    return tuple(out)


def _leave_one_out(bench: Bench, readings: Sequence[Taken]) -> tuple[Taken | None, list[Explanation]]:
    """The reading without which the fewest mistakes explain all others."""
    best: tuple[float, Taken | None, list[Explanation]] = (math.inf, None, [])
    failing = [t for t in readings if t.agrees is False]
    nets = {bench.group[a] for t in failing for a in (*t.red, *t.black)}
    near = [
        t
        for t in readings
        if t.agrees is not False and {bench.group[a] for a in (*t.red, *t.black)} <= nets and len(t.red) == len(t.black) == 1
    ]
    for t in [*failing, *near][:12]:
        if t.times > 1:
            continue
        found = Detective(bench, [x for x in readings if x is not t]).explain()
        cost = 0.0 if len(failing) == 1 and t in failing else min((e.cost for e in found if not e.unexplained), default=math.inf)
        if cost < best[0]:
            best = (cost, t, found)
    return best[1], best[2]


def as_built(readings: Sequence[Taken]) -> tuple[tuple[str, ...], ...]:
    """The groups of points that have beeped together, as a plain map."""
    joined: dict[str, str] = {}

    def root(a: str) -> str:
        while (up := joined.setdefault(a, a)) != a:
            a = up
        return a

    for t in readings:
        if t.entry.seen == "beep" and len(t.red) == len(t.black) == 1:
            joined[root(t.red[0])] = root(t.black[0])
    groups: dict[str, list[str]] = {}
    for a in joined:
        groups.setdefault(root(a), []).append(a)
    return tuple(sorted(tuple(sorted(g)) for g in groups.values()))


# -- the next probe -------------------------------------------------------------------------------


def _telling(detective: Detective, found: list[Explanation]) -> Ask | None:
    """The probe that splits the leading explanations best; with one left, the one that proves it."""
    if not found:
        return None
    leading = [e for e in found if len(e.unexplained) == len(found[0].unexplained)]
    builds = [e.build for e in leading]
    weights = [math.exp(-e.cost) for e in leading]
    if len(builds) == 1:
        builds, weights = [builds[0], detective.bench.drawn], [1.0, 0.5]
    read = {frozenset((t.red[0], t.black[0])) for t in detective.readings if len(t.red) == len(t.black) == 1}
    rank = detective.bench.rank
    pool = _pool(detective, leading)
    best: tuple[float, int, int, tuple[str, ...], tuple[str, ...]] | None = None
    for a, b in combinations(pool, 2):
        if frozenset((a, b)) not in read:
            heaviest = _split(builds, weights, (a,), (b,))
            tried = (heaviest, int(owner(a) == owner(b)), rank[a] * 10_000 + rank[b], (a,), (b,))
            best = tried if best is None or tried < best else best
    if len(builds) > 3:
        for red, black in (*_sweeps(builds, weights, pool), *_combs(detective, leading, weights)):
            key = (_split(builds, weights, red, black) + 1e-6, 2, rank[red[0]], red, black)
            best = key if best is None or key < best else best
    if best is None or best[0] >= sum(weights) * (1 - 1e-9):
        return None
    return Ask(best[3], best[4], _reason(builds[0], best[3], best[4], leading[0].faults))


def _reason(build: Build, red: tuple[str, ...], black: tuple[str, ...], faults: Sequence[Fault]) -> str:
    first = _shown(build, red, black)
    does = {"beep": "beep", "silent": "stay silent"}.get(first, f"read {first}")
    sweep = "sweep over them one after another; " if len(black) > 1 else ""
    return f"{sweep}it should {does} if {words(faults)}"


def _split(builds: list[Build], weights: list[float], red: tuple[str, ...], black: tuple[str, ...]) -> float:
    """The weight of the heaviest group of builds that this probe cannot tell apart."""
    classes: dict[str, float] = {}
    for build, weight in zip(builds, weights, strict=True):
        shown = _shown(build, red, black)
        classes[shown] = classes.get(shown, 0.0) + weight
    return max(classes.values())


def _sweeps(builds: list[Build], weights: list[float], pool: list[str]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """One probe held still while the other sweeps over about half of where the builds say that it could beep."""
    half, group = sum(weights) / 2, builds[0].bench.group
    for a in pool[:24]:
        chosen: list[str] = []
        weight = 0.0
        for build, share in zip(builds, weights, strict=True):
            net = build.net(a)
            met = next((b for b in pool if group[b] != group[a] and build.net(b) == net), None)
            if met is not None and weight + share <= half + 1e-9:
                weight += share
                if met not in chosen:
                    chosen.append(met)
        if len(chosen) > 1:
            yield (a,), tuple(chosen)


def _combs(
    detective: Detective, leading: list[Explanation], weights: list[float]
) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Both probes on combs: one side each of about half of the touching pairs that are in question."""
    members, half = detective.bench.members, sum(weights) / 2
    red: dict[str, None] = {}
    black: dict[str, None] = {}
    weight = 0.0
    for e, share in zip(leading, weights, strict=False):
        pairs = [f.act[1:] for f in e.faults if f.act[0] == "touch"]
        if len(pairs) == 1 and weight + share <= half + 1e-9:
            i, j = (int(str(n)) for n in pairs[0])
            a, b = members.get(i, ("",))[0], members.get(j, ("",))[0]
            if a in black or b in red:
                a, b = b, a
            if a and b and a not in black and b not in red:
                red[a] = black[b] = None
                weight += share
    if len(red) > 1 or len(black) > 1:
        yield tuple(red), tuple(black)


def _loose_ends(detective: Detective, found: list[Explanation]) -> Ask | None:
    """A sweep from each fragment of a failed net over all others: nobody has yet looked where else it goes."""
    if not found or found[0].unexplained:
        return None
    bench, build = detective.bench, found[0].build
    swept = {t.red[0] for t in detective.readings if len(t.red) == 1 and len(t.black) > 4}
    failed = dict.fromkeys(
        bench.group[a] for k in detective.failing if detective.is_through(k) for a in detective.readings[k].red
    )
    for net in failed:
        fragments: dict[int, str] = {}
        for a in bench.members.get(net, ()):
            fragments.setdefault(build.net(a), a)
        for here, a in fragments.items():
            others: dict[int, str] = {}
            for group, points in bench.members.items():
                for b in points if group != net else ():
                    there = build.net(b)
                    if there != here and math.isinf(build.ohms((a,), (b,)).low):
                        others.setdefault(there, b)
            if a not in swept and len(others) > 4:
                return Ask((a,), tuple(others.values()), "sweep over them one after another: all must stay silent")
    return None


def _pool(detective: Detective, leading: list[Explanation]) -> list[str]:
    """Points whose readings could tell the explanations apart."""
    bench = detective.bench
    points: dict[str, None] = {}
    for e in leading:
        for f in e.faults:
            for n in dict.fromkeys(n for a in f.touches(bench)[:24] for n in (bench.group[a], e.build.raw(a))):
                for b in bench.members.get(n, ())[:6]:
                    points[b] = None
    return sorted(list(points)[: 80 if len(leading) < 12 else 44], key=bench.rank.__getitem__)


def _shown(build: Build, red: tuple[str, ...], black: tuple[str, ...]) -> str:
    span = build.ohms(red, black)
    if span.high <= BEEP_SURE_OHMS:
        return "beep"
    if math.isinf(span.low) or span.low >= SILENT_SURE_OHMS * 1e4:
        return "silent"
    return f"{span.low:.3g} to {span.high:.3g} ohm"
