"""The plan for hands with clips or mating halves: few readings that prove every pair, possible with hands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import pytest
from demo_jobs import noted, settled_demo
from ringout_simulator import random_job, spliced_job
from ringout_trial import Trial, single_wrongs

from wiremap.check import check_job
from wiremap.diagnose.judge import Judge
from wiremap.diagnose.walk import Walk
from wiremap.evidence import allowed
from wiremap.evidence.equipment import Equipment, equipment_of, read_equipment
from wiremap.evidence.probe_points import HarnessKind
from wiremap.graph import Harness, Reach
from wiremap.mistakes.drawn import Drawn
from wiremap.model import Address, Entry, EntryKind, Job
from wiremap.ringout.grips import Grips
from wiremap.ringout.plan import Plan, plan
from wiremap.ringout.probe import ProbeKind

pytestmark = pytest.mark.usefixtures("every_stop_signed")

HALVES = Equipment(halves=True)
EQUIPMENTS = (HALVES, Equipment(halves=True, clips=4), Equipment(clips=None), Equipment(clips=5))
BROUGHT = Entry(kind=EntryKind.ANSWER, about="equipment", answer="mating half, 4 clips", by="RK")


def with_clips(job: Job, kind: str, equipment: Equipment) -> Trial:
    """A trial whose plan is made for this equipment."""
    trial = Trial(job, "near", kind)
    trial.plan = plan(trial.harness, None, kind, equipment=equipment)
    trial.clean = trial.answers(trial.sound)
    return trial


def untold(job: Job) -> Job:
    """The job with nothing said of the equipment."""
    books = [
        replace(book, entries=tuple(e for e in book.entries if e.about != "equipment"))
        for book in job.notebooks
    ]
    return replace(job, notebooks=tuple(books))


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("mating half with leads", HALVES),
        ("12 clips", Equipment(clips=12)),
        ("A mating half and 6 insulated clips", Equipment(halves=True, clips=6)),
        ("neither", Equipment()),
        ("a hammer", None),
        ("", None),
        ("5000 clips", None),
    ],
)
def test_what_there_is_is_read_from_an_answer(text: str, wanted: Equipment | None) -> None:
    """Mating halves, a number of clips, both or neither; anything else is no answer."""
    assert wanted == read_equipment(text)


def test_the_last_answer_chooses_the_method(demo: Job) -> None:
    """The equipment is asked once and kept; without it, and without an answer, near pairs are read one by one."""
    question = allowed(demo, "equipment")
    assert question is not None and question.fits("12 clips") and not question.fits("some clips")
    assert plan(Harness(untold(demo))).method == "near"
    assert plan(Harness(untold(demo))).as_dict()["equipment"] is None
    brought = plan(Harness(noted(demo, BROUGHT)))
    assert ("clips", "mating halves with leads, 4 insulated clips") == (
        brought.method,
        brought.as_dict()["equipment"],
    )
    neither = replace(BROUGHT, answer="neither")
    assert plan(Harness(noted(demo, BROUGHT, neither))).method == "near"
    assert plan(Harness(noted(demo, BROUGHT)), "rest").method == "rest"
    assert equipment_of([replace(BROUGHT, answer="many")]) is None


def test_the_demo_as_shipped_within_its_bounds(demo: Job) -> None:
    """What its notebook tells of the bench makes the short plan without any option."""
    made = plan(Harness(demo))
    assert ("clips", "mating halves with leads, 12 insulated clips") == (
        made.method,
        made.as_dict()["equipment"],
    )
    assert len(made.probes) <= 70
    assert made.work.total <= 120


@pytest.mark.parametrize("equipment", EQUIPMENTS, ids=lambda e: e.told)
def test_the_demo_within_its_bounds(demo: Job, equipment: Equipment) -> None:
    """At most 70 readings and 120 of work on the machine; every touch is shown but those of holes, of what no probe
    reaches, and with few clips of what nothing can hold; and the plan says so."""
    made = plan(Harness(demo), equipment=equipment)
    assert made.method == "clips"
    assert len(made.probes) <= 70
    assert made.work.total <= 120
    assert made.work.bound <= made.work.total
    untested = [gap for gap in made.not_proven if gap.kind == "untested-pairs"]
    if equipment.halves:
        assert not untested
    empty = [point for gap in made.not_proven if gap.kind == "empty" for point in gap.subject]
    assert empty == ["donor.20", "gateway.6"]
    read = {point for probe in made.probes for point in probe.points}
    assert read.isdisjoint({"donor.20", "gateway.6", "R1.a", "R1.b"})


def combs(made: Plan) -> Sequence[tuple[int, tuple[str, ...]]]:
    return [(p.n, p.black) for p in made.probes if p.comb and p.kind == ProbeKind.APART]


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("equipment", EQUIPMENTS, ids=lambda e: e.told)
def test_the_comb_grows_as_hands_can_do_it(seed: int, equipment: Equipment) -> None:
    """No more clips hang than there are; a net beeps on its own clip before it joins; each clip of a comb beeps again
    after the last reading of that comb; no two nets that parts or loads tie are on one comb."""
    harness = Harness(spliced_job(seed))
    made = plan(harness, equipment=equipment)
    if made.method != "clips":
        assert not combs(made)
        return
    drawn = Drawn(harness, made.kind)
    beeped: dict[str, int] = {}
    for probe in made.probes:
        if probe.is_through:
            for point in probe.points:
                beeped.setdefault(point, probe.n)
    bites = {(p.red[0], p.black): p.n for p in made.probes if p.kind == ProbeKind.CLIP}
    for n, comb in combs(made):
        on_metal = [a for a in comb if harness.reach(a) != "face"]
        assert equipment.clips is None or len(on_metal) <= equipment.clips
        nets = [drawn.net_of[a] for a in comb]
        assert not any(j in drawn.tied.get(i, ()) for i, j in combinations(nets, 2))
        for point in comb:
            if len(drawn.reached[drawn.net_of[point]]) > 1:
                assert beeped[point] < n
                at_end = [m for (_, black), m in bites.items() if point in black and m > n]
                assert at_end


def found_as_stated(trial: Trial, seed: int, count: int) -> list[str]:
    """Where the plan says of a mistake that it shows and it does not, or the other way round."""
    made = list(single_wrongs(trial.job, seed))[:count]
    missed = trial.coverage(made).missed
    return [line for line in missed if line.startswith("stated")]


@pytest.mark.parametrize("seed", range(4))
def test_stated_coverage_is_found_coverage(seed: int) -> None:
    """What a plan with clips says that it shows, copper shows; adapters and splices with loads."""
    for job, kind in ((random_job(seed, 30), "adapter"), (spliced_job(seed, 30), "splice-in")):
        trial = with_clips(job, kind, EQUIPMENTS[seed])
        assert [] == found_as_stated(trial, seed, 60)


@pytest.mark.parametrize("equipment", EQUIPMENTS, ids=lambda e: e.told)
def test_a_sound_harness_passes(demo: Job, equipment: Equipment) -> None:
    """All readings as expected: a pass; one left out: none; the box of the check counts the same."""
    trial = with_clips(demo, "splice-in", equipment)
    judge = Judge(trial.harness, trial.plan)
    assert judge.over(trial.clean).verdict == "pass"
    for k in (0, len(trial.clean) // 2, len(trial.clean) - 1):
        assert judge.over([*trial.clean[:k], *trial.clean[k + 1 :]]).verdict == "incomplete"


def test_the_box_counts_what_combs_prove(demo: Job) -> None:
    """Rung out n of n, though most nets were never read against each other alone."""
    trial = with_clips(demo, "splice-in", Equipment(halves=True, clips=4))
    done = check_job(noted(demo, BROUGHT, *trial.clean)).rung_out
    assert done[0] == done[1] > 0
    begun = check_job(noted(demo, BROUGHT, *trial.clean[:9])).rung_out
    assert begun[0] < done[0]


def test_a_fallen_clip_fakes_no_silence(demo: Job) -> None:
    """One clip is off from some reading on: its beep at the end is silent, and nothing passes until it was read again."""
    trial = with_clips(demo, "splice-in", HALVES)
    judge = Judge(trial.harness, trial.plan)
    fallen = next(p for p in trial.plan.probes if p.kind == ProbeKind.CLIP)
    clip = next(
        a for a in fallen.black if trial.as_drawn.net_of[a] == trial.as_drawn.net_of[fallen.red[0]]
    )
    entries = []
    for probe in trial.plan.probes:
        hung = probe
        if probe.comb and clip in probe.black:
            hung = replace(probe, black=tuple(a for a in probe.black if a != clip))
        entries.append(replace(trial.sound.answer(hung), black=probe.black))
    judged = judge.over(entries)
    assert judged.verdict != "pass"
    assert judged.next is not None and "clip may have come off" in judged.next.why
    again = [trial.sound.answer(fallen)] * 2
    judged = judge.over([*entries, *again])
    assert judged.verdict == "incomplete" and judged.left


def test_a_mended_net_is_read_against_the_comb_again(demo: Job) -> None:
    """After a repair: its beeps, one reading of it against the others clipped together, and the clips; then a pass."""
    trial = with_clips(demo, "splice-in", HALVES)
    mended = Entry(kind=EntryKind.MENDED, points=(Address.read("loom.11"),), by="RK")
    first = Judge(trial.harness, trial.plan).over([*trial.clean, mended])
    assert first.verdict == "incomplete" and first.again
    entries = [*trial.clean, mended]
    for _ in range(60):
        judged = Judge(trial.harness, trial.plan).over(entries)
        if judged.next is None:
            break
        entries.append(trial.answer(trial.sound, judged.next))
    assert judged.verdict == "pass"
    assert len(entries) - len(trial.clean) < len(trial.plan.probes)


@pytest.mark.parametrize("contact", ["loom.3", "loom.11", "donor.4", "gateway.1"])
def test_only_what_hangs_in_the_comb_is_read_against_the_others(demo: Job, contact: str) -> None:
    """After a repair a net that has a value of its own is read against the comb as planned, not once more."""
    trial = with_clips(demo, "splice-in", HALVES)
    judge = Judge(trial.harness, trial.plan)
    hung = {point for p in trial.plan.probes if p.kind == ProbeKind.CLIP for point in p.black}
    entries = [*trial.clean, Entry(kind=EntryKind.MENDED, points=(Address.read(contact),), by="RK")]
    judged = judge.over(entries)
    while judged.next is not None:
        ask = judged.next
        together = trial.harness.metals.of(ask.red[0]).points
        assert "the others clipped together" not in ask.why or hung.intersection(together)
        entries.append(trial.answer(trial.sound, ask))
        judged = judge.over(entries)
    assert judged.verdict == "pass"


def test_an_unfitted_clip_is_no_clip() -> None:
    """A number of clips below nothing is our own mistake."""
    with pytest.raises(ValueError, match="clips"):
        Equipment(clips=-1)


def test_the_demo_loads_for_the_counts() -> None:
    """The demo's file is what the counts above speak of."""
    assert plan(Harness(settled_demo()), "clips").points == 47


