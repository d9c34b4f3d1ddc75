"""What hands do at the machine around its readings: plugs, switches, fuses, lamps, its sleep."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wiremap.content.all_on import all_on
from wiremap.content.asleep import asleep
from wiremap.content.cards import DONE, Card, CardLink, CardQuestion, Choice, Places, Tick, mark_for
from wiremap.content.done import made_on_paper, ticked
from wiremap.content.fuses_pulled import FusePull, feed_pulls, service_pulls
from wiremap.content.given import Given
from wiremap.content.joint_work import TO_WRITE, said_step
from wiremap.content.loaded_steps import loaded_blocks
from wiremap.content.steps import Step, Steps
from wiremap.content.stop_cards import is_passed
from wiremap.content.unplugging import leads_out, unplugged
from wiremap.content.words import NOTE, sentence_case
from wiremap.firstpower.faces import QUIET_MINUTES
from wiremap.graph import Harness
from wiremap.model import CHASSIS, Entry, Stop

PULLED = "fuses pulled before the cut"
AROUND = "done around the survey"
STILL_LIVE = "Not dead: stop. Something else feeds it, and the job's files do not say so yet."
OTHERWISE = "Another one, or another way: stop. The job's files do not say so yet."
LOST_MORE = "More: stop. The feed is poor; find out where first."
AS_TOLD = "as told, no other changed"
ON_THE_TAG = "read, and written on the ignition key's tag"


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyDeed:
    """One deed as its step on paper; `choice` is touched when it is so, `points` are probed."""

    step: Step
    title: str = ""
    lead: tuple[str, ...] = ()
    choice: str = ""
    under: str = AROUND
    points: tuple[str, ...] = ()
    black: str = ""
    wait_minutes: int | None = None

    @property
    def deed(self) -> str:
        """How it is kept once it is done."""
        return said_step(self.step)


@dataclass(frozen=True, slots=True, kw_only=True)
class DeedsLeft:
    """What nobody has done yet: before the readings, behind the volts, behind all of them."""

    before: tuple[SurveyDeed, ...] = ()
    between: tuple[SurveyDeed, ...] = ()
    behind: tuple[SurveyDeed, ...] = ()

    @property
    def every(self) -> tuple[SurveyDeed, ...]:
        """All of them in their order."""
        return (*self.before, *self.between, *self.behind)

    def due(self, *, volts_owed: bool, all_read: bool) -> tuple[SurveyDeed, ...]:
        """What is done before the next reading."""
        if self.before:
            return self.before
        if self.between and not volts_owed:
            return self.between
        return self.behind if all_read else ()


def deeds_left(given: Given, entries: Sequence[Entry]) -> DeedsLeft:
    """The deeds that are not ticked; none once the work has begun, or where nothing is read."""
    survey = given.survey
    if survey is None or not survey.rows or is_passed(Stop.CUT, entries) or made_on_paper(entries):
        return DeedsLeft()
    done = {under: ticked(entries, under) for under in (PULLED, AROUND)}

    def left(deeds: Iterator[SurveyDeed]) -> tuple[SurveyDeed, ...]:
        return tuple(each for each in deeds if each.deed not in done[each.under])

    return DeedsLeft(
        before=left(SurveyDeed(step=step) for step in unplugged(given)),
        between=left(_between(given)),
        behind=left(SurveyDeed(step=step) for step in leads_out(given)),
    )


def _between(given: Given) -> Iterator[SurveyDeed]:
    """With the battery still on, in the order of the sheet."""
    assert given.survey is not None
    for block in all_on(given, given.survey):
        yield from _of(
            replace(block, title=f"{block.title}, ignition on"), choice=AS_TOLD, lead=(OTHERWISE,)
        )
    yield from map(_pulled, feed_pulls(given))
    for block in loaded_blocks(given):
        for step in block.steps:
            supply, _, ground = step.at.partition(" – ")
            yield SurveyDeed(
                step=step,
                title=block.title,
                lead=(f"{sentence_case(_unwritten(step.text))}.", block.lead, LOST_MORE),
                choice="noted" if step.want == NOTE else f"lost: {step.want}",
                points=(supply,),
                black=ground,
            )
    for block in asleep(given):
        yield from _of(block, choice=ON_THE_TAG, wait_minutes=QUIET_MINUTES)
    yield from map(_pulled, service_pulls(given))


def _of(
    block: Steps, *, choice: str, lead: tuple[str, ...] = (), wait_minutes: int | None = None
) -> Iterator[SurveyDeed]:
    for step in block.steps:
        told = (block.lead, f"{step.text.rstrip('.')}.", step.note, *lead)
        yield SurveyDeed(
            step=step,
            title=block.title,
            lead=tuple(filter(None, told)),
            choice=choice,
            wait_minutes=wait_minutes,
        )


def _pulled(pull: FusePull) -> SurveyDeed:
    return SurveyDeed(
        step=pull.step,
        title=pull.title,
        lead=(f"{sentence_case(pull.words)}.", STILL_LIVE),
        choice=f"dead: {pull.step.want}",
        under=PULLED,
        points=pull.points,
        black=CHASSIS,
    )


def _unwritten(text: str) -> str:
    """A step's words without the places to write in."""
    return text.replace(f", {TO_WRITE}:", ":").replace(f" {TO_WRITE}", "")


def deed_card(
    harness: Harness, due: Sequence[SurveyDeed], counted: str, others: Sequence[CardLink]
) -> Card:
    """The next deed with a card of its own, or all that are ticked one after another."""
    first, *_ = due
    now = (first,) if first.title else due
    left = f"Left before the battery is off for the ohms: {len(due)}"
    return Card(
        heading="On the machine: one thing" if first.title else "On the machine: its plugs",
        lead=(left if first.title else counted,),
        asks=tuple(_ask(harness, each) for each in now),
        more=tuple(others),
        wait_minutes=first.wait_minutes,
    )


def _ask(harness: Harness, each: SurveyDeed) -> CardQuestion:
    """One deed, and where the meter shows that it is so; one that shows nothing is a tick."""
    places = Places(harness, at_machine=True)
    red = [places.spot("red probe", point) for point in each.points]
    black = [places.spot("black probe", each.black)] if each.black else []
    return CardQuestion(
        mark=mark_for("tick", each.under, each.deed),
        heading=each.title,
        spots=(*red, *black),
        lead=each.lead,
        choices=(Choice(value=DONE.value, words=each.choice or each.deed),),
        of=Tick(under=each.under, deed=each.deed),
    )
