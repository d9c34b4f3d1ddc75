"""Contacts at which only silence is read: what exchanging or moving them shows is counted without making it."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, islice

import pytest
from ringout_simulator import random_job

from wiremap.graph import Harness
from wiremap.mistakes.classes import Classes
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.move import move, strays
from wiremap.mistakes.swap import swap
from wiremap.ringout.coverage import _Cover
from wiremap.ringout.plan import plan
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
    """Of exchanges and of moves alike, found and missed; some of each there are."""
    drawn, probes = silences(seed, method)
    cover = _Cover(drawn, probes)
    poles = Classes(drawn, ()).poles
    quiet = [a for a in drawn.points if a not in poles and cover.finder.is_quiet(a)]
    assert len(quiet) > 4
    seen = set()
    seats = [a for a in quiet if drawn.harness.points[a].cavity is not None]
    for one, two in islice(combinations(seats, 2), 200):
        i, j = drawn.net_of[one], drawn.net_of[two]
        if i == j:
            continue
        shown = cover._beeps(one, j, two) or cover._beeps(two, i, one)
        assert shown == cover.finder.finds(swap(drawn, one, two)), (one, two)
        seen.add(shown)
    for wire, nets in strays(drawn):
        for net in nets if wire in quiet else ():
            if net not in drawn.tied:
                assert cover._beeps(wire, net) == cover.finder.finds(move(drawn, wire, net))
    assert seen
