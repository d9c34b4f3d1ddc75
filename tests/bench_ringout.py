"""Figures of the ring-out, run by hand: `python tests/bench_ringout.py [full]`.

Prints how long plan, diagnosis and next probe take, and, with `full`, detection and naming of every single mistake on
the demo and on 50 random adapters of up to 60 cavities, and of random double mistakes.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent)]

from ringout_simulator import Copper, random_job, wrongs  # noqa: E402
from ringout_trial import trial, wide_job  # noqa: E402

from wiremap.evidence import settle  # noqa: E402
from wiremap.files import load_job  # noqa: E402
from wiremap.graph import Harness  # noqa: E402
from wiremap.ringout.judge import judge  # noqa: E402
from wiremap.ringout.plan import plan  # noqa: E402

DEMO = Path(__file__).parent.parent / "pinouts_demo" / "job.yaml"


def clocked(what: str, limit_s: float, work: object) -> object:
    begun = time.perf_counter()
    result = work()  # type: ignore[operator]
    took = time.perf_counter() - begun
    print(f"{what}: {took:.2f} s, limit {limit_s:g} s, {took / limit_s:.2f} of it")
    return result


def speed() -> None:
    loaded = load_job(DEMO)
    assert loaded.value is not None
    demo, wide = settle(loaded.value), wide_job(200)
    for method in ("near", "all", "ganged"):
        clocked(f"plan of the demo, {method}", 1, lambda m=method: plan(Harness(demo), m))
        clocked(f"plan of 200 nets, {method}", 20, lambda m=method: plan(Harness(wide), m, "adapter"))
    for name, job, limit in (("demo", demo, 1.0), ("200 cavities", wide_job(100), 10.0)):
        harness = Harness(job)
        made = plan(harness, "near", "adapter")
        worst = (0.0, "")
        for what, do in list(wrongs(job, random.Random(1)))[:25]:
            copper = Copper(job)
            do(copper)  # type: ignore[operator]
            entries = [copper.answer(p) for p in made.probes]
            begun = time.perf_counter()
            judge(harness, entries, planned=made)
            worst = max(worst, (time.perf_counter() - begun, what))
        print(f"diagnosis with next probe, {name}, worst of 25: {worst[0]:.2f} s ({worst[1]}), limit {limit:g} s")


def full() -> None:
    loaded = load_job(DEMO)
    assert loaded.value is not None
    jobs = [("demo", settle(loaded.value))] + [(f"random {n}", random_job(n)) for n in range(50)]
    for count, budget, double in ((1, 24, False), (2, 24, True)):
        total: dict[str, int] = {}
        for name, job in jobs:
            tally = trial(job, "near", limit=10_000 if not double else 40, budget=budget, double=double, seed=1)
            for key, value in tally.counts.items():
                total[key] = total.get(key, 0) + value
            print(f"{count} mistakes, {name}: {tally.counts}", flush=True)
            for line in tally.missed[:3]:
                print(f"    {line}")
        print(f"{count} mistakes, all: {total}")


if __name__ == "__main__":
    speed()
    if "full" in sys.argv[1:]:
        full()
