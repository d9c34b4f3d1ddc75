"""Random single mistakes: every one that changes what shares metal must hold the job; harmless re-orderings must not.

Mistakes are drawn by Hypothesis, the same ones on every run, from the demo and from the four published pairs of connectors.  The
caught share is printed (`pytest -s`).  Three kinds of change are not caught, on purpose, and nothing else:

- a guard loop carried through whole with out and back exchanged reads alike both ways, so it is a note;
- a drain that reaches ground at a second place is a caution, as the rule book weighs it: the bus may well work;
- power grounds tied to one another or to the machine's chassis by our stud change nothing that the chassis does not already
  join: the loom's own ground runs to the chassis behind the interface, and too full a joint is a caution.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Collection
from functools import lru_cache
from pathlib import Path
from tempfile import mkdtemp

import pytest
from demo_jobs import DEMO_JOB
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from mistakes import MISTAKES, sharing, shuffled
from pair_jobs import serial, trailer
from pair_tables import finished, pair, side

from wiremap.evidence import settle
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.model import CHASSIS, Job
from wiremap.rules import run

SETTINGS = settings(
    derandomize=True,
    deadline=None,
    max_examples=420,
    suppress_health_check=list(HealthCheck),
    database=None,
)
PUBLISHED = ("trailer_24n_24s_15", "diagnostic_16_can_9")  # two more pairs, as tests/pairs has them
NAMES = ("demo", "trailer", "serial", *PUBLISHED)
TALLY: Counter[str] = Counter()


@lru_cache
def sound_job(name: str) -> Job:
    """A job in order to make mistakes in."""
    if name in PUBLISHED:
        return settle(finished(pair(name), side(pair(name).a), side(pair(name).b)))
    path = (
        DEMO_JOB
        if name == "demo"
        else {"trailer": trailer, "serial": serial}[name](Path(mkdtemp()) / name)
    )
    loaded = load_job(path)
    assert loaded.value is not None, loaded.findings
    return settle(loaded.value)


@lru_cache
def as_drawn(name: str) -> frozenset[frozenset[str]]:
    """What shares metal as the job stands."""
    return sharing(sound_job(name))


def holds(job: Job) -> bool:
    """Whether any finding holds the job."""
    return any(f.holds for f in run(Harness(job)))


def argued(name: str, changed: Job) -> bool:
    """Whether a change is one of those that the docstring argues."""
    before, after = as_drawn(name), sharing(changed)
    new, gone = after - before, before - after
    loops = {
        f"{end}.{c}" for end, c in (("loom", "9"), ("loom", "10"), ("donor", "14"), ("donor", "15"))
    }
    if frozenset().union(*new, *gone) <= loops and len(new) == len(gone) == 2:
        return True
    functions = {a: p.function for a, p in Harness(changed).points.items()}
    grounds = {a for a, function in functions.items() if function == "power-ground"}
    shields = {"donor.10", "gateway.5"}
    only_joined = all(any(metal <= wider for wider in new) for metal in gone)
    if only_joined and all(metal <= grounds | {CHASSIS} for metal in new):
        return True
    if without(before, shields) == without(after, shields):
        return all(metal <= grounds | shields | {CHASSIS} for metal in new if metal & shields)
    spared = shields | {a for a in grounds if a.startswith("feed.")}
    if without(before, spared | {CHASSIS}) != without(after, spared | {CHASSIS}):
        return False
    return all(metal <= spared | {CHASSIS, "gateway.7"} for metal in new)


def without(
    metals: frozenset[frozenset[str]], points: Collection[str]
) -> frozenset[frozenset[str]]:
    """Metals with some points left out, those that hold no other left out whole."""
    return frozenset(kept for metal in metals if (kept := metal.difference(points)))


@pytest.mark.parametrize("name", NAMES)
def test_the_unharmed_job_is_in_order(name: str) -> None:
    """Nothing holds before a mistake is made, and nothing after a mere re-ordering and renaming."""
    assert not holds(sound_job(name))
    for seed in range(5):
        assert not holds(shuffled(sound_job(name), random.Random(seed)))


@pytest.mark.parametrize("name", NAMES)
def test_every_mistake_that_changes_metal_holds(name: str) -> None:
    """Nothing slips through but what the docstring argues."""

    @SETTINGS
    @given(st.sampled_from(MISTAKES), st.integers(0, 10**9))
    def once(mistake: Callable[[Job, random.Random], Job], seed: int) -> None:
        changed = mistake(sound_job(name), random.Random(seed))
        if sharing(changed) == as_drawn(name):
            TALLY[f"{name} unchanged"] += 1
        elif holds(changed):
            TALLY[f"{name} caught"] += 1
        else:
            TALLY[f"{name} argued"] += 1
            assert argued(name, changed), (
                mistake.__name__,
                sorted(map(sorted, sharing(changed) - as_drawn(name))),
            )

    once()
    made = TALLY[f"{name} caught"] + TALLY[f"{name} argued"]
    print(
        f"\n{name}: {TALLY[f'{name} caught']} of {made} mistakes caught, {TALLY[f'{name} argued']} argued, "
        f"{TALLY[f'{name} unchanged']} changed nothing"
    )
    assert TALLY[f"{name} caught"] > 0.97 * made > 0


def test_a_removed_or_changed_terminator_holds() -> None:
    """The 120 ohm resistor left out, or another value in its place."""
    from dataclasses import replace

    demo = sound_job("demo")
    for ohms in (47.0, 60.0, 240.0, 1200.0):
        extras = {**demo.extras, "R1": replace(demo.extras["R1"], ohms=ohms)}
        assert holds(replace(demo, extras=extras)), ohms
