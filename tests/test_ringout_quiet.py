"""Contacts at which only silence is read: what exchanging or moving them shows is counted without making it."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest
from ringout_simulator import random_job
from ringout_trial import wide_job
from test_ringout_coverage import unheard

from wiremap.graph import Harness
from wiremap.mistakes.classes import Classes
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.move import every_move
from wiremap.mistakes.swap import swaps
from wiremap.ringout.coverage import cover
from wiremap.ringout.finder import Finder
from wiremap.ringout.plan import METHODS, plan
from wiremap.ringout.probe import Probe


def silences(seed: int, method: str) -> tuple[Drawn, list[Probe]]:
    """A random adapter and a plan of which hardly a beep is left, as where stops hold its joints."""
    harness = Harness(random_job(seed, 24))
    made = plan(harness, method, "adapter")
    kept = [probe for probe in made.probes if not probe.is_through or probe.n % 7 == 0]
    return Drawn(harness, "adapter"), [replace(probe, n=n) for n, probe in enumerate(kept, 1)]


@pytest.mark.parametrize("method", ["near", "rest", "all", "ganged"])
@pytest.mark.parametrize("seed", range(3))
def test_what_shows_at_quiet_contacts_is_what_making_it_shows(seed: int, method: str) -> None:
    """Every exchange and every strayed wire at them, made one by one: what the counted ones leave unheard."""
    drawn, probes = silences(seed, method)
    finder, counted = Finder(drawn, probes), cover(drawn, probes)
    quiet = set(filter(finder.is_quiet, drawn.points)) - Classes(drawn, ()).poles
    assert len(quiet) > 4
    missed = {
        each
        for each in (*swaps(drawn), *every_move(drawn))
        if quiet.issuperset(each.touches(drawn)) and not finder.finds(each)
    }
    assert missed
    told = set(unheard(drawn, counted))
    assert not any(map(finder.finds, told))
    assert missed - told <= set(counted.hidden)


@pytest.mark.parametrize("method", METHODS)
def test_a_plan_with_many_joints_on_hold_is_quick_and_short(method: str) -> None:
    """200 circuits, most of them held by stops that nobody signed: a second on a quiet machine (three here).

    The contacts at which nothing can be heard are told once, not pair by pair.
    """
    harness = Harness(wide_job(200))
    begun = time.process_time()
    made = plan(harness, method, "adapter")
    assert time.process_time() - begun < 3
    assert len(made.held.nets) > 100
    assert len(made.not_proven) < made.nets + 10
    (unheard,) = (gap for gap in made.not_proven if gap.kind == "unheard")
    assert set(made.held.alone) <= set(unheard.subject)
