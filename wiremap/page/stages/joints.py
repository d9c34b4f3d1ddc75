"""The stage of the joints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wiremap.content.bus import SwitchSet
from wiremap.content.cards import Card, CardQuestion, Tick
from wiremap.content.colour_cards import AS_FOUND, LOOKED_AGAIN, ColourAsked, read_found
from wiremap.content.done import made_on_paper
from wiremap.content.joint_cards import is_of_task, joint_card, joints_left
from wiremap.entries.deeds import belongs, kept_deed
from wiremap.model import Address, Entry, EntryKind, OnOff, Stop
from wiremap.page.moment import Moment
from wiremap.page.stages.stage import (
    NOTHING,
    ONE_ANSWER,
    Entries,
    FormAnswer,
    FormOutcome,
    Hand,
    PageStage,
    done_entry,
    held_first,
    later_entry,
    stop_entry,
    tick_entry,
)
from wiremap.survey.later import AFTER_CUT, LaterReading
from wiremap.trade.colours import ColourFault

LEAST_HOW = 2  # letters that say anything
READ_ALOUD = "read aloud on the case"


class Joints(PageStage):
    """The joints, one wire at a time."""

    path = "/joints"
    words = "Joints, one wire at a time"

    def card(self, now: Moment, at: str) -> Card:
        """The next piece of work."""
        owed = held_first(now)
        if owed:
            return Card(heading="Joints", owed=owed)
        return joint_card(
            now.worked.given, now.worked.tasks, now.entries, at, now.worked.owed_contacts
        )

    def take(
        self, now: Moment, answers: Sequence[tuple[CardQuestion, FormAnswer]], hand: Hand
    ) -> FormOutcome:
        """Deeds are ticked in their order: none before the one above it."""
        asked = [ask.of for ask in self.card(now, "").asks if isinstance(ask.of, Tick)]
        ticked = [ask.of for ask, _ in answers if isinstance(ask.of, Tick)]
        for given, wanted in zip(ticked, asked, strict=False):
            if given != wanted:
                return FormOutcome(refusals=(f"`{wanted.deed}` comes before `{given.deed}`",))
        return super().take(now, answers, hand)

    def read(self, now: Moment, ask: CardQuestion, reply: FormAnswer, hand: Hand) -> Entries | str:
        """A tick, a colour as found, how a switch stands, or a stop."""
        match ask.of:
            case Tick():
                return tick_entry(ask.of, reply, hand)
            case ColourAsked() if ask.of.differs:
                return self._difference_settled(ask.of, reply, hand)
            case ColourAsked():
                return self._colour_found(now, ask.of, reply, hand)
            case SwitchSet():
                return self._switch_answer(ask.of, reply, hand)
            case LaterReading():
                return later_entry(now, ask.of, reply, hand)
            case Stop():
                return stop_entry(now, ask.of, reply, hand)
        return NOTHING

    def owns(self, entry: Entry) -> bool:
        """Deeds of the joints, the stop before them, switches and wires that were answered."""
        if entry.kind == EntryKind.DONE:
            return belongs(entry, AS_FOUND) or is_of_task(entry)
        if entry.kind == EntryKind.SURVEY:
            return entry.state == AFTER_CUT
        if entry.kind == EntryKind.ANSWER:
            return entry.how == READ_ALOUD
        return entry.kind == EntryKind.STOP_PASSED and entry.stop == Stop.CUT

    def left(self, now: Moment) -> str:
        """How many pieces of work are not ticked."""
        if made_on_paper(now.entries):
            return ""
        count = joints_left(now.worked.given, now.worked.tasks, now.entries)
        return f"{count} pieces of work at the joints are not ticked" if count else ""

    def _colour_found(
        self, now: Moment, asked: ColourAsked, reply: FormAnswer, hand: Hand
    ) -> Entries | str:
        typed = reply.text("colour")
        if typed and reply.touched:
            return ONE_ANSWER
        colour = read_found(now.worked.given, asked.point, typed or reply.touched)
        if isinstance(colour, ColourFault):
            return f"{colour.why}; {colour.fix}" if colour.fix else colour.why
        return (self._colour_entry(asked.point, colour.canonical, hand),)

    def _difference_settled(
        self, asked: ColourAsked, reply: FormAnswer, hand: Hand
    ) -> Entries | str:
        """A difference is over by a second look, or by a name under another colour."""
        assert asked.paper is not None
        assert asked.found is not None
        if reply.touched == LOOKED_AGAIN:
            return (self._colour_entry(asked.point, asked.paper.canonical, hand),)
        how = " ".join(reply.text("how").split())
        if not reply.touched:
            return NOTHING
        if len(how) < LEAST_HOW:
            return "say how you know it"
        answer = Entry(
            kind=EntryKind.ANSWER,
            about=f"{asked.point}.wire",
            answer=asked.wire_found,
            how=how,
            by=hand.by,
            date=hand.date,
        )
        return (answer,)

    def _colour_entry(self, point: str, colour: str, hand: Hand) -> Entry:
        entry = done_entry(kept_deed(AS_FOUND, colour), hand)
        return replace(entry, points=(Address.read(point),))

    def _switch_answer(self, asked: SwitchSet, reply: FormAnswer, hand: Hand) -> Entries | str:
        if reply.touched not in tuple(OnOff):
            return NOTHING
        answer = Entry(
            kind=EntryKind.ANSWER,
            about=asked.address,
            answer=reply.touched,
            how=READ_ALOUD,
            by=hand.by,
            date=hand.date,
        )
        return (answer,)
