"""The beeper is known: where another way would sound too, ohms are read."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
import ringout_simulator
from ringout_simulator import Copper, spliced_job

from wiremap.diagnose.judge import judge
from wiremap.graph import Harness
from wiremap.mistakes.beeper import Beeper, beeper_of
from wiremap.mistakes.drawn import Drawn
from wiremap.model import Entry, EntryKind, Job, Seen, Span
from wiremap.ringout.plan import plan


@pytest.mark.parametrize("sounds", [10.0, 30.0, 75.0, 150.0])
def test_no_beeper_passes_a_crossed_pair(
    demo: Job, sounds: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Legs exchanged across a terminator sound at many a beeper: never a pass; the sound build passes."""
    monkeypatch.setattr(ringout_simulator, "BEEPS_BELOW", sounds)
    harness = Harness(demo)
    made = plan(harness, "rest", "splice-in")
    for legs, verdict in ((None, "pass"), (("donor.8", "donor.9"), "fail")):
        copper = Copper(demo, machine=True)
        if legs:
            copper.exchange(*legs)
        judged = judge(harness, [copper.answer(p) for p in made.probes], planned=made)
        assert (legs, judged.verdict) == (legs, verdict)


def test_ohms_are_read_where_another_way_is_below_four_times_the_limit(demo: Job) -> None:
    """For every through-reading: a beep exactly where no other way is too low to what the hand or a wire may reach."""
    cases = [(demo, 10.0), (demo, 50.0), (demo, 150.0), (spliced_job(11, 40), 50.0)]
    for job, limit in cases:
        harness = Harness(job)
        drawn = Drawn(harness, "splice-in")
        for probe in plan(harness, "near", "splice-in", beeper_ohms=limit).probes:
            if probe.is_through:
                net = drawn.net_of[probe.red[0]]
                others = drawn.tied.get(net, frozenset()) - {net}
                ways = [
                    drawn.sound.ohms(probe.red, drawn.members[n][:1]).low
                    for n in others
                    if n in drawn.members
                ]
                low = min(ways, default=math.inf) < 4 * limit
                assert (probe.expect == "ohms") == low, probe


@pytest.mark.parametrize(
    ("limit", "seen", "ohms", "fits"),
    [
        (50.0, "beep", 200.0, True),
        (50.0, "beep", 200.1, False),
        (50.0, "silent", 20.0, True),
        (50.0, "silent", 19.9, False),
        (10.0, "beep", 40.1, False),
        (10.0, "silent", 4.0, True),
        (10.0, "silent", 3.9, False),
        (150.0, "silent", 19.9, False),
        (150.0, "beep", 600.0, True),
    ],
)
def test_what_a_sound_and_a_silence_leave_possible(
    limit: float, seen: str, ohms: float, fits: bool
) -> None:
    """At its edges; 50 ohm if nobody has told."""
    entry = Entry(kind=EntryKind.PROBE, seen=Seen(seen))
    assert Beeper(limit).fits(entry, Span.of(ohms)) == fits


def test_the_notebook_keeps_what_was_told(demo: Job) -> None:
    """The last answer about the beeper counts; the plan says what it assumes."""
    told = Entry(kind=EntryKind.ANSWER, about="beeper", answer="75 ohm", by="RK")
    assert beeper_of([told]) == Beeper(75.0, stated=True)
    assert beeper_of([told, replace(told, answer="loud")]).limit_ohms == 75.0
    assert re.match(r"the beeper sounds up to 50 ohm \(assumed", Beeper().told)
    with pytest.raises(ValueError, match="some ohms"):
        Beeper(0.0)