def test_a_clip_is_tried_by_its_beep_alone(demo: Job) -> None:
    """Of what hangs together no contact can be named; a beep or a silence answers."""
    trial = with_clips(demo, "splice-in", HALVES)
    clip = next(n for n, p in enumerate(trial.plan.probes) if p.kind == ProbeKind.CLIP)
    walk = Walk(trial.harness, trial.plan, trial.clean[:clip])
    turn = walk.turn()
    assert turn is not None and turn.probe == trial.plan.probes[clip]
    assert len(turn.black) > 1 and not turn.is_sweep
    assert walk.answer(turn, turn.black[0], "RK", "2026-03-02") == ()
    assert len(walk.answer(turn, "b", "RK", "2026-03-02")) == 1
    following = walk.turn()
    assert following is not None and following.probe == trial.plan.probes[clip + 1]


def test_a_mating_half_holds_faces_alone(demo: Job) -> None:
    """On the machine a joint is bare metal, for a clip; on the bench every contact of an adapter is on a face."""
    harness = Harness(demo)
    grips = Grips(Drawn(harness, HarnessKind.SPLICE_IN), Equipment(halves=True, clips=4))
    faced = {harness.reach(grip.point) is Reach.FACE for grip in grips.at.values() if not grip.clip}
    clipped = {harness.reach(grip.point) is Reach.FACE for grip in grips.at.values() if grip.clip}
    assert (faced, clipped) == ({True}, {False})
    bench = Grips(Drawn(harness, HarnessKind.ADAPTER), HALVES)
    assert "loom.1" in {grip.point for grip in bench.at.values()}


def test_what_hangs_together_may_be_typed_in_any_order(demo: Job) -> None:
    """Points clipped together are a set, and a batch is judged as the plan's own order is."""
    trial = with_clips(demo, "splice-in", HALVES)
    turned = [replace(entry, black=entry.black[::-1]) for entry in trial.clean]
    for entries in (trial.clean, turned):
        assert Judge(trial.harness, trial.plan).over(entries).verdict == "pass"
