"""What is at the bench is asked once, before the ring-out: by `next`, by the walk and by the page."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from called import called
from demo_jobs import DEMO, copied_demo
from page_states import at
from test_page_cards import Desk

from wiremap.check import check
from wiremap.content.next_step import after_job
from wiremap.diagnose.walk import Walk
from wiremap.evidence import Count, settle
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.mistakes.beeper import beeper_of
from wiremap.model import Entry, EntryKind, Job, Seen
from wiremap.ringout.bench import bench_questions, open_questions
from wiremap.ringout.plan import plan

BENCH = ["equipment", "beeper"]


def says(about: str, answer: str) -> Entry:
    """A named answer."""
    return Entry(kind=EntryKind.ANSWER, about=about, answer=answer, by="RK", date="2026-03-05")


@pytest.fixture
def here(tmp_path: Path) -> Path:
    """A copy of the demo in which nobody has said anything of the bench."""
    return copied_demo(tmp_path / "demo", *(f"about: {word}," for word in BENCH)).parent


def settled(folder: Path) -> Job:
    """The job of a folder, answers laid over it."""
    loaded = load_job(folder / "job.yaml")
    assert loaded.value is not None
    return settle(loaded.value)


def asked(job: Job, *entries: Entry) -> list[str]:
    """What these entries leave open of the bench."""
    return [question.about for question in bench_questions(job, entries)]


def test_each_is_asked_once(here: Path) -> None:
    """An answer, also that nobody knows, ends it; one that cannot be read does not."""
    job = settled(here)
    assert BENCH == asked(job)
    assert ["beeper"] == asked(job, says("equipment", "12 clips"))
    assert [] == asked(job, says("equipment", "don't know"), says("beeper", "40"))
    assert BENCH == asked(job, says("equipment", "a hammer"), says("beeper", "loud"))


def test_nothing_is_asked_once_a_reading_was_taken(here: Path) -> None:
    """Its plan stands by then; nor is anything asked where there is nothing to ring out."""
    job = settled(here)
    read = Entry(kind=EntryKind.PROBE, red=("loom.12",), black=("donor.16",), seen=Seen.BEEP)
    assert [] == asked(job, read)
    assert [] == asked(replace(job, circuits=()))


def test_the_papers_come_first(here: Path) -> None:
    """What a paper leaves open is asked before the bench is; the shipped demo leaves nothing open."""
    job = settled(here)
    assert BENCH == [question.about for question in open_questions(job)]
    hot = replace(job, surroundings=replace(job.surroundings, ambient_C=None))
    assert ["surroundings.ambient_C"] == [question.about for question in open_questions(hot)]
    assert () == open_questions(settled(DEMO))


@pytest.mark.parametrize("text", ["40", "40 ohm", "40ohm", "40 \u03a9", " 40 ohms "])
def test_a_beepers_limit_is_read_as_it_may_be_typed(text: str) -> None:
    """With its unit or without; the last that says one counts."""
    beeper = beeper_of([says("beeper", text), says("beeper", "don't know")])
    assert (40.0, True) == (beeper.limit_ohms, beeper.stated)


def test_next_asks_both_and_then_no_more(here: Path) -> None:
    """One after the other, by the same command."""
    for about, answer in (("equipment", "a mating half, 12 clips"), ("beeper", "don't know")):
        told = json.loads(called("next", "job.yaml", "--json", cwd=here).stdout)
        assert about == told["next"]["about"]
        kept = called("next", "job.yaml", "--answer", answer, "--by", "RK", cwd=here)
        assert 0 == kept.returncode
    assert "nothing is left to ask" in kept.stdout
    assert "clips" == plan(Harness(settled(here))).method


def test_the_sentence_sends_there_before_the_sheet_is_printed(here: Path) -> None:
    """The sheet's readings are those that the bench allows."""
    for folder, wanted in ((here, "wiremap next"), (DEMO, "wiremap sheet")):
        (checked,) = check([str(folder / "job.yaml")]).jobs
        assert wanted in after_job(replace(checked, surveyed=Count(15, 15)))


def test_the_walk_asks_before_its_first_probe(here: Path) -> None:
    """What is no answer is told; the answers are kept, and the plan is the one that they allow."""
    typed = "hammer\n\n2 clips and a mating half\ndon't know\nq\n"
    walked = called("ringout", "job.yaml", "--walk", "--by", "RK", cwd=here, text=typed)
    assert "\n2 questions about the bench, then at most 116 readings\n" in walked.stdout
    assert "HOLD" not in walked.stdout
    assert "`hammer` is no answer about equipment" in walked.stdout
    assert "Enter is no answer" in walked.stdout
    assert "probe 1 of 55" in walked.stdout
    kept = list(settled(here).entries)
    assert [("equipment", "2 clips and a mating half"), ("beeper", "don't know")] == [
        (entry.about, entry.answer) for entry in kept if entry.about in BENCH
    ]
    again = called("ringout", "job.yaml", "--walk", "--by", "RK", cwd=here, text="q\n")
    assert "What is at the bench" not in again.stdout


def test_the_walk_says_first_that_the_job_is_on_hold(here: Path) -> None:
    """A circuit that nobody has settled holds the demo."""
    job = here / "job.yaml"
    text = job.read_text("utf-8").replace("{id: wake, ", "{id: wake, grade: ask, ", 1)
    lines = [line for line in text.splitlines() if "circuit: wake," not in line]
    job.write_text("\n".join(lines), "utf-8")
    walked = called("ringout", "job.yaml", "--walk", "--by", "RK", cwd=here, text="q\n")
    first, second, *_ = walked.stdout.splitlines()
    assert first == "HOLD, 1 stop: what is rung out now may change yet; see wiremap check job.yaml"
    assert second.startswith("2 questions about the bench")


def test_a_walk_goes_by_what_is_answered(here: Path) -> None:
    """The plan is made anew; a method that somebody chose stays, whatever there is."""
    harness = Harness(settled(here))
    for method, wanted in ((None, "clips"), ("near", "near"), ("rest", "rest")):
        walk = Walk(harness, plan(harness, method))
        equipment = walk.question()
        assert equipment is not None and () == walk.settle(equipment, "a drum", "RK", "")
        assert walk.settle(equipment, "12 clips", "RK", "2026-03-05")
        beeper = walk.question()
        assert beeper is not None and walk.settle(beeper, "150 ohm", "RK", "2026-03-05")
        assert walk.question() is None
        assert (wanted, 150.0) == (walk.plan.method, walk.plan.beeper.limit_ohms)
        turn = walk.turn()
        assert turn is not None and turn.probe == walk.plan.probes[0]


def test_the_page_asks_before_the_first_reading(tmp_path: Path) -> None:
    """At the ring-out's own stage, by touch; then its readings are those of that bench."""
    desk = Desk(at("bench", tmp_path / "demo"))
    card = desk.look("/ringout")
    assert "what is at the bench" in card.heading
    assert "no answer" in desk.send("/ringout", {"answer": "a drum"}).text
    desk.send("/ringout", {"answer": "a mating half, 12 clips"})
    shown = desk.send("/ringout", {"choice": "don't know"})
    assert "of 55 readings left" in shown.text
    said = [entry.answer for entry in desk.kept(EntryKind.ANSWER) if entry.about in BENCH]
    assert ["a mating half, 12 clips", "don't know"] == said
