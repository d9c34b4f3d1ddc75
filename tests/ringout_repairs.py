"""A trial in time: two mistakes, the first mended at any moment, a third made by the repair."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ringout_simulator import Copper
from ringout_trial import FACES, Trial, Wrong, drawn_pairs, outside, single_wrongs

from wiremap.diagnose.judge import Judge, Judgement
from wiremap.evidence import face_neighbours
from wiremap.model import Address, Entry, EntryKind, Job

BOTH = "both named"
MOMENTS = ("before", "among the plan", "among the questions", "when it is told")


def places(job: Job, what: str) -> tuple[str, ...]:
    """The contacts at which a mistake was made: what a person names who mends it."""
    verb, *names = what.split()
    if verb in FACES:
        return tuple(f"{names[0]}.{n}" for n in job.ends[names[0]].pinout.cavities)
    found = []
    for name in names:
        circuit = next((c for c in job.circuits if c.id == name), None)
        if circuit is not None:
            found.append(circuit.join[0])
        elif name in job.extras:
            found += job.extras[name].legs
        else:
            found.append(name)
    return tuple(found)


def at_hand(job: Job, points: Sequence[str]) -> set[str]:
    """The contacts that a hand at these comes near: the same circuits, and beside them on the faces."""
    near = set(points)
    for end in job.ends.values():
        for one, two in face_neighbours(end.pinout):
            pair = {f"{end.name}.{one}", f"{end.name}.{two}"}
            if pair & set(points):
                near |= pair
    for c in job.circuits:
        if near.intersection(c.join):
            near.update(c.join)
    return near


@dataclass
class InTime:
    """One bench at which somebody reads, mends and reads on."""

    trial: Trial
    rnd: random.Random
    wrongs: list[Wrong]
    budget: int = 400
    entries: list[Entry] = field(default_factory=list)
    asked: Counter[str] = field(default_factory=Counter)
    third: Wrong | None = None

    def __post_init__(self) -> None:
        self.copper = self.trial.copper(self.wrongs)
        self.judge = Judge(self.trial.harness, self.trial.plan)

    def mend(self, wrong: Wrong, *, harm: bool = True) -> None:
        """Mend one mistake, say so, and perhaps make another within reach of the hand."""
        job = self.trial.job
        points = places(job, wrong[0])
        self.wrongs.remove(wrong)
        if harm:
            near = at_hand(job, points)
            made = [
                w
                for (w,) in single_wrongs(job, self.rnd.randrange(1000))
                if near.issuperset(places(job, w[0])) and w[0] != wrong[0]
            ]
            if made:
                self.third = made[0]
                self.wrongs.append(made[0])
        self.copper = self.trial.copper(self.wrongs)
        where = tuple(Address.read(p) for p in points if p in self.trial.harness.points)
        self.entries.append(Entry(kind=EntryKind.MENDED, by="T", points=where))

    def run(self, moment: str, *, harm: bool) -> str:
        """What it comes to: pass, false pass, told (nothing further to ask), or unfinished."""
        first = self.wrongs[0]
        probes = self.trial.plan.probes
        at = 0 if moment == "before" else self.rnd.randrange(len(probes) + 1)
        if moment not in MOMENTS[:2]:
            at = len(probes) + 1
        for n, probe in enumerate(probes):
            if n == at:
                self.mend(first, harm=harm)
            self.entries.append(self.copper.answer(probe))
        if at == len(probes):
            self.mend(first, harm=harm)
        questions = self.rnd.randrange(12) if moment == "among the questions" else -1
        for n in range(self.budget):
            if n == questions and first in self.wrongs:
                self.mend(first, harm=harm)
            judged = self.judge.over(self.entries)
            if judged.verdict == "pass":
                return "pass" if self.is_sound(self.copper) else "false pass"
            if judged.next is not None:
                self.asked["questions" if judged.disagree else "again"] += 1
                self.entries += self.trial.replies(self.copper, judged.next)
                continue
            diagnosis = judged.diagnosis
            sure = diagnosis.certain or tuple(m for e in diagnosis.fits for m in e.mistakes)
            looked = [p for m in sure for p in self._points(m)]
            found = self._found(looked or [p for t in judged.disagree for p in t.points])
            if found is None:
                return "accused falsely"
            self.asked["mended"] += 1
            self.mend(found, harm=harm and found is first)
        return "unfinished"

    def _points(self, mistake: object) -> set[str]:
        nets = mistake.nets(self.trial.as_drawn)  # type: ignore[attr-defined]
        return {a for a, n in self.trial.as_drawn.net_of.items() if n in nets}

    def _found(self, points: Sequence[str]) -> Wrong | None:
        """A mistake that is really there, where somebody was sent to look."""
        for wrong in self.wrongs:
            if set(places(self.trial.job, wrong[0])) & set(points):
                return wrong
        return None

    def is_sound(self, copper: Copper) -> bool:
        """Whether the whole plan, read anew, would be as expected."""
        return not any(outside(p, copper.answer(p)) for p in self.trial.plan.probes)


def repairs(trial: Trial, seed: int, count: int) -> Iterator[tuple[str, str]]:
    """What drawn pairs of mistakes come to, mended at drawn moments: each with what was made, one at a time."""
    rnd = random.Random(seed)
    pairs = drawn_pairs(trial.job, seed, "kinds")
    for n in range(count):
        moment = MOMENTS[n % len(MOMENTS)]
        pair = list(next(pairs))
        what = " and ".join(w[0] for w in pair)
        case = InTime(trial, random.Random(rnd.random()), pair)
        came = case.run(moment, harm=bool(n % 3))
        third = f", made by the repair: {case.third[0]}" if case.third else ""
        yield came, f"{trial.job.title}, {trial.plan.method}: {what}, mended {moment}{third}"


def trials(trial: Trial, seed: int, count: int) -> Counter[str]:
    """How often what; all that were no plain pass with what was made."""
    out: Counter[str] = Counter()
    for came, what in repairs(trial, seed, count):
        out[came] += 1
        if came != "pass":
            out[f"{came}: {what}"] += 1
    return out


def in_turn(trial: Trial, pair: Sequence[Wrong]) -> str:
    """`both named` if of two mistakes one is named, mended and read again, and then the other; else what was missed."""
    judge = Judge(trial.harness, trial.plan)
    left, entries = list(pair), trial.answers(trial.copper(pair))
    while left:
        copper = trial.copper(left)
        judged = _asked_out(trial, judge, entries, left)
        told = [e for e in judged.explanations if not e.unexplained]
        whole = [trial.told(e) for e in told if e.cost == told[0].cost]
        if trial.metal(copper) in whole:
            return BOTH
        named = judged.diagnosis.certain or (told[0].mistakes if told else ())
        metals = [trial.meant((m,), m.on(trial.as_drawn.sound)) for m in named]
        found = next((w for w in left if trial.metal(trial.copper((w,))) in metals), None)
        if found is None:
            alike = told and trial.alike(copper, told[0].build)
            return BOTH if alike else f"missed with {len(left)} in"
        left.remove(found)
        points = [Address.read(p) for p in places(trial.job, found[0]) if p in trial.harness.points]
        entries.append(Entry(kind=EntryKind.MENDED, by="T", points=tuple(points)))
    return BOTH


def _asked_out(trial: Trial, judge: Judge, entries: list[Entry], left: list[Wrong]) -> Judgement:
    """Everything that is asked, answered, until something is told or all is read: a face mended makes all stale."""
    copper = trial.copper(left)
    for _ in range(2 * len(trial.plan.probes) + trial.budget):
        judged = judge.over(entries)
        if judged.next is None:
            break
        entries += trial.replies(copper, judged.next)
    return judged
