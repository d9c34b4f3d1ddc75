"""The stages before the bench: findings and who signs, open questions, the survey."""

from __future__ import annotations

from wiremap.content.cards import Card, CardQuestion, Tick
from wiremap.content.finding_cards import finding_card, open_groups, open_words
from wiremap.content.grouped import Group
from wiremap.content.question_cards import asked_yet, open_questions, question_card
from wiremap.content.signing import needs_licence, not_of_all, signatures
from wiremap.content.survey_cards import LOCKED_OUT, is_owed, rows_left, survey_card
from wiremap.content.survey_deeds import AROUND, PULLED, deeds_left
from wiremap.entries.deeds import belongs
from wiremap.evidence.expected import Quantity
from wiremap.model import A_REASON, WHICH_LICENCE, Entry, EntryKind, says_what
from wiremap.page.moment import Moment
from wiremap.page.stages.stage import (
    Entries,
    FormAnswer,
    Hand,
    PageStage,
    answer_entry,
    ohms_line,
    survey_entry,
    tick_entry,
    with_unit,
)
from wiremap.reports.survey import verdict_line
from wiremap.survey.later import is_later
from wiremap.survey.question import Question
from wiremap.survey.rows import SurveyRow


class Findings(PageStage):
    """What the rule book found, and what is signed of it."""

    path = "/findings"
    words = "Findings, and who signs"

    def card(self, now: Moment, at: str) -> Card:
        """One group of findings."""
        return finding_card(now.checked, at)

    def read(self, now: Moment, ask: CardQuestion, reply: FormAnswer, hand: Hand) -> Entries | str:
        """A signature under every finding of the group."""
        assert isinstance(ask.of, Group)
        why = " ".join(reply.text("why").split())
        licensed = " ".join(reply.text("licensed").split())
        if not says_what(why):
            return f"a signature counts with a reason: {A_REASON}"
        other = not_of_all(ask.of, now.opened.job, why)
        if other:
            return other
        signed = signatures(ask.of, why=why, by=hand.by, date=hand.date, licensed=licensed)
        if needs_licence(ask.of) and not all(entry.licence for entry in signed):
            return f"only a person licensed for this work may sign this: say {WHICH_LICENCE}"
        return signed

    def owns(self, entry: Entry) -> bool:
        """Signatures."""
        return entry.kind == EntryKind.ACCEPT

    def left(self, now: Moment) -> str:
        """How many groups are open."""
        count = len(open_groups(now.checked))
        return open_words(count) if count else ""


class Questions(PageStage):
    """What only a person can answer."""

    path = "/questions"
    words = "Open questions"

    def card(self, now: Moment, at: str) -> Card:
        """One question."""
        return question_card(now.opened.harness, now.worked.questions, at)

    def read(self, now: Moment, ask: CardQuestion, reply: FormAnswer, hand: Hand) -> Entries | str:
        """A named answer."""
        assert isinstance(ask.of, Question)
        return answer_entry(now.opened.job, ask.of, reply, hand)

    def owns(self, entry: Entry) -> bool:
        """Answers."""
        return entry.kind == EntryKind.ANSWER

    def left(self, now: Moment) -> str:
        """How many questions nobody has been asked yet; what nobody knew holds up no other work."""
        count = asked_yet(now.worked.questions)
        return open_questions(count) if count else ""


class SurveyReadings(PageStage):
    """The machine, read before anything is cut."""

    path = "/survey"
    words = "Survey of the machine"

    def card(self, now: Moment, at: str) -> Card:
        """One reading, with what the last one says above it."""
        return survey_card(
            now.opened.harness,
            now.worked.survey,
            now.worked.judged_survey,
            at,
            owed=now.not_surveyed,
            deeds=deeds_left(now.worked.given, now.entries),
            today=now.today,
        )

    def read(self, now: Moment, ask: CardQuestion, reply: FormAnswer, hand: Hand) -> Entries | str:
        """The reading as its line would be typed."""
        if isinstance(ask.of, Tick):
            return tick_entry(ask.of, reply, hand)
        assert isinstance(ask.of, SurveyRow)
        return survey_entry(now, row_line(ask.of, reply), reply, hand)

    def owns(self, entry: Entry) -> bool:
        """Readings of the survey, what was locked out for them, what was done around them."""
        if entry.kind == EntryKind.SURVEY:
            return not is_later(entry)
        return belongs(entry, LOCKED_OUT, PULLED, AROUND)

    def left(self, now: Moment) -> str:
        """What is owed; readings that only come back later do not hold the work."""
        rows = rows_left(now.worked.survey, now.worked.judged_survey)
        owed = [row for row in rows if is_owed(row, now.not_surveyed)]
        if owed:
            return f"{len(owed)} readings are owed before the work goes on"
        deeds = len(deeds_left(now.worked.given, now.entries).every)
        return f"deeds left at the machine before the work goes on: {deeds}" if deeds else ""

    def told_of(self, now: Moment, entry: Entry) -> str:
        """What the reading that was kept last says of the paper."""
        for judged in now.worked.judged_survey:
            if judged.entry.own_mark == entry.own_mark:
                return verdict_line(judged)
        return ""


def row_line(row: SurveyRow, reply: FormAnswer) -> str:
    """A reading as a line of the survey; empty where a figure is missing or said twice."""
    key = f"ignition {row.key}" if row.key else ""
    if row.block == Quantity.OHMS:
        return ohms_line(row.red, row.black, row.state, reply)
    volts = reply.text("volts")
    if not volts:
        return ""
    return f"{row.red} to {row.black} {with_unit(volts, 'V')} {key} {row.state or ''}"
