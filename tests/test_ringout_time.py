"""Time counts: what was read before a repair, or before a wrong reading at the same circuits, proves nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo_jobs import settled_demo
from ringout_repairs import trials
from ringout_simulator import random_job, spliced_job
from ringout_trial import Trial, entry

import wiremap
from wiremap.diagnose.judge import judge
from wiremap.diagnose.walk import Walk
from wiremap.evidence.progress import progress_of
from wiremap.graph import Harness
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.parts import loads_other
from wiremap.model import Address, Entry, EntryKind, Notebook, Span
from wiremap.ringout.finder import Finder
from wiremap.ringout.plan import METHODS, plan
from wiremap.ringout.readings import History

pytestmark = pytest.mark.usefixtures("every_stop_signed")

JOB = random_job(1, 24)


@pytest.fixture(scope="module")
def trial() -> Trial:
    """A small adapter, and its whole plan read well."""
    return Trial(JOB, "all")


def mended(*points: str) -> Entry:
    return Entry(kind=EntryKind.MENDED, by="T", points=tuple(map(Address.read, points)))


def turned(e: Entry) -> Entry:
    return replace(e, seen="silent" if e.seen == "beep" else "beep")


def beeps(trial: Trial) -> list[int]:
    return [n for n, e in enumerate(trial.clean) if e.seen == "beep"]


def test_a_wrong_reading_voids_what_was_read_at_its_nets(trial: Trial) -> None:
    """Wrong, then well twice: the readings taken before at these nets are asked for again, no others."""
    at = beeps(trial)[-1]
    wrong = turned(trial.clean[at])
    judged = judge(
        trial.harness,
        [*trial.clean[:at], wrong, trial.clean[at], trial.clean[at], *trial.clean[at + 1 :]],
        planned=trial.plan,
    )
    nets = {trial.as_drawn.net_of[a] for a in (*wrong.red, *wrong.black)}
    before = [p for p in trial.plan.probes if p.n <= at]
    touched = {p.n for p in before if nets & {trial.as_drawn.net_of[a] for a in p.points}}
    assert judged.verdict == "incomplete" and not judged.disagree
    assert {p.n for p in judged.left} == touched - {at + 1}


def test_right_wrong_right_comes_and_goes_until_it_is_mended(trial: Trial) -> None:
    """However often it reads well after that; a repair there and everything read again is a pass."""
    at = beeps(trial)[0]
    well = trial.clean[at]
    entries = [*trial.clean, turned(well), well, well, well]
    judged = judge(trial.harness, entries, planned=trial.plan)
    assert judged.verdict == "incomplete"
    assert any("until it is mended" in line for line in judged.told())
    again = [*entries, mended(well.red[0], well.black[0]), *trial.clean]
    assert judge(trial.harness, again, planned=trial.plan).verdict == "pass"


@pytest.mark.parametrize(("again", "well"), [("121", True), ("134", False)])
def test_a_figure_within_a_twentieth_is_the_same_reading(again: str, well: bool) -> None:
    """No display shows the same digits twice: wrong, then well twice, is well (common practice)."""
    harness = Harness(settled_demo())
    made = plan(harness)
    at = next(p for p in made.probes if "R1" in str(p.proves) and not p.is_through)
    entries = [
        Entry(kind=EntryKind.PROBE, red=at.red, black=at.black, ohms=Span.of(float(ohms)))
        for ohms in ("60", "120", again)
    ]
    (last,) = History(Drawn(harness, "splice-in"), made, entries).readings
    assert (last.agrees is True) is well


def test_not_sure_takes_nothing_back(trial: Trial) -> None:
    """Silent, not sure, beep is no beep twice in a row."""
    at = beeps(trial)[0]
    well = trial.clean[at]
    entries = [turned(well), replace(well, seen="unsure"), *trial.clean]
    judged = judge(trial.harness, entries, planned=trial.plan)
    assert judged.verdict == "incomplete" and len(judged.wavering) == 1


def test_a_silence_before_its_contact_beeped_proves_nothing(trial: Trial) -> None:
    """The same readings the other way round: every silence between joined contacts is left."""
    backwards = trial.clean[::-1]
    judged = judge(trial.harness, backwards, planned=trial.plan)
    assert judged.verdict == "incomplete" and not judged.disagree
    assert any(p.kind == "apart" for p in judged.left)
    assert not any(p.is_through for p in judged.left)


def test_what_a_repair_touches_is_read_again(trial: Trial) -> None:
    """The circuit named and those beside it on the face; what was read apart from all of these stands."""
    point = JOB.circuits[0].join[0]
    entries = [*trial.clean, mended(point)]
    judged = judge(trial.harness, entries, planned=trial.plan)
    drawn = trial.as_drawn
    near = {drawn.net_of[a] for a in (point, *drawn.neighbours[point])}
    stale = {p.n for p in trial.plan.probes if near & {drawn.net_of[a] for a in p.points}}
    assert {p.n for p in judged.left} == stale
    assert any(line.startswith(f"mended {point}: read these") for line in judged.told())
    assert judge(trial.harness, [*entries, *trial.clean], planned=trial.plan).verdict == "pass"


def test_a_walk_begins_with_what_was_mended(trial: Trial) -> None:
    """Its beeps, though they stand far behind in the plan; then what else is stale; what was never read comes last."""
    point = trial.clean[beeps(trial)[-1]].red[0]
    near = History(trial.as_drawn, None, [mended(point)]).repairs[0].nets
    nets = {p.n: {trial.as_drawn.net_of[a] for a in p.points} for p in trial.plan.probes}
    unread = next(p.n for p in trial.plan.probes if p.kind == "apart" and not near & nets[p.n])
    entries = [*trial.clean[: unread - 1], *trial.clean[unread:], mended(point)]
    walk = Walk(trial.harness, trial.plan, entries)
    asked = []
    while (turn := walk.turn()) is not None and turn.probe is not None:
        asked.append(turn.probe)
        entry = trial.clean[turn.probe.n - 1]
        answer = entry.seen or str(entry.ohms.low if entry.ohms else "")
        assert walk.answer(turn, answer, "T", "2026-03-02")
    own = trial.as_drawn.net_of[point]
    due = [p.n for p in trial.plan.probes if p.is_through and nets[p.n] == {own}]
    assert [p.n for p in asked[: len(due)]] == due and due[0] > min(p.n for p in asked)
    assert all(near & nets[p.n] for p in asked[:-1]) and asked[-1].n == unread
    assert walk.judged().verdict == "pass"


def test_after_a_repair_a_net_is_read_once_against_all_others() -> None:
    """With combs: first its beeps, then one reading against the others clipped together."""
    trial = Trial(JOB, "rest")
    entries = [*trial.clean, mended("new.1")]
    asked = []
    while (judged := judge(trial.harness, entries, planned=trial.plan)).next is not None:
        asked.append(judged.next)
        entries.append(trial.answer(trial.sound, judged.next))
    assert judged.verdict == "pass"
    assert len(asked) < len(trial.plan.probes)


def test_a_comb_that_was_silent_stands_for_the_others(trial: Trial) -> None:
    """Of a silent comb a repair takes out its own nets; what is left of it counts."""
    drawn = Drawn(Harness(JOB), "adapter")
    nets = list(drawn.reached.values())
    comb = replace(
        entry("x.1", "x.2", "silent"),
        red=(nets[0][0],),
        black=tuple(Address.read(points[0]) for points in nets[1:]),
    )
    readings = History(drawn, None, [comb, mended(nets[-1][0])]).readings
    touched = History(drawn, None, [mended(nets[-1][0])]).repairs[0].nets
    left = {drawn.net_of[a] for t in readings for a in t.black}
    assert (
        left == {drawn.net_of[p[0]] for p in nets[1:]} - touched
        or drawn.net_of[nets[0][0]] in touched
    )


@pytest.mark.parametrize("seed", range(len(METHODS)))
def test_no_pass_with_a_mistake_in_after_a_repair(seed: int) -> None:
    """Two mistakes, the first mended before, among or after the questions, a third made by the repair.

    Each method comes to its end: all mended, all read again, and a pass.
    """
    job, kind = (
        (spliced_job(seed, 16), "splice-in") if seed % 2 else (random_job(seed, 16), "adapter")
    )
    came = trials(Trial(job, METHODS[seed], kind), seed, 4)
    assert came["false pass"] == came["unfinished"] == 0, came
    assert came["pass"] > 0, came


@pytest.mark.by_hand
@pytest.mark.parametrize("seed", range(40))
def test_never_a_pass_with_a_mistake_in(seed: int, share: int | None) -> None:
    """The same over forty adapters and forty splices, in every method, two dozen pairs each; or fewer, drawn."""
    for job, kind in ((random_job(seed, 30), "adapter"), (spliced_job(seed, 30), "splice-in")):
        came = trials(Trial(job, METHODS[seed % len(METHODS)], kind), seed, (share or 48) // 2)
        assert came["false pass"] == 0, came


def test_the_open_engine_judges_lines_and_walks() -> None:
    """Plan, verdict and walk by the package's own names; lines that cannot be read are refused."""
    harness = wiremap.Harness(JOB)
    planned = wiremap.plan_ringout(harness, "rest")
    trial = Trial(JOB, "rest")
    assert wiremap.judge_ringout(harness, trial.clean, planned).verdict == "pass"
    one = JOB.circuits[0].join
    judged = wiremap.judge_ringout(harness, f"{one[0]} - {one[1]} s", planned)
    assert [t.told for t in judged.disagree] == [f"{one[0]} to {one[1]}: silent"]
    with pytest.raises(ValueError, match=r"old\.99"):
        wiremap.judge_ringout(harness, "old.99 - new.1 b", planned)
    walk = wiremap.Walk(harness, planned)
    turn = walk.turn()
    assert turn is not None and len(walk.answer(turn, "b", "RK", "2026-03-02")) == 1
    assert len(walk.judged().left) < len(planned.probes)


