"""A trial: mistakes made in copper, the plan answered, the diagnosis asked until it has no more questions."""

from __future__ import annotations

import gc
import math
import random
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations, islice

from ringout_simulator import Copper, Wrong, wrongs

from wiremap.diagnose.explain import Ask, Explanation
from wiremap.diagnose.judge import Judgement, judge
from wiremap.evidence import fits
from wiremap.graph import Harness
from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.every import every
from wiremap.mistakes.mistake import Mistake
from wiremap.model import (
    Accepts,
    Cavity,
    Circuit,
    Connector,
    End,
    EndKind,
    Entry,
    EntryKind,
    Face,
    Job,
    LookedAt,
    Pinout,
    Span,
    State,
    Wire,
    frozen,
)
from wiremap.model.pinout import Link
from wiremap.naming import Meaning
from wiremap.ringout.finder import Finder
from wiremap.ringout.plan import plan
from wiremap.ringout.probe import Probe, ProbeKind

PARTS = ("lose", "double", "turn")
FACES = ("mirrored", "rotated", "rows-swapped", "by-columns", "snake", "shifted+1", "shifted-1")
Metal = tuple[
    frozenset[frozenset[str]], frozenset[str]
]  # what is one metal; the parts that are not as drawn


@dataclass(frozen=True)
class Meter:
    """A meter in a hand: what its display adds to the true ohms, and up to how many ohms it beeps."""

    off: float
    leads: float
    beeps_below: float

    def reads_otherwise(self, probe: Probe, copper: Copper) -> bool:
        """Whether the display does not do what the plan says it should."""
        if probe.expect == "diode" or probe.diode_range:
            return outside(probe, copper.answer(probe))
        state = probe.state
        true = copper.true_ohms(probe.red, probe.black, state.fuse, state.parted)
        if probe.expect != "ohms":
            return (true < self.beeps_below) != (probe.expect == "beep")
        shown = true * (1 + self.off) + self.leads
        return not (probe.low or 0.0) <= shown <= (math.inf if probe.high is None else probe.high)


# The corners of what is common practice of hand meters: 2 % either way, leads of up to half an ohm, a beeper that trips
# anywhere from 20 to 50 ohm.
METERS = tuple(
    Meter(off, leads, beeps_below)
    for off, leads in ((-0.02, 0.0), (0.02, 0.5))
    for beeps_below in (20.0, 50.0)
)


@dataclass
class Tally:
    """How often what happened, what was not named, and the longest time from readings to verdict, in processor seconds."""

    counts: Counter[str] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)
    slowest: tuple[float, str] = (0.0, "")

    def add(self, other: Tally) -> None:
        """Count another tally in."""
        self.counts += other.counts
        self.missed += other.missed
        self.slowest = max(self.slowest, other.slowest)

    def share(self) -> float:
        """The share of the pairs that show which are among the first three, or of which one is certain."""
        good = self.counts["named first"] + self.counts["among three"]
        good += self.counts["one certain, to be mended first"]
        return good / max(1, good + self.counts["missed"])


@dataclass(frozen=True)
class Bare:
    """A probe that is in no plan."""

    red: tuple[str, ...]
    black: tuple[str, ...]
    expect: str = "beep"
    state: State = field(default_factory=State)
    why: str = ""


def single_wrongs(job: Job, seed: int) -> Iterator[tuple[Wrong, ...]]:
    """Every single mistake, in an order of the seed."""
    yield from ((w,) for w in wrongs(job, random.Random(seed)))


def drawn_pairs(job: Job, seed: int, even: str) -> Iterator[tuple[Wrong, ...]]:
    """Pairs of different mistakes without end, drawn from the seed alone.

    `even` over the `mistakes`: any two of all; over the `kinds`: the kind first (all whole-face mistakes are one kind,
    all parts another), then one of it, so that the few whole faces come up as often as the many touches.
    """
    rnd = random.Random(2026 * 1000 + seed)
    all_ = list(wrongs(job, rnd))
    kinds: dict[str, list[Wrong]] = {}
    for w in all_:
        verb = w[0].split()[0]
        kinds.setdefault("face" if verb in FACES else "part" if verb in PARTS else verb, []).append(
            w
        )
    names = sorted(kinds)
    while True:
        one, two = (
            rnd.sample(all_, 2)
            if even == "mistakes"
            else [rnd.choice(kinds[rnd.choice(names)]) for _ in range(2)]
        )
        if one is not two and not _of_one_part(one, two):
            yield one, two


def _of_one_part(one: Wrong, two: Wrong) -> bool:
    """Whether both are mistakes at the same part: one that is lost cannot be of another value."""
    (verb, *part), (other, *others) = one[0].split(), two[0].split()
    return verb in PARTS and other in PARTS and part == others


