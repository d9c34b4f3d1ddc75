"""What sits behind the loom: missing, of another value, doubled; beside a part, behind a comb, without a stud."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from ringout_simulator import Copper
from ringout_trial import Trial

from wiremap.diagnose.judge import Judgement, judge
from wiremap.mistakes.parts import LOAD_OTHER, PART_MISSING, OtherValue
from wiremap.model import Extra, ExtraKind, Job, frozen

pytestmark = pytest.mark.usefixtures("every_stop_signed")

WRONG = (("missing", math.inf), ("a third", 1 / 3), ("three times", 3.0), ("half", 0.5))
MOST_ASKED = 15


def asked_on(trial: Trial, copper: Copper) -> tuple[Judgement, int]:
    """The verdict once every question was answered, and how many there were."""
    entries = trial.answers(copper)
    judged = judge(trial.harness, entries, planned=trial.plan)
    asked = 0
    while judged.next is not None and judged.disagree and asked < 2 * MOST_ASKED:
        entries += trial.replies(copper, judged.next)
        asked += 1
        judged = judge(trial.harness, entries, planned=trial.plan)
    return judged, asked


def wrong_loads(trial: Trial) -> Iterator[tuple[str, tuple[str, str], Copper]]:
    """Each load behind the loom in each of the ways to be wrong."""
    for k, (a, b, ohms) in enumerate(trial.sound.loads):
        if a in trial.job.extras:  # the bolt of a stud is no load
            continue
        for what, by in WRONG:
            copper = trial.copper(())
            if math.isinf(by):
                copper.loads.pop(k)
            else:
                copper.loads[k] = (a, b, ohms * by)
            yield f"{what} {a} {b}", (a, b), copper


def is_named(judged: Judgement, load: tuple[str, str]) -> bool:
    """Whether this load alone is the likeliest explanation, or as likely as the one told first."""
    fits = judged.diagnosis.fits
    for each in fits:
        first = each.mistakes[0]
        alone = len(each.mistakes) == 1 and each.cost <= fits[0].cost
        if alone and isinstance(first, OtherValue) and {first.a, first.b} == set(load):
            return True
    return False


def as_it_is(job: Job) -> Job:
    """The job as drawn."""
    return job


def without_stud(job: Job) -> Job:
    """The job with its ground lead and its stud left out: nothing of the chassis is within reach."""
    circuits = tuple(c for c in job.circuits if c.id not in ("gw-gnd", "ground"))
    extras = {name: extra for name, extra in job.extras.items() if name != "G1"}
    return replace(job, circuits=circuits, extras=frozen(extras))


@pytest.mark.by_hand
@pytest.mark.parametrize(
    ("method", "change"),
    [("near", as_it_is), ("clips", as_it_is), ("near", without_stud)],
    ids=["near", "clips", "no stud"],
)
def test_a_load_that_reads_otherwise_is_named(
    demo: Job, method: str, change: Callable[[Job], Job], share: int | None
) -> None:
    """Whatever shows is named first, alone or beside the other of two in series; no way ends in nothing."""
    trial = Trial(change(demo), method, "splice-in")
    cases = list(wrong_loads(trial))
    count = min(3 * share, len(cases)) if share else len(cases)
    named = shown = 0
    for what, load, copper in random.Random(1).sample(cases, count):
        judged, asked = asked_on(trial, copper)
        if not judged.disagree:
            continue
        shown += 1
        named += is_named(judged, load)
        assert judged.diagnosis.fits, what
        assert asked <= MOST_ASKED, what
    assert shown
    assert named == shown


def beside(job: Job) -> Job:
    """The job with a second terminator of its own, beside the one behind the loom's half of the bus."""
    extra = Extra(name="R2", kind=ExtraKind.RESISTOR, ohms=120.0)
    leg = {"bus-a-hi": "R2.a", "bus-a-lo": "R2.b"}
    circuits = [replace(c, join=(*c.join, leg[c.id])) if c.id in leg else c for c in job.circuits]
    extras = frozen({**job.extras, "R2": extra})
    return replace(job, circuits=tuple(circuits), extras=extras)


@pytest.mark.parametrize(
    ("lost", "method"),
    [
        ("R2", "near"),
        ("behind", "near"),
        pytest.param("R2", "clips", marks=pytest.mark.by_hand),
        pytest.param("behind", "clips", marks=pytest.mark.by_hand),
    ],
)
def test_of_two_terminators_side_by_side_both_are_named(demo: Job, method: str, lost: str) -> None:
    """120 ohm instead of 60: either may be gone; both are told, and which leg to lift to know."""
    trial = Trial(beside(demo), method, "splice-in")
    copper = trial.copper(())
    if lost == "R2":
        copper.resistors.pop("R2")
    else:
        copper.loads = [load for load in copper.loads if "loom.6" not in load]
    judged, _ = asked_on(trial, copper)
    kinds = {m.kind for e in judged.diagnosis.fits for m in e.mistakes}
    assert {PART_MISSING, LOAD_OTHER} <= kinds
    told = "\n".join(judged.told())
    assert "lift R2.a and read loom.6 to loom.7: 105 to 136 ohm" in told