def test_a_load_that_no_reading_judges_is_not_proven() -> None:
    """Every load behind the loom: a third of it, three times it, nothing there would show or is told."""
    job = spliced_job(3, 24)
    harness = wiremap.Harness(job)
    drawn = Drawn(harness, "splice-in")
    for method in METHODS:
        planned = wiremap.plan_ringout(harness, method, "splice-in")
        finder = Finder(drawn, planned.probes)
        told = {g.subject for g in planned.not_proven if g.kind == "hidden"}
        modelled = list(loads_other(drawn))
        assert modelled
        for load in modelled:
            assert finder.finds(load) != ((load.kind, *load.subject) in told)


def test_the_box_counts_no_net_that_was_mended_after_it_was_read(trial: Trial) -> None:
    """Rung out n of m: a repair takes its circuit out until it is read again."""

    def rung_out(entries: list[Entry]) -> int:
        job = replace(JOB, notebooks=(Notebook(path="n.yaml", entries=tuple(entries)),))
        return progress_of(Harness(job)).rung_out[0]

    point = next(c.join[0] for c in JOB.circuits if c.join[0].startswith("old."))
    whole = rung_out(trial.clean)
    after = rung_out([*trial.clean, mended(point)])
    assert 0 < after + 1 <= whole
    assert rung_out([*trial.clean, mended(point), *trial.clean]) == whole