class Trial:
    """One job, one plan, one bench of copper for each set of mistakes."""

    def __init__(self, job: Job, method: str, kind: str = "adapter", budget: int = 60) -> None:
        self.job, self.kind, self.budget = job, kind, budget
        self.harness = Harness(job)
        self.plan = plan(self.harness, method, kind)
        self.as_drawn = Drawn(self.harness, kind)
        self.points = set(self.as_drawn.points)
        self.sound = self.copper(())
        self.clean = self.answers(self.sound)
        self.drawn = self.metal(self.sound)

    def copper(self, made: Iterable[Wrong], share: float = 0.5) -> Copper:
        """The adapter with these mistakes in it, made one after another; the machine's loads at a share of their range."""
        copper = Copper(self.job, self.kind != "adapter", share)
        for _, do in made:
            do(copper)
        return copper

    def answers(self, copper: Copper) -> list[Entry]:
        """The whole plan, answered."""
        return [copper.answer(p) for p in self.plan.probes]

    def read_on(self, entries: list[Entry]) -> Judgement:
        """The verdict once all that is asked has been read on the sound build."""
        entries = list(entries)
        for _ in range(self.budget):
            judged = judge(self.harness, entries, planned=self.plan)
            if judged.next is None:
                break
            entries.append(self.answer(self.sound, judged.next))
        return judged

    def metal(self, copper: Copper) -> Metal:
        """As-built metal of the points that count, and the parts that differ."""
        parts = {n for n, r in self.sound.resistors.items() if copper.resistors.get(n) != r}
        parts |= {n for n, d in self.sound.diodes.items() if copper.diodes.get(n) != d}
        return metal(copper, self.points), frozenset(parts)

    def shows(self, made: Sequence[Wrong]) -> bool:
        """Whether a reading of the plan is not what it should be, wherever in their ranges the machine's loads lie."""
        shares = (0.5,) if self.kind == "adapter" else (0.0, 0.5, 1.0)
        coppers = [self.copper(made, share) for share in shares]
        return all(
            any(outside(p, copper.answer(p)) for p in self.plan.probes) for copper in coppers
        )

    def surely_shows(self, made: Sequence[Wrong]) -> bool:
        """The same with any hand meter: what shows only to an exact one is not proven."""
        shares = (0.5,) if self.kind == "adapter" else (0.0, 0.5, 1.0)
        coppers = [self.copper(made, share) for share in shares]
        return all(
            any(meter.reads_otherwise(p, copper) for p in self.plan.probes)
            for copper in coppers
            for meter in METERS
        )

    def stated(self) -> dict[Metal, bool]:
        """What the plan says of each mistake that it models: whether it would show, by the metal that it makes."""
        finder, out = Finder(self.as_drawn, self.plan.probes), {}
        fitted = frozenset((*self.sound.resistors, *self.sound.diodes))
        for fault in every(self.as_drawn):
            part = fitted.intersection(fault.subject)
            metal_ = (groups(fault.on(self.as_drawn.sound), self.points), part)
            out[metal_] = finder.finds(fault)
        return out

    def coverage(self, cases: Iterable[tuple[Wrong, ...]]) -> Tally:
        """Stated coverage beside found coverage: a mistake shows itself exactly when the plan says that it would."""
        stated, tally = self.stated(), Tally()
        for made in cases:
            truth = self.metal(self.copper(made))
            if truth == self.drawn:
                tally.counts["same metal"] += 1
            elif truth not in stated:
                tally.counts["not modelled"] += 1
                tally.missed.append(f"not modelled: {made[0][0]}")
            else:
                tally.counts["shown" if stated[truth] else "hidden"] += 1
                if stated[truth] != self.surely_shows(made):
                    tally.missed.append(f"stated {stated[truth]}: {made[0][0]}")
        return tally

    def name(self, made: tuple[Wrong, ...], tally: Tally) -> None:
        """Make these mistakes, take the readings, answer every question, and see where the truth stands.

        Of a pair of which the plan shows but one, the other may stay unnamed: such pairs are counted apart as `one
        hidden`.  Pairs that no reading shows are counted as `hidden`.
        """
        what = " and ".join(w for w, _ in made)
        copper = self.copper(made)
        truth = self.metal(copper)
        if truth == self.drawn:
            tally.counts["same metal"] += 1
            return
        entries = self.answers(copper)
        judged = self._judged(entries, tally, what)
        if not judged.disagree:
            tally.counts["hidden"] += 1
            return
        asked = 0
        while judged.next is not None and asked < self.budget:
            entries += self.replies(copper, judged.next)
            asked += 1
            judged = self._judged(entries, tally, what)
        right = [truth]
        apart = ""
        if len(made) > 1 and not all(seen := [self.shows((w,)) for w in made]):
            right += [self.metal(self.copper((w,))) for w, s in zip(made, seen, strict=True) if s]
            apart = "one hidden, "
        rank = next((r for r, e in enumerate(judged.explanations) if self.told(e) in right), None)
        if rank is not None and judged.explanations[rank].cost == judged.explanations[0].cost:
            rank = 0  # tied first: as likely as the first
        elif (rank is not None or judged.diagnosis.explanations[8:]) and all(
            self.alike(copper, e.build) for e in judged.explanations[:rank]
        ):
            rank = 0  # tied first: no reading that a hand can take would part them; of very many the last are only counted
            tally.counts["not to be parted"] += 1
        tally.counts["asked"] += asked
        tally.counts[f"verdict {judged.verdict}"] += 1
        if rank is None and self.one_is_certain(made, judged):
            tally.counts["one certain, to be mended first"] += 1
            return
        tally.counts[
            apart + ("named first" if rank == 0 else "among three" if rank in (1, 2) else "missed")
        ] += 1
        if rank not in ((0,) if len(made) == 1 else (0, 1, 2)):
            leading = "; ".join(
                f"{e.cost:.2f} {[(f.kind, *f.subject) for f in e.mistakes]} leaves {len(e.unexplained)}"
                for e in judged.explanations[:3]
            )
            tally.missed.append(
                f"{self.job.title}: {apart}{what}: rank {rank} after {asked}: {leading}"
            )

    def one_is_certain(self, made: tuple[Wrong, ...], judged: Judgement) -> bool:
        """Whether one mistake of several is told as certain, and rightly: the others follow its mending."""
        single = [self.metal(self.copper((wrong,)))[0] for wrong in made]
        told = [
            groups(mistake.on(self.as_drawn.sound), self.points)
            for mistake in judged.diagnosis.certain
        ]
        return len(made) > 1 and any(each in single for each in told)

    def is_sweep(self, ask: Ask) -> bool:
        """Whether one probe goes over several points that no clip holds together."""
        clips = {(p.red, p.black) for p in self.plan.probes if p.kind == ProbeKind.CLIP}
        return len(ask.red) == 1 and len(ask.black) > 1 and (ask.red, ask.black) not in clips

    def replies(self, copper: Copper, ask: Ask) -> list[Entry]:
        """What a person notes of one question: of a sweep which of its points beeped."""
        if not self.is_sweep(ask) or ask.state or ask.expect != "beep":
            return [self.answer(copper, ask)]
        single = [copper.answer(Bare(ask.red, (b,))) for b in ask.black]
        beeped = [e for e in single if e.seen == "beep"]
        quiet = tuple(b for e in single if e.seen != "beep" for b in e.black)
        rest = [replace(single[0], black=quiet, seen="silent")] if quiet else []
        return [*beeped, *rest]

    def answer(self, copper: Copper, ask: Ask) -> Entry:
        """What the copper says to a question, read as the plan would read it if the probe is of the plan."""
        known = next(
            (
                p
                for p in self.plan.probes
                if (p.red, p.black, p.state) == (ask.red, ask.black, ask.state)
            ),
            None,
        )
        bare = Bare(ask.red, ask.black, ask.expect, ask.state)
        return copper.answer(known if known and ask.expect not in ("diode", "ohms") else bare)

    def _judged(self, entries: list[Entry], tally: Tally, what: str) -> Judgement:
        gc.collect(1)  # as the walk does while it waits for an answer
        begun = time.process_time()
        judged = judge(self.harness, entries, planned=self.plan)
        tally.slowest = max(tally.slowest, (time.process_time() - begun, what))
        return judged

    def alike(self, copper: Copper, build: Build) -> bool:
        """Whether no two points within reach read otherwise in copper than in a build, with any net parted outside neither."""
        for state in (State(), *self.as_drawn.parting):
            for a, b in combinations(self.as_drawn.reach, 2):
                if not fits(
                    copper.answer(Bare((a,), (b,), "ohms", state)),
                    build.ohms((a,), (b,), state),
                ):
                    return False
        return True

    def told(self, e: Explanation) -> Metal:
        """The metal that an explanation means, and the parts that it names."""
        return self.meant(e.mistakes, e.build)

    def meant(self, mistakes: Iterable[Mistake], build: Build) -> Metal:
        """The metal of a build with these mistakes, and the parts that they name."""
        fitted = {*self.sound.resistors, *self.sound.diodes}
        parts = (name for mistake in mistakes for name in mistake.subject if name in fitted)
        return groups(build, self.points), frozenset(parts)

    def names(self, cases: Iterable[tuple[Wrong, ...]], limit: int | None = None) -> Tally:
        """Up to `limit` sets of mistakes, one after another."""
        tally = Tally()
        for made in islice(cases, limit):
            self.name(made, tally)
        return tally


