"""What is wrong at first power comes before all else, wherever it is asked, until it is mended."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from sheet_cases import demo_given
from test_filled_in import filled_steps
from test_papers_kept import with_entries

from wiremap.check import Checked, Report, check_harness
from wiremap.content.compose import head_of
from wiremap.content.next_step import after_check, after_sheet
from wiremap.content.power_cards import power_card
from wiremap.content.record import how_far
from wiremap.content.work_order import before_stop
from wiremap.content.work_state import work_state
from wiremap.entries.deeds import kept_deed
from wiremap.evidence import Count
from wiremap.firstpower.deeds import NOT_SO, OF, step_words
from wiremap.firstpower.judge import PowerVerdict, power_judge
from wiremap.firstpower.step import PowerStep
from wiremap.model import Address, Entry, EntryKind, Stop

RK = {"by": "RK", "date": "2026-01-02"}
MENDED = Entry(kind=EntryKind.MENDED, points=(Address("donor", "3"),), **RK)


@cache
def dead() -> PowerStep:
    """A step at which no volts belong."""
    return next(s for s in demo_given().power if s.quantity == "V" and s.red and s.high == 0.1)


def volts(figure: float) -> Entry:
    """A reading at that step."""
    step = dead()
    return Entry(
        kind=EntryKind.POWER,
        red=(Address.read(step.red or ""),),
        black=(Address.read(step.black or ""),),
        key=step.key,
        volts=figure,
        **RK,
    )


def not_so(words: str, of: str = NOT_SO) -> Entry:
    """What eyes told of a step."""
    return Entry(kind=EntryKind.DONE, what=kept_deed(of, words), **RK)


def judged(*entries: Entry) -> PowerVerdict:
    """The verdict over some entries alone."""
    return power_judge(demo_given().harness, entries, demo_given().power)


def checked(*entries: Entry) -> Checked:
    """The demo as a check tells it with these entries behind its own."""
    return check_harness(with_entries(demo_given(), *entries).harness)


WAYS = (
    (volts(12.3),),
    (volts(12.3), volts(0.0)),
    (volts(0.0), volts(12.3), volts(0.0)),
    (not_so(step_words(dead())),),
    (not_so(step_words(dead())), not_so(step_words(dead()), OF)),
)


@pytest.mark.parametrize("entries", WAYS)
def test_it_is_wrong_until_mended(entries: tuple[Entry, ...]) -> None:
    """Whatever is read or seen right behind it; a repair begins anew, and right alone is right."""
    verdict = judged(*entries)
    assert verdict.verdict == "fail" and verdict.stamp("P") == f"FIRST POWER: WRONG AT P{dead().n}"
    assert verdict.halt.startswith("battery off, then find why")
    assert not judged(*entries, MENDED).halt and not judged(volts(0.0)).halt


def test_right_behind_wrong_comes_and_goes() -> None:
    """It says so, with the figure that was wrong; a struck-out reading is no longer there."""
    (wrong,) = judged(volts(12.3), volts(0.0)).wrong
    assert wrong.value == 12.3 and "comes and goes" in wrong.why
    assert "comes and goes" not in judged(volts(0.0), volts(12.3)).wrong[0].why


def test_not_so_outlasts_new_numbers() -> None:
    """Under the words of an older list it is found at its step, and where the step is gone it stays."""
    looks = [step for step in demo_given().power if step.looks]
    step = next(s for s in looks if sum(each.do == s.do for each in looks) == 1)
    verdict = judged(not_so(f"{step.n + 4}. {step.do}"), not_so(step_words(step), OF))
    assert verdict.seen.not_so == (step,) and not verdict.seen.older
    gone = judged(not_so("50. a lamp that the list has no longer"))
    assert gone.verdict == "fail" and gone.stamp("P") == "FIRST POWER: WRONG"
    assert "50. a lamp that the list has no longer" in gone.halt
    assert any("has changed since" in line for line in gone.told())


@pytest.mark.parametrize("entries", [WAYS[0], WAYS[1], WAYS[3]])
def test_it_comes_before_all_else(entries: tuple[Entry, ...]) -> None:
    """In a check and its exit code, before every stop behind the cut, on the sheet, on the page."""
    job = checked(*entries)
    report = Report((job,), (), {})
    assert (report.exit_code, Report((checked(),), (), {}).exit_code) == (1, 0)
    assert (job.as_dict()["wrong_at_power"], checked().as_dict()["wrong_at_power"]) == (True, False)
    assert "check job.yaml" in after_check(
        Report((checked(), replace(job, path="job.yaml")), (), {})
    )
    first = "battery off, then find why"
    assert after_check(report).startswith(first) and "--strike MARK" in after_check(report)
    for stop in (Stop.SLEEVES, Stop.BATTERY, Stop.MATING):
        assert before_stop(replace(job, rung_out=Count(9, 9)), stop).startswith(first)
    given = replace(with_entries(demo_given(), *entries), first_power=job.first_power)
    assert after_sheet(given).startswith(first)
    head = head_of(given)
    assert head.stamp == f"FIRST POWER: WRONG AT P{dead().n}" and head.wrong and not head.held
    assert how_far(given).stopped.startswith(head.stamp)
    assert filled_steps(given)[f"P{dead().n}"].wrong
    state = work_state(job)
    assert state.held and state.words.startswith("FIRST POWER: WRONG AT STEP")
    card = power_card(given.harness, given.power, entries, {}, licensed=False)
    assert card.heading == f"First power, step {dead().n}" and card.stop
