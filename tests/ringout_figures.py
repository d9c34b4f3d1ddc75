"""Figures of the diagnosis, on a drawn sample: `python tests/ringout_figures.py [PART ...]`, one process, by hand.

Parts: `singles` (named first, and how many further questions), `walks` (how long a question takes), `doubles` (both
named after one was mended), `passes` (no pass with a mistake in, after drawn repairs), `alarms` (none on sound builds
with noise and leads).
"""

from __future__ import annotations

import gc
import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path

from demo_jobs import settled_demo

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent)]

from ringout_repairs import BOTH, in_turn, repairs  # noqa: E402
from ringout_simulator import random_job, spliced_job, wrongs  # noqa: E402
from ringout_trial import FACES, PARTS, Tally, Trial, Wrong, drawn_pairs, single_wrongs  # noqa: E402

from wiremap.cli.main import OBJECTS_BETWEEN_SWEEPS  # noqa: E402
from wiremap.diagnose.judge import Judge  # noqa: E402
from wiremap.model import Entry, Job, Span  # noqa: E402
from wiremap.ringout import held  # noqa: E402

METHODS = ("clips", "near")
NOISE, LEADS_OHMS = 0.03, 0.5
SINGLES, PAIRS, REPAIRS, WALKS = 10, 40, 150, 200


def sign_every_stop() -> None:
    """Jobs that are joined at random are rung out as if somebody stood to every joint of them."""
    held.held_points = lambda harness: {}  # type: ignore[assignment]
    held.held_parts = lambda harness: frozenset()  # type: ignore[assignment]


def jobs() -> Iterator[tuple[Job, str]]:
    """The demo on its machine and six adapters of up to 60 cavities."""
    yield settled_demo(), "splice-in"
    for seed in range(6):
        yield random_job(seed), "adapter"


def benches() -> Iterator[Trial]:
    """Each job by either method."""
    for job, kind in jobs():
        for method in METHODS:
            yield Trial(job, method, kind)


def drawn_singles(job: Job, seed: int) -> list[tuple[Wrong, ...]]:
    """Three whole faces, two parts and a share of all others."""
    rare = [(w,) for w in wrongs(job, random.Random(1))]
    faces = [made for made in rare if made[0][0].split()[0] in FACES]
    parts = [made for made in rare if made[0][0].split()[0] in PARTS]
    rnd = random.Random(seed)
    rare = [*rnd.sample(faces, min(3, len(faces))), *rnd.sample(parts, min(2, len(parts)))]
    return [*rare, *islice(single_wrongs(job, seed), SINGLES)]


def singles() -> None:
    """Named first or tied with what no reading parts; further questions."""
    total, asked = Tally(), []
    for trial in benches():
        for made in drawn_singles(trial.job, 7):
            tally = Tally()
            trial.name(made, tally)
            if tally.counts["same metal"] or tally.counts["hidden"]:
                total.counts["hidden or no fault"] += 1
                continue
            asked.append(tally.counts["asked"])
            if asked[-1] > 15:
                print(
                    f"    {asked[-1]} questions: {trial.job.title}, {trial.plan.method}: {made[0][0]}"
                )
            total.add(tally)
    named = total.counts["named first"]
    print(f"singles: {named} of {len(asked)} named first ({named / len(asked):.1%})")
    print(f"  further questions: median {statistics.median(asked)}, most {max(asked)}")
    print(f"  slowest question {total.slowest}; {dict(total.counts)}")
    for line in total.missed:
        print(f"    {line}")


def walks() -> None:
    """Each of these mistakes walked through from the first reading: how long the next question takes."""
    waits = [
        wait
        for trial in benches()
        for made in drawn_singles(trial.job, 7)
        for wait in _waits(trial, made)
    ]
    print(f"walks: {len(waits)} questions, slowest {max(waits)}")


def _waits(trial: Trial, made: tuple[Wrong, ...]) -> Iterator[tuple[float, str]]:
    """The processor seconds from each answer to the next question."""
    judge, copper = Judge(trial.harness, trial.plan), trial.copper(made)
    entries: list[Entry] = []
    judged = judge.over(entries)
    while judged.next is not None and len(entries) < 2 * len(trial.plan.probes):
        entries += trial.replies(copper, judged.next)
        gc.collect(1)  # as the walk does while it waits for an answer
        begun = time.process_time()
        judged = judge.over(entries)
        took = time.process_time() - begun
        yield took, f"{trial.job.title}, {trial.plan.method}: {made[0][0]}, {len(entries)} read"


def doubles() -> None:
    """Two mistakes that both show: one is named and mended, then the other is named."""
    came: Counter[str] = Counter()
    for trial in benches():
        pairs = (
            p for p in drawn_pairs(trial.job, 11, "kinds") if all(trial.shows((w,)) for w in p)
        )
        for pair in islice(pairs, PAIRS // 14 + 1):
            word = in_turn(trial, pair)
            came[word] += 1
            if word != BOTH:
                print(
                    f"    {word}: {trial.job.title}, {trial.plan.method}: {' and '.join(w[0] for w in pair)}"
                )
    print(f"doubles: {dict(came)}, {came[BOTH] / came.total():.1%}")


def passes() -> None:
    """Drawn repairs, with clips and without, each told as it ends: a run that is cut short still has its figure."""
    came: Counter[str] = Counter()
    for seed in range(10):
        job, kind = random_job(seed, 24), "adapter"
        if seed % 2:
            job, kind = spliced_job(seed, 24), "splice-in"
        trial = Trial(job, METHODS[seed // 2 % 2], kind)
        begun = time.process_time()
        for word, what in repairs(trial, seed, REPAIRS // 10):
            came[word] += 1
            took, begun = time.process_time() - begun, time.process_time()
            print(f"    {came.total()}. {word}, {took:.0f} s: {what}", flush=True)
    print(f"repairs: {dict(came)}")


def alarms() -> None:
    """Sound builds, loads anywhere in their ranges, every display off by noise and leads."""
    rnd = random.Random(5)
    came: Counter[str] = Counter()
    known = list(benches())
    for n in range(WALKS):
        trial = known[n % len(known)]
        judge, copper = Judge(trial.harness, trial.plan), trial.copper((), rnd.random())
        entries = [_noisy(copper.answer(p), rnd) for p in trial.plan.probes]
        judged = judge.over(entries)
        came[str(judged.verdict)] += 1
        for taken in judged.disagree:
            print(f"    false alarm: {trial.job.title}, {trial.plan.method}: {taken.told}")
    print(f"sound builds: {dict(came)}")


def _noisy(entry: Entry, rnd: random.Random) -> Entry:
    """As a meter shows it whose display is off, over leads."""
    if entry.ohms is None or entry.ohms.low == float("inf"):
        return entry
    off = 1 + rnd.uniform(-NOISE, NOISE)
    shown = round(entry.ohms.low * off + rnd.uniform(0, LEADS_OHMS), 1)
    return replace(entry, ohms=Span.of(shown))


PARTS_OF = {
    "singles": singles,
    "walks": walks,
    "doubles": doubles,
    "passes": passes,
    "alarms": alarms,
}

if __name__ == "__main__":
    gc.set_threshold(OBJECTS_BETWEEN_SWEEPS)  # as every command does
    sign_every_stop()
    for name in sys.argv[1:] or PARTS_OF:
        begun = time.process_time()
        PARTS_OF[name]()
        print(f"  {name}: {time.process_time() - begun:.0f} processor seconds", flush=True)