def test_where_nothing_fits_the_next_reading_is_in_ohms() -> None:
    """Strange beeps all over: each is read in ohms before the groups that beeped are all that is told."""
    job = random_job(7)
    harness = Harness(job)
    old, new = ([c.join[k] for c in job.circuits if len(c.join) == 2][:9] for k in (0, 1))
    strange = [entry(a, b, "beep") for a, b in zip(old, new[1:] + new[:1], strict=True)]
    judged = judge(harness, [*strange, *strange], kind="adapter")
    assert judged.diagnosis.fits or judged.next is not None
    if not judged.diagnosis.fits:
        assert judged.next is not None and judged.next.expect == "ohms"


def test_a_silence_backwards_is_no_proof_of_a_diode() -> None:
    """With the forward reading left out, the diode's own probe is still to be taken."""
    job = random_job(20, 24)
    trial = Trial(job, "near")
    forward = [p.n for p in trial.plan.probes if p.expect == "diode"]
    assert forward
    rest = [e for p, e in zip(trial.plan.probes, trial.clean, strict=True) if p.n not in forward]
    judged = judge(trial.harness, rest, planned=trial.plan)
    assert [p.n for p in judged.left] == forward


def test_a_reading_between_two_loads_rests_on_all_that_they_meet() -> None:
    """Valve to ground goes through the chassis: another valve there may lie beside it (common practice)."""
    drawn = Drawn(Harness(settled_demo()), "splice-in")
    rests = History(drawn, None, ()).rests_on(("loom.3",), ("loom.2",))
    assert {drawn.net_of[point] for point in ("loom.2", "loom.3", "loom.5")} <= rests
    alone = History(drawn, None, ()).rests_on(("loom.3",), ("loom.3",))
    assert drawn.net_of["loom.3"] in alone
