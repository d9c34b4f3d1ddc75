"""The form of a stage: its card, and what an answer to it comes to."""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wiremap.base import only
from wiremap.content.cards import DONE, Card, CardLink, CardQuestion, Tick
from wiremap.content.stop_cards import ALONE, LICENCE, UNREAD
from wiremap.content.stops_passed import NEEDS_LICENCE, THEIR_LICENCE, lacks_licence
from wiremap.content.words import listed
from wiremap.entries.deeds import kept_deed
from wiremap.evidence import SURE, refusal, unfounded
from wiremap.evidence.one_reason import tells_of_one
from wiremap.model import Entry, EntryKind, Job, Stop, same_person, says_what
from wiremap.page.moment import Moment
from wiremap.survey.later import LaterReading
from wiremap.survey.lines import typed_survey
from wiremap.survey.question import Question
from wiremap.survey.together import EACH, EACH_HOW, each_how, spread

ONE_ANSWER = "touch one answer or type one, not both"
NOTHING = "nothing was answered"
NOT_READ = "not read yet: read it (Survey), or say why it is cut unread"
Entries = tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FormAnswer:
    """What came with a form for one question: the choice touched, what was typed by blank."""

    touched: str
    typed: Mapping[str, str]

    def text(self, name: str) -> str:
        """What was typed in one blank."""
        return self.typed.get(name, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Who answers, and the day: what an entry is kept under."""

    by: str
    date: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FormOutcome:
    """What a form came to: entries to keep, and what there is to say of the rest."""

    entries: Entries = ()
    refusals: tuple[str, ...]


class PageStage(ABC):
    """One stage of the work."""

    path: str  # of its card in the browser
    words: str  # what links call it

    @abstractmethod
    def card(self, now: Moment, at: str) -> Card:
        """What to do now; `at` names a thing of this stage that was asked for."""

    @abstractmethod
    def read(self, now: Moment, ask: CardQuestion, reply: FormAnswer, hand: Hand) -> Entries | str:
        """The entries that one answer comes to, or in words why it is none."""

    @abstractmethod
    def owns(self, entry: Entry) -> bool:
        """Whether an entry was kept in this stage, so that it can be taken back here."""

    @abstractmethod
    def left(self, now: Moment) -> str:
        """What is left to do here, in a sentence; empty if nothing is."""

    def told_of(self, now: Moment, entry: Entry) -> str:
        """What an entry that was kept comes to, where more can be said of it than it says."""
        return ""

    def take(
        self, now: Moment, answers: Sequence[tuple[CardQuestion, FormAnswer]], hand: Hand
    ) -> FormOutcome:
        """Every answer of a form, each by itself."""
        entries: list[Entry] = []
        refusals: list[str] = []
        for ask, reply in answers:
            outcome = self.read(now, ask, reply, hand)
            if isinstance(outcome, str):
                refusals.append(f"{ask.heading}: {outcome}" if ask.heading else outcome)
            else:
                entries += outcome
        return FormOutcome(entries=tuple(entries), refusals=tuple(refusals))


def tick_entry(asked: Tick, reply: FormAnswer, hand: Hand) -> Entries | str:
    """A ticked deed as an entry."""
    if reply.touched != DONE.value:
        return NOTHING
    return (done_entry(kept_deed(asked.under, asked.deed), hand),)


def answer_entry(job: Job, question: Question, reply: FormAnswer, hand: Hand) -> Entries | str:
    """A named answer to a question, or in words why it is none."""
    typed = reply.text("answer")
    if typed and reply.touched:
        return ONE_ANSWER
    text = " ".join((typed or reply.touched).split())
    if not text:
        return "say the answer too, not only how it was found out"
    how = " ".join(reply.text("how").split())
    said = spread(question.all_about, text)
    if isinstance(said, str):
        return f"{said}: {EACH}"
    hows = each_how(question.all_about, how)
    wrong = _why_no_answer(job, said, hows)
    if wrong:
        return wrong
    return tuple(
        Entry(
            kind=EntryKind.ANSWER,
            about=about,
            answer=answered,
            how=found,
            by=hand.by,
            date=hand.date,
        )
        for (about, answered), found in zip(said, hows, strict=True)
    )


def _why_no_answer(job: Job, said: Sequence[tuple[str, str]], hows: Sequence[str]) -> str:
    """Why what was answered of some contacts cannot be kept; empty if it can."""
    for (about, text), how in zip(said, hows, strict=True):
        refused = refusal(job, about, text)
        if refused is not None:
            return f"{refused.why} ({refused.fix})"
        lacking = unfounded(job, about, text, how)
        if lacking is not None:
            begun = f", beginning with {SURE}" if SURE in lacking.fix else ""
            return f"{lacking.why}; if it is so, fill in how it was found out{begun}"
    for how in dict.fromkeys(hows):
        alike = [about for (about, _), found in zip(said, hows, strict=True) if found == how]
        other = tells_of_one(job, alike, how)
        if other:
            return f"{other}: {EACH_HOW}"
    return ""


def done_entry(deed: str, hand: Hand) -> Entry:
    """A deed as an entry."""
    return Entry(kind=EntryKind.DONE, what=deed, by=hand.by, date=hand.date)


def stop_entry(now: Moment, stop: Stop, reply: FormAnswer, hand: Hand) -> Entries | str:
    """A stop passed by two people, or by one who says that he works alone.

    With licensed work one of the two holds a licence for it.
    """
    second = " ".join(reply.text("second").split())
    alone = reply.touched == ALONE.value
    if alone and second:
        return ONE_ANSWER
    if not alone and not second:
        return "a stop is passed with a second name, or alone: one of the two"
    if not alone and same_person(second, hand.by):
        return "the second name is the first once more"
    licensed = " ".join(reply.text(LICENCE.name).split())
    if lacks_licence(now.checked, (hand.by, second), licensed):
        return f"{NEEDS_LICENCE}: say {THEIR_LICENCE}"
    why = " ".join(reply.text(UNREAD.name).split())
    if stop is Stop.CUT and now.worked.owed_contacts and not says_what(why):
        return f"{listed(*sorted(now.worked.owed_contacts))}: {NOT_READ}"
    passed = Entry(
        kind=EntryKind.STOP_PASSED,
        stop=stop,
        by=hand.by,
        date=hand.date,
        second=second,
        alone=alone,
        licensed=licensed,
        why=why,
    )
    return (passed,)


def held_first(now: Moment) -> tuple[CardLink, ...]:
    """What holds the job, as what is owed first."""
    stops = [finding for finding in now.checked.findings if finding.holds]
    if not stops:
        return ()
    return (CardLink(path="/findings", words=f"first: the job is on hold: {stops[0].message}"),)


def with_unit(text: str, unit: str) -> str:
    """A figure with its unit; one that is typed with it stays."""
    words = " ".join(text.split())
    return f"{words} {unit}" if re.search(r"\d$", words) else words


def ohms_line(red: str, black: str, state: str | None, reply: FormAnswer) -> str:
    """Ohms as a line of the survey; empty where they are missing or said twice."""
    ohms = reply.text("ohms")
    if bool(ohms) == bool(reply.touched):
        return ""
    volts = reply.text("volts")
    figures = [with_unit(volts, "V")] if volts else []
    figures.append(with_unit(ohms or reply.touched, "ohm"))
    return f"{red} to {black} {state or ''} {' '.join(figures)}"


def survey_entry(now: Moment, line: str, reply: FormAnswer, hand: Hand) -> Entries | str:
    """A reading as its line of the survey is read."""
    if not line:
        return ONE_ANSWER if reply.touched else "a figure is wanted: what the display shows"
    entries, faults, _ = typed_survey(now.opened.job, line, "card", hand.by, hand.date)
    if faults:
        first, *_ = faults
        return first.message
    return "one reading at a time" if only(entries) is None else entries


def later_entry(now: Moment, asked: LaterReading, reply: FormAnswer, hand: Hand) -> Entries | str:
    """Ohms read once the wires are cut."""
    line = ohms_line(asked.red, asked.black, asked.state, reply)
    return survey_entry(now, line, reply, hand)
