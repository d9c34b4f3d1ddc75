"""Weighing one more mistake by what it changes comes to the same as looking at every reading anew."""

from __future__ import annotations

import random
from itertools import islice

import pytest
from ringout_simulator import random_job
from ringout_trial import Trial, drawn_pairs

from wiremap.diagnose.one_more import Base
from wiremap.diagnose.weigh import Evidence
from wiremap.mistakes.every import every
from wiremap.model import Job
from wiremap.ringout.readings import History


def cases(demo: Job) -> list[tuple[Job, str, str]]:
    """The demo on the machine, where loads tie nets, and random adapters with resistor, diode, fuse and merges."""
    return [
        (demo, "splice-in", "near"),
        (demo, "splice-in", "rest"),
        *((random_job(n, 24), "adapter", "near") for n in range(6)),
        (random_job(3, 24), "adapter", "ganged"),
        (random_job(2, 24), "adapter", "all"),
        (demo, "splice-in", "clips"),
        *((random_job(n, 24), "adapter", "clips") for n in (4, 5)),
    ]


@pytest.mark.parametrize("case", range(13))
def test_one_more_mistake_is_weighed_as_if_all_were_read_again(demo: Job, case: int) -> None:
    """For a sound build, for builds with one mistake already, and under it: the same readings stay unexplained."""
    weigh(demo, case, pairs=2, most=40)


@pytest.mark.by_hand
@pytest.mark.parametrize("case", range(13))
def test_many_more_mistakes_are_weighed_as_if_all_were_read_again(demo: Job, case: int) -> None:
    """The same over three times as many."""
    weigh(demo, case, pairs=3, most=120)


def weigh(demo: Job, case: int, *, pairs: int, most: int) -> None:
    """Add up to `most` mistakes to builds with none and one, under so many pairs that were read."""
    job, kind, method = cases(demo)[case]
    trial = Trial(job, method, kind)
    rnd = random.Random(case)
    for made in islice(drawn_pairs(job, case % 10, "kinds"), pairs):
        readings = History(trial.as_drawn, trial.plan, trial.answers(trial.copper(made))).readings
        evidence = Evidence(trial.as_drawn, readings)
        drawn = Base(evidence, (), trial.as_drawn.sound, evidence.failing)
        assert evidence.all_left(trial.as_drawn.sound) == evidence.failing
        faults = list(every(trial.as_drawn))
        for first in [None, *rnd.sample(faults, 3)]:
            base = drawn
            if first is not None:
                build, left = drawn.add(first)
                assert left == evidence.all_left(build), first
                base = Base(evidence, (first,), build, left)
            for fault in rnd.sample(faults, min(most, len(faults))):
                after, left = base.add(fault)
                assert left == evidence.all_left(after), (first, fault)
                few = base.add(fault, 2)[1]
                assert (few == left) if left.bit_count() <= 2 else few.bit_count() > 2
