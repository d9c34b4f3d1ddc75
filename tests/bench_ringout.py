"""Figures of the ring-out, run by hand: `python tests/bench_ringout.py [full]`.

Prints how long plan, diagnosis and next probe take, in processor seconds.  With `full`, for the demo and 50 random
adapters of up to 60 cavities: stated beside found coverage of every single mistake, naming of every whole face and part
and of a drawn share of the other single mistakes, and double mistakes drawn beforehand.  The slow tests name every single mistake; that takes
about an hour and a half of one core.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

from demo_jobs import settled_demo

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent)]

from ringout_simulator import random_job, wrongs  # noqa: E402
from ringout_trial import FACES, PARTS, Tally, Trial, drawn_pairs, single_wrongs, wide_job  # noqa: E402

from wiremap.diagnose.judge import judge  # noqa: E402
from wiremap.graph import Harness  # noqa: E402
from wiremap.model import Job  # noqa: E402
from wiremap.ringout.plan import METHODS, plan  # noqa: E402


def clocked(what: str, limit_s: float, work: object) -> object:
    begun = time.process_time()
    result = work()  # type: ignore[operator]
    took = time.process_time() - begun
    print(f"{what}: {took:.2f} s, limit {limit_s:g} s, {took / limit_s:.2f} of it")
    return result


def speed() -> None:
    demo, wide = settled_demo(), wide_job(200)
    for method in METHODS:
        clocked(f"plan of the demo, {method}", 1, lambda m=method: plan(Harness(demo), m))
        clocked(
            f"plan of 200 nets, {method}", 1, lambda m=method: plan(Harness(wide), m, "adapter")
        )
    for name, job, limit, count in (
        ("demo", demo, 1.0, None),
        ("60 cavities", wide_job(30), 0.3, 60),
        ("200 cavities", wide_job(100), 10.0, 60),
    ):
        trial = Trial(job, "near")
        worst, looked = (0.0, ""), 0
        for made in [*(_rare(job) if count else ()), *single_wrongs(job, 1)][:count]:
            entries = trial.answers(trial.copper(made))
            begun = time.process_time()
            judge(trial.harness, entries, planned=trial.plan)
            worst = max(worst, (time.process_time() - begun, made[0][0]))
            looked += 1
        print(
            f"diagnosis with next probe, {name}, worst of {looked}: {worst[0]:.2f} s ({worst[1]}), limit {limit:g} s"
        )


def _rare(job: Job) -> list[tuple[tuple[str, object], ...]]:
    """Whole faces and parts: few among the many, each worth making."""
    return [(w,) for w in wrongs(job, random.Random(1)) if w[0].split()[0] in (*FACES, *PARTS)]


def _told(what: str, tally: Tally, begun: float) -> None:
    print(
        f"{what}: {dict(tally.counts)}, slowest {tally.slowest[0]:.2f} s, {time.process_time() - begun:.0f} s in all",
        flush=True,
    )
    for line in tally.missed[:20]:
        print(f"    {line}")


def full(share: int = 12, pairs: int = 2) -> None:
    jobs = [(0, settled_demo()), *((n, random_job(n)) for n in range(50))]
    begun, total = time.process_time(), Tally()
    for n, job in jobs:
        total.add(Trial(job, "near").coverage(single_wrongs(job, n)))
    _told("stated beside found coverage, every single mistake", total, begun)
    begun, total = time.process_time(), Tally()
    for n, job in jobs:
        total.add(Trial(job, "near").names([*_rare(job), *list(single_wrongs(job, n))[:share]]))
    _told("single mistakes named", total, begun)
    for method in ("all", "near"):
        for even in ("mistakes", "kinds"):
            begun, total = time.process_time(), Tally()
            for n, job in jobs:
                total.add(Trial(job, method).names(drawn_pairs(job, n, even), pairs))
            _told(
                f"double mistakes, method {method}, even over {even}, {total.share():.1%} among three or one certain",
                total,
                begun,
            )


if __name__ == "__main__":
    speed()
    if "full" in sys.argv[1:]:
        full()
