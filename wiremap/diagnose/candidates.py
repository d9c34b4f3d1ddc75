"""Which one more mistake could make a reading what it is, of a build that does not yet explain it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from wiremap.diagnose.weigh import WHOLE, Base, Evidence, bits
from wiremap.evidence import BEEP_SURE_OHMS, OPEN_OHMS, is_silent
from wiremap.evidence.readings import SHORT_OHMS
from wiremap.mistakes import faults as make
from wiremap.mistakes.build import PARTED
from wiremap.mistakes.faults import Fault
from wiremap.ringout.readings import owner

COMB_UP_TO = 400  # pairs of a comb that are each supposed to touch; a longer one is halved first


class Suppose:
    """Makes candidates; what does not depend on the build is worked out once."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence, self.bench = evidence, evidence.bench
        self._opens: dict[int, tuple[Fault, ...]] = {}
        self._faces: dict[str, tuple[Fault, ...]] = {}
        self._extras = tuple(make.extras(self.bench))
        self.holes: dict[str, list[str]] = {}
        for a in self.bench.points:
            if self.bench.harness.points[a].end is not None:
                self.holes.setdefault(owner(a), []).append(a)
        self.joined = {
            j: None for j, members in self.bench.drawn_members.items() if len(members) > 1
        }

    def candidates(self, base: Base, k: int) -> Iterator[Fault]:
        """The mistakes that could make reading k what it is."""
        t, build = self.evidence.readings[k], base.build
        for end in dict.fromkeys(owner(a) for a in (*t.red, *t.black)):
            yield from self.faces(base, end)
        reds, blacks = {build.net(a) for a in t.red}, {build.net(a) for a in t.black}
        linked = build.linked
        tied = bool(reds & linked and blacks & linked) or t.entry.ohms is not None or t.diode_range
        if reds & blacks:
            if (ohms := t.entry.ohms) is not None and ohms.high < OPEN_OHMS:
                for n in sorted(reds & blacks):
                    yield from make.poor(self.bench, n, ohms.low)
            for a in (*t.red, *t.black):
                if build.net(a) in reds & blacks:
                    yield from self.parting(base, a)
        elif not is_silent(t.entry):
            pairs = self.unheard(k)
            if len(pairs) <= COMB_UP_TO:
                for a, b in pairs:
                    yield from self.joining(base, a, b, bool(t.state))
        if tied:
            yield from self._through_parts(base, k)

    def unheard(self, k: int) -> list[tuple[str, str]]:
        """The pairs of points of a reading between which silence was not yet heard."""
        t = self.evidence.readings[k]
        silent = self.evidence.silent
        return [(a, b) for a, b in product(t.red, t.black) if frozenset((a, b)) not in silent]

    def faces(self, base: Base, end: str) -> Iterator[Fault]:
        """The whole face of an end read wrongly, unless it was supposed so already."""
        if end in self.bench.harness.job.ends and not any(
            f.kind in WHOLE and f.subject[0] == end for f in base.faults
        ):
            if end not in self._faces:
                self._faces[end] = tuple(make.faces(self.bench, end))
            yield from self._faces[end]

    def parting(self, base: Base, a: str) -> Iterator[Fault]:
        """A point that is not in the net where this build has it: open, exchanged, or joined elsewhere."""
        build, wire = base.build, base.build.wire(a)
        if wire is not None:
            yield from self.opens(base, build.joint(wire))
        if a in base.sound:
            return
        for q in self.holes.get(owner(a), ()):
            if q != a and q not in base.sound and build.raw(q) != build.raw(a):
                yield make.swap(self.bench, a, q) or make.exchanged(self.bench, a, q)
        if wire is not None and self.bench.group[wire] in self.joined:
            for j in self.joined:
                if j != build.joint(wire):
                    yield make.misjoined(self.bench, wire, j)

    def opens(self, base: Base, net: int) -> Iterator[Fault]:
        """One conductor of a net as built interrupted."""
        if net < PARTED and net not in self._opens:
            self._opens[net] = tuple(make.opens(self.bench, net))
        build = base.build
        moved = {w for w, n in build.joints.items() if n == net}
        for fault in self._opens.get(net, ()):
            points: tuple[str, ...] = fault.act[1]  # type: ignore[assignment]
            here = tuple(w for w in points if build.joint(w) == net)
            if here == points:
                yield fault
            elif here:
                yield make.parted(self.bench, here)
            other = tuple(
                w
                for w in self.bench.drawn_members[net]
                if w not in points and build.joint(w) == net
            )
            if base.faults and here and other:  # what came to the net may hang on either side
                yield make.parted(self.bench, other)
        for w in sorted(moved, key=self.bench.rank.__getitem__):
            yield make.parted(self.bench, (w,))

    def joining(self, base: Base, a: str, b: str, apart: bool = False) -> Iterator[Fault]:
        """Two points that read as one: their nets touch, a contact is exchanged, a wire is joined elsewhere.

        Nets that meet outside the harness read as one anyway, unless they were parted there for this reading.
        """
        build, bench = base.build, self.bench
        i, j = build.raw(a), build.raw(b)
        if i != j and not (not apart and i < PARTED and j < PARTED and bench.inseparable(i, j)):
            yield make.touch(bench, i, j)
        for p, other in ((a, b), (b, a)):
            net = build.net(other)
            for q in base.members.get(net, ()):
                if q != p and owner(q) == owner(p) and q in self.holes.get(owner(p), ()):
                    yield make.swap(bench, p, q) or make.exchanged(bench, p, q)
            wire, into = build.wire(p), build.raw(other)
            if (
                wire is not None
                and into in self.joined
                and bench.group[wire] in self.joined
                and build.joint(wire) != into
            ):
                yield make.misjoined(bench, wire, into)

    def _through_parts(self, base: Base, k: int) -> Iterator[Fault]:
        """What changes ohms on a way through parts: the parts themselves, opens and strays of the nets on the way, touches."""
        t, bench, build = self.evidence.readings[k], self.bench, base.build
        yield from self._extras
        nets = {bench.group[a] for a in (*t.red, *t.black)} | {
            build.raw(a) for a in (*t.red, *t.black)
        }
        way = sorted(
            {m for n in nets for m in bench.tied.get(n, ())}
            | {bench.group[x] for x in self._poles(nets)}
        )
        alone = len(t.red) == len(t.black) == 1
        if (
            alone
            and not t.state
            and t.entry.ohms is not None
            and SHORT_OHMS < t.entry.ohms.low == t.entry.ohms.high
        ):
            yield from make.values(build, t.red[0], t.black[0], t.entry.ohms.low)
        low = t.entry.ohms is not None and t.entry.ohms.low < BEEP_SURE_OHMS
        for n in way:
            yield from self.opens(base, n)
            for p in bench.drawn_members.get(n, ()):
                if len(way) <= 8 or low:
                    yield from self.parting(base, p)
            for m in sorted({*bench.members} - {n}) if alone else ():
                if not bench.inseparable(n, m):
                    yield make.touch(bench, n, m)

    def behind_parts(self, failing: int) -> Iterator[Fault]:
        """Every modelled mistake on a net that parts or loads connect with a failed reading, far off as it may lie."""
        bench, readings = self.bench, self.evidence.readings
        here = {
            bench.group[a] for k in bits(failing) for a in (*readings[k].red, *readings[k].black)
        }
        nets = {m for n in here for m in bench.tied.get(n, ())}
        if nets:
            for fault in make.every(bench):
                if not nets.isdisjoint(fault.nets(bench)):
                    yield fault

    def _poles(self, nets: set[int]) -> list[str]:
        """The legs of diodes on these nets."""
        group = self.bench.group
        return [
            x
            for t in self.bench.ties
            if t.diode and {group[t.a], group[t.b]} & nets
            for x in (t.a, t.b)
        ]
