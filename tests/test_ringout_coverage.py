"""What a plan finds is counted by classes of equal mistakes, and equals making each of them."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

import pytest
from ringout_simulator import random_job, spliced_job
from ringout_trial import loaded_job, wide_job

from wiremap.graph import Harness
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.every import every
from wiremap.mistakes.expectation import contradicts
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.move import move
from wiremap.mistakes.parts import loads_other
from wiremap.mistakes.swap import swap
from wiremap.mistakes.touch import Touch
from wiremap.model import Job, Span
from wiremap.ringout.coverage import Coverage, cover
from wiremap.ringout.finder import Finder
from wiremap.ringout.masks import ones_of
from wiremap.ringout.plan import METHODS, MOST_NETS, TooLarge, plan
from wiremap.ringout.probe import Probe

pytestmark = pytest.mark.usefixtures("every_stop_signed")


def would_show(drawn: Drawn, mistake: Mistake, probes: Sequence[Probe]) -> bool:
    """Whether any probe of all surely reads otherwise in a build with this mistake."""
    build = mistake.on(drawn.sound)
    return any(contradicts(p.expectation, build, p.red, p.black, p.state) for p in probes)


def unheard(drawn: Drawn, counted: Coverage) -> Iterator[Mistake]:
    """Every exchange and every strayed wire that is told to stay unheard."""
    for each in counted.unheard:
        for place in ones_of(each.seats):
            pair = (each.point, drawn.points[place])
            yield swap(drawn, *sorted(pair, key=drawn.rank.__getitem__))
        yield from (move(drawn, each.point, net) for net in ones_of(each.nets))


def compare(job: Job, kind: str, method: str, *, each_probe: bool) -> None:
    """Counts and hidden mistakes, each mistake made and each probe looked at, or those that it can change."""
    harness = Harness(job)
    made = plan(harness, method, kind)
    drawn = Drawn(harness, kind)
    finder = Finder(drawn, made.probes)
    modelled: Counter[str] = Counter()
    found: Counter[str] = Counter()
    hidden, touching = set(), set()
    for mistake in (*every(drawn), *loads_other(drawn)):
        modelled[str(mistake.kind)] += 1
        shown = would_show(drawn, mistake, made.probes) if each_probe else finder.finds(mistake)
        if shown:
            found[str(mistake.kind)] += 1
        elif isinstance(mistake, Touch):
            touching.add((mistake.one, mistake.two))
        else:
            hidden.add(mistake)
    counted = cover(drawn, made.probes)
    assert {k: (n, found[k]) for k, n in modelled.items()} == dict(counted.counts)
    told = [*counted.hidden, *unheard(drawn, counted)]
    assert hidden == set(told) and len(told) == len(hidden)
    assert touching == set(counted.hidden_touches)


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("seed", range(3))
def test_counting_equals_making_each_mistake(seed: int, method: str) -> None:
    """Invented adapters and splices with loads; every probe is looked at for every mistake."""
    compare(random_job(seed, 24), "adapter", method, each_probe=True)
    compare(spliced_job(seed, 24), "splice-in", method, each_probe=True)


BEHIND = [
    loaded_job(12, "different", connectors=2, unloaded=2),
    loaded_job(12, "bands", across=3),
    loaded_job(14, "high", returns=5),
    loaded_job(14, "equal", unloaded=1, returns=3),
]


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("job", BEHIND, ids=["two connectors", "across", "one feed", "two hubs"])
@pytest.mark.parametrize("held", [False, True], ids=["signed", "held"])
def test_counting_equals_making_each_mistake_behind_loads(
    job: Job, method: str, held: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Loads that lead to one circuit are told by their order of ohms, also where no through-reading is asked for as
    a stop holds each joint; every probe is looked at.
    """
    if held:
        monkeypatch.setattr(
            "wiremap.ringout.held.held_points", lambda harness: dict.fromkeys(harness.points)
        )
    compare(job, "splice-in", method, each_probe=True)


@pytest.mark.parametrize("method", METHODS)
def test_counting_equals_making_each_mistake_of_the_demo(demo: Job, method: str) -> None:
    """The demo on its machine, with grounds and a guard loop that meet outside."""
    compare(demo, "splice-in", method, each_probe=False)


def test_counting_equals_making_each_mistake_at_sixty_nets() -> None:
    """Two faces of sixty contacts, and a splice of as many cavities."""
    compare(wide_job(60), "adapter", "near", each_probe=False)
    compare(spliced_job(3, 60), "splice-in", "near", each_probe=False)


def test_a_plan_is_quick_and_grows_gently() -> None:
    """200 nets within a second of the processor on a quiet machine (three here); 400 take no four times of that."""
    small, large = plan_seconds(200), plan_seconds(400)
    assert small < 3
    assert large < 4 * small


def plan_seconds(nets: int) -> float:
    """Of the processor, the least of three plans: a collection of garbage falls into some."""
    took = []
    for _ in range(3):
        harness = Harness(wide_job(nets))
        begun = time.process_time()
        assert plan(harness, "near", "adapter").nets == nets
        took.append(time.process_time() - begun)
    return min(took)


def test_a_harness_beyond_the_limit_is_refused_in_words() -> None:
    """The limit is said, and what to do."""
    with pytest.raises(TooLarge, match=f"at most {MOST_NETS}"):
        plan(Harness(wide_job(MOST_NETS + 1)), "near", "adapter")


@pytest.mark.parametrize("seed", [1, 5])
def test_a_part_of_another_value_reads_alike_wherever_it_stands(seed: int) -> None:
    """Among the ties of a build, in its place or behind all others, diodes between them or not."""
    drawn = Drawn(Harness(spliced_job(seed, 24)), "splice-in")
    assert drawn.diodes or seed != 5
    for n, tie in enumerate(drawn.ties):
        other = replace(tie, ohms=Span.of(33.0))
        left, right = drawn.ties[:n], drawn.ties[n + 1 :]
        builds = [
            drawn.sound.with_ties(ties) for ties in ((*left, other, *right), (*left, *right, other))
        ]
        for pair in combinations(drawn.tied, 2):
            here, there = (build.between({pair[0]}, {pair[1]}) for build in builds)
            assert (here.low, here.high) == pytest.approx((there.low, there.high))
