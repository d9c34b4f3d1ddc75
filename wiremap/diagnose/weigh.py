"""Builds weighed against the readings: which readings a build leaves unexplained, and how unlikely it is."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import cached_property

from wiremap.evidence import fits, is_silent
from wiremap.evidence.nearby import face_neighbours
from wiremap.evidence.readings import says
from wiremap.mistakes.build import SHORT, Bench, Build
from wiremap.mistakes.faults import Fault
from wiremap.model import OPEN
from wiremap.ringout.readings import Taken, consistent

WHOLE = ("mirrored", "rotated", "shifted", "rows-swapped", "by-columns", "snake")
COSTS = {
    "pair-crossed": 0.2,
    "open": 0.3,
    "extra-missing": 0.3,
    "extra-wrong": 0.5,
    "exchange": 0.6,
    "bridge": 0.6,
    "misplaced": 0.8,
    "load-other": 0.9,
    "poor-joint": 0.4,
}


def bits(mask: int) -> Iterator[int]:
    """The places of the ones of a number, lowest first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


class Evidence:
    """The readings of one ring-out.  Sets of readings are numbers: bit k stands for reading k."""

    def __init__(self, bench: Bench, readings: Sequence[Taken]) -> None:
        self.bench, self.readings = bench, list(readings)
        self.failing = sum(1 << k for k, t in enumerate(self.readings) if t.agrees is False)
        self.at_point: dict[str, int] = {}
        for k, t in enumerate(self.readings):
            for a in (*t.red, *t.black):
                self.at_point[a] = self.at_point.get(a, 0) | 1 << k
        self.said = [
            says(t.entry) for t in self.readings
        ]  # the true ohms that each reading leaves possible
        self.plain = [self._plain(t) for t in self.readings]
        self.by_pair: dict[
            tuple[str, str], int
        ] = {}  # the plain readings between two points, either way round
        self.short = self.open = 0  # the plain readings that a short, that an open would fit
        for k, plain in enumerate(self.plain):
            if plain is not None:
                a, b, short, open_ = plain
                self.by_pair[a, b] = self.by_pair[b, a] = self.by_pair.get((a, b), 0) | 1 << k
                self.short |= short << k
                self.open |= open_ << k
        self.solved = 0  # readings for which ohms were worked out, the dear part of the work
        self.crowded = sum(1 << k for k, plain in enumerate(self.plain) if plain is None)
        self.beside = {
            frozenset((f"{e.name}.{x}", f"{e.name}.{y}"))
            for e in bench.harness.job.ends.values()
            for x, y in face_neighbours(e.pinout)
        }

    @staticmethod
    def _plain(t: Taken) -> tuple[str, str, bool, bool] | None:
        """Two points, and whether a short or an open would fit; None for combs, fuses and diodes."""
        if (
            len(t.red) != 1
            or len(t.black) != 1
            or t.state
            or (t.diode_range and t.entry.ohms is None)
        ):
            return None
        return t.red[0], t.black[0], fits(t.entry, SHORT), fits(t.entry, OPEN)

    @cached_property
    def _read(self) -> dict[tuple[frozenset[str], str], bool]:
        """The pairs of points that were read against each other alone, with the state; whether no more is to be had from them."""
        alone = [t for t in self.readings if len(t.red) == len(t.black) == 1]
        return {
            (frozenset((t.red[0], t.black[0])), t.state): t.entry.ohms is not None
            or t.entry.seen == "unsure"
            or t.times > 2
            for t in alone
        }

    @cached_property
    def _sides(self) -> frozenset[tuple[frozenset[str], frozenset[str]]]:
        """The two sides of every reading, either way round."""
        return frozenset(
            s
            for t in self.readings
            for one, two in ((frozenset(t.red), frozenset(t.black)),)
            for s in ((one, two), (two, one))
        )

    def asked(self, red: Iterable[str], black: Iterable[str]) -> bool:
        """Whether these combs were read against each other, whatever came of it."""
        return (frozenset(red), frozenset(black)) in self._sides

    def heard(self, a: str, b: str, state: str = "") -> bool:
        """Whether two points were read against each other alone."""
        return (frozenset((a, b)), state) in self._read

    def settled(self, a: str, b: str, state: str = "", unit: str = "ohms") -> bool:
        """Whether another reading between them, of this unit, tells nothing new: a beeper's silence leaves the ohms open."""
        figured = self._read.get((frozenset((a, b)), state))
        return figured is not None and (figured or unit == "beep")

    @cached_property
    def silent(self) -> frozenset[frozenset[str]]:
        """The pairs of points between which nothing was heard, in combs too."""
        return frozenset(
            p
            for t in self.readings
            if is_silent(t.entry) and not t.state and not t.diode_range
            for p in _pairs(t)
        )

    @cached_property
    def _unsure(self) -> frozenset[frozenset[str]]:
        return frozenset(p for t in self.readings if t.entry.seen == "unsure" for p in _pairs(t))

    def tried(self, a: str, b: str) -> bool:
        """Whether two points were read alone, were silent in a comb, or nobody was sure of them."""
        pair = frozenset((a, b))
        return pair in self.silent or pair in self._unsure or self.heard(a, b)

    def check(self, build: Build, left: int, mask: int, most: int = 10_000) -> int:
        """What a build leaves unexplained, if outside of `mask` it is as in `left`; no longer looked at beyond `most`."""
        moved, merged, group, linked = build.moved, build.merged, self.bench.group, build.linked
        plains, readings = self.plain, self.readings
        out = left & ~mask
        count = out.bit_count()
        while mask and count <= most:
            low = mask & -mask
            mask ^= low
            k = low.bit_length() - 1
            if (plain := plains[k]) is None:
                fit = consistent(build, readings[k])
            else:
                a, b, short, open_ = plain
                i = moved[a] if a in moved else group[a]
                j = moved[b] if b in moved else group[b]
                if merged:
                    i, j = merged.get(i, i), merged.get(j, j)
                if i == j:
                    fit = short
                elif i not in linked or j not in linked:
                    fit = open_
                else:
                    self.solved += 1
                    fit = (said := self.said[k]) is None or said.overlaps(build.between({i}, {j}))
            if not fit:
                out |= low
                count += 1
        return out

    def at(self, points: Iterable[str]) -> int:
        """The readings at these points."""
        mask, at_point = 0, self.at_point
        for a in points:
            if a in at_point:
                mask |= at_point[a]
        return mask

    def tied(self, build: Build) -> frozenset[int]:
        """The nets that a part touches."""
        return build.linked | {build.net(x) for x in self._poles} if self._poles else build.linked

    @cached_property
    def _poles(self) -> tuple[str, ...]:
        return tuple(x for t in self.bench.ties if t.diode for x in (t.a, t.b))

    def all_left(self, build: Build) -> int:
        """The readings that a build leaves unexplained, each looked at."""
        return self.check(build, 0, (1 << len(self.readings)) - 1)

    def cost(self, fault: Fault) -> float:
        """How unlikely a mistake is: whole-face mistakes cost least if more than one reading failed, far-off contact most."""
        if fault.kind in WHOLE:
            return 1.0 if self.failing & (self.failing - 1) else 2.9
        near = fault.act[0] == "swap" and frozenset(fault.act[1:]) in self.beside
        if fault.act[0] == "touch":
            one, two = (self.bench.drawn_members.get(int(str(n)), ()) for n in fault.act[1:])
            near = any(frozenset((a, b)) in self.beside for a in one for b in two)
        return (
            2.0
            + COSTS[fault.kind]
            - (0.35 if near else 0.0)
            + (0.3 if fault.act[0] in ("move", "value") else 0.0)
        )

    def cost_of(self, faults: Iterable[Fault]) -> tuple[float, tuple[str, ...]]:
        """A set of mistakes by likelihood, then by name."""
        faults = tuple(faults)
        return round(sum(map(self.cost, faults)), 6), tuple(s for f in faults for s in f.subject)