def outside(probe: Probe, entry: Entry) -> bool:
    """Whether the display does not do what the plan says it should."""
    if probe.expect != "ohms":
        return entry.seen != probe.expect
    if entry.ohms is None:  # backwards through a diode, in diode range
        return entry.seen != "silent"
    return (
        not (probe.low or 0.0) <= entry.ohms.low <= (math.inf if probe.high is None else probe.high)
    )


def metal(copper: Copper, points: set[str]) -> frozenset[frozenset[str]]:
    """As-built metal, of the points that count."""
    return frozenset(frozenset(g & points) for g in copper.metal() if g & points)


def groups(build: Build, points: set[str]) -> frozenset[frozenset[str]]:
    """The metal of a build, of the points that count."""
    found: dict[int, set[str]] = {}
    for a in points:
        found.setdefault(build.net(a), set()).add(a)
    return frozenset(frozenset(g) for g in found.values())


COILS = {
    "equal": lambda n: (7.5, 7.5),
    "different": lambda n: (5.0 + n / 3, 6.0 + n / 3),
    "bands": lambda n: (2.0, 50.0),
    "high": lambda n: (150.0 + n, 190.0 + n),
}


def loaded_job(
    nets: int,
    ohms: str = "equal",
    *,
    connectors: int = 1,
    unloaded: int = 0,
    across: int = 0,
    returns: int = 0,
) -> Job:
    """A splice with a load behind every wire of the loom, to the chassis.

    Of ten wires so many have none; so many of ten lead to another wire of their connector, so many to its first, as
    coils with one common feed do.
    """
    ends, circuits = {}, []
    for part in range(connectors):
        names = [str(n) for n in range(1, nets // connectors + (part < nets % connectors) + 1)]
        behind = []
        for n, name in enumerate(names):
            if n % 10 >= unloaded:
                other = names[n * 7 % len(names)] if n % 10 < unloaded + across else "chassis"
                other = names[0] if n % 10 >= 10 - returns else other
                if other != name:
                    behind.append(Link(a=name, b=other, ohms=Span(*COILS[ohms](n + part))))
        for side, kind in (("machine", EndKind.CUT_TAIL), ("unit", EndKind.PIGTAIL)):
            end = _lamps(f"{side}{part}", names, behind if side == "machine" else ())
            ends[end.name] = replace(end, kind=kind, side=side)
        circuits += [
            Circuit(id=f"c{part}.{name}", join=(f"machine{part}.{name}", f"unit{part}.{name}"))
            for name in names
        ]
    return Job(title="loaded", path="loaded.yaml", ends=frozen(ends), circuits=tuple(circuits))


def _lamps(name: str, cavities: Sequence[str], behind: Sequence[Link]) -> End:
    """An end of two rows."""
    half = math.ceil(len(cavities) / 2)
    face = Face(LookedAt.MATING, (tuple(cavities[:half]), tuple(cavities[half:])))
    filled = {
        n: Cavity(name=n, reading=Meaning("lamp-feed"), accepts=Accepts(), wire=Wire("0.5 RD", 0.5))
        for n in cavities
    }
    pinout = Pinout(
        title=name,
        path=f"{name}.yaml",
        cavities=frozen(filled),
        connector=Connector(face=face),
        behind=tuple(behind),
    )
    return End(name=name, pinout=pinout, kind=EndKind.PIGTAIL, side="unit")


def wide_job(nets: int) -> Job:
    """Two equal faces joined straight through, `nets` circuits, rows of 20."""
    names = [str(i) for i in range(1, nets + 1)]
    rows = tuple(tuple(names[i : i + 20]) for i in range(0, nets, 20))
    kinds = (
        "permanent-supply",
        "power-ground",
        "analogue-input",
        "digital-input",
        "high-side-drive",
        *["unknown"] * 15,
    )
    cavities = {
        n: Cavity(
            name=n, reading=Meaning(kinds[int(n) % 20]), accepts=Accepts(), wire=Wire("0.5 RD", 0.5)
        )
        for n in names
    }
    ends = {
        name: End(
            name=name,
            pinout=Pinout(
                title=name,
                path=f"{name}.yaml",
                cavities=frozen(cavities),
                connector=Connector(face=Face(LookedAt.MATING, rows)),
            ),
            kind=EndKind.PIGTAIL,
            side=side,
        )
        for name, side in (("old", "machine"), ("new", "unit"))
    }
    return Job(
        title="wide",
        path="wide.yaml",
        ends=frozen(ends),
        circuits=tuple(Circuit(id=f"c{n}", join=(f"old.{n}", f"new.{n}")) for n in names),
    )


def entry(red: str, black: str, seen: str) -> Entry:
    """A plain reading."""
    return Entry(
        kind=EntryKind.PROBE, by="T", date="2026-03-02", red=(red,), black=(black,), seen=seen
    )