def _pairs(t: Taken) -> Iterator[frozenset[str]]:
    return (frozenset((a, b)) for a in t.red for b in t.black)


class Base:
    """A build to which one more mistake is added: who sits in which net, and what is left to explain."""

    def __init__(
        self, evidence: Evidence, faults: tuple[Fault, ...], build: Build, left: int
    ) -> None:
        self.evidence, self.faults, self.build, self.left = evidence, faults, build, left

    @cached_property
    def members(self) -> dict[int, list[str]]:
        """The points of each net as built."""
        found: dict[int, list[str]] = {}
        for a in self.evidence.bench.points:
            found.setdefault(self.build.net(a), []).append(a)
        return found

    @cached_property
    def sound(self) -> frozenset[str]:
        """Points that beep as this build would have them beep."""
        found: set[str] = set()
        for k, plain in enumerate(self.evidence.plain):
            if plain is not None and plain[2] and not plain[3] and not self.left >> k & 1:
                found.update(plain[:2])
        return frozenset(found)

    def points(self, fault: Fault) -> Collection[str]:
        """The points whose net one more mistake changes."""
        verb, args = fault.act[0], fault.act[1:]
        if verb == "part":
            return [p for w in args[0] if (p := self.build.seat(w))]  # type: ignore[attr-defined]
        if verb == "move":
            return [p] if (p := self.build.seat(str(args[0]))) else []
        if verb == "touch":
            roots = {self.build.merged.get(n, n) for n in args}  # type: ignore[call-overload]
            return [a for n in roots for a in self.members.get(n, ())]
        return fault.touches(self.evidence.bench)

    def add(self, fault: Fault, most: int = 10_000) -> tuple[Build, int]:
        """The build with this mistake too, and what it leaves unexplained (if that is no more than `most`)."""
        after = fault.on(self.build)
        points = self.points(fault)
        mask = self._between(points) if fault.act[0] == "touch" else self.evidence.at(points)
        parts = self.evidence.tied(after)
        if after.ties is not self.build.ties or (
            (self.parts or parts)
            and any(self.build.net(a) in self.parts or after.net(a) in parts for a in points)
        ):
            mask |= self.evidence.at(points)
            rest = self.at_parts
            for n in parts - self.parts:
                rest |= self.evidence.at(self.members.get(n, ()))
            rest &= ~mask
            left = self._check(
                after, points, mask, self.left & ~rest, most
            )  # what lies in the rest is not yet held against it
            return after, left if left.bit_count() > most else self.evidence.check(
                after, left, rest, most
            )
        return after, self._check(after, points, mask, self.left, most)

    def _check(self, after: Build, points: Collection[str], mask: int, left: int, most: int) -> int:
        """What a build leaves unexplained in which only these points changed their net; all readings of `mask` are theirs.

        Readings between two points of no linked net are settled all at once: those within a net as built must be able
        to be shorts, the others opens.
        """
        evidence, changed, linked = self.evidence, frozenset(points), after.linked
        nets: dict[int, list[str]] = {}
        for p in changed:
            nets.setdefault(after.net(p), []).append(p)
        same, slow, by_pair = 0, evidence.crowded, evidence.by_pair
        for n, mine in nets.items():
            here = [q for q in self.members.get(n, ()) if q not in changed] + mine
            for p in mine:
                for q in here:
                    if (p, q) in by_pair:
                        same |= by_pair[p, q]
            if n in linked:
                slow |= evidence.at(mine)
        fast = mask & ~slow
        out = (left & ~mask) | (fast & ~((same & evidence.short) | (~same & evidence.open)))
        slow &= mask
        return evidence.check(after, out, slow, most) if slow and out.bit_count() <= most else out

    @cached_property
    def parts(self) -> frozenset[int]:
        """The nets that a part touches."""
        return self.evidence.tied(self.build)

    @cached_property
    def at_parts(self) -> int:
        """The readings at those nets."""
        return self.evidence.at(a for n in self.parts for a in self.members.get(n, ()))

    def _between(self, points: Collection[str]) -> int:
        """The readings that two nets can change by touching: those from one to the other, and combs with both."""
        nets: dict[int, list[str]] = {}
        for a in points:
            nets.setdefault(self.build.net(a), []).append(a)
        if len(nets) < 2:
            return 0
        one, two = nets.values()
        mask = self.evidence.at(one) & self.evidence.at(two) & self.evidence.crowded
        for a in one:
            for b in two:
                mask |= self.evidence.by_pair.get((a, b), 0)
        return mask
