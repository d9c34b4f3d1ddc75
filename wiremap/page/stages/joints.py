"""The stage of the joints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wiremap.content.bus import SwitchSet
from wiremap.content.cards import Card, CardQuestion, Tick
from wiremap.content.colour_cards import AS_FOUND, LOOKED_AGAIN, ColourAsked, read_found
from wiremap.content.done import are_made
from wiremap.content.joint_cards import is_of_task, joint_card, joints_left
from wiremap.entries.deeds import belongs, kept_deed
from wiremap.model import Address, Entry, EntryKind, OnOff, Stop
from wiremap.page.now import Now
from wiremap.page.stages.stage import (
    NOTHING,
    ONE_ANSWER,
    Entries,
    FormAnswer,
    FormOutcome,
    Hand,
    PageStage,
    done_entry,
    held,
    later_entry,
    stop_entry,
    tick_entry,
)
from wiremap.survey.later import AFTER_CUT, LaterReading
from wiremap.trade.colours import ColourFault

READ_ALOUD = "read aloud on the case"


class Joints(PageStage):
    """The joints, one wire at a time."""

    path = "/joints"
    words = "Joints, one wire at a time"

    def card(self, now: Now, at: str) -> Card:
        """The next piece of work."""
        owed = held(now)
        if owed:
            return Card(heading="Joints", owed=owed)
        return joint_card(
            now.worked.given, now.worked.tasks, now.entries, at, now.worked.owed_contacts
        )

    def take(
        self, now: Now, answers: Sequence[tuple[CardQuestion, FormAnswer]], hand: Hand
    ) -> FormOutcome:
        """Deeds are ticked in their order: none before the one above it."""
        asked = [ask.of for ask in self.card(now, "").asks if isinstance(ask.of, Tick)]
        ticked = [ask.of for ask, _ in answers if isinstance(ask.of, Tick)]
        for given, wanted in zip(ticked, asked, strict=False):
            if given != wanted:
                return FormOutcome(said=(f"`{wanted.deed}` comes before `{given.deed}`",))
        return super().take(now, answers, hand)

    def read(self, now: Now, ask: CardQuestion, said: FormAnswer, hand: Hand) -> Entries | str:
        """A tick, a colour as found, how a switch stands, or a stop."""
        match ask.of:
            case Tick():
                return tick_entry(ask.of, said, hand)
            case ColourAsked() if ask.of.differs:
                return self._settled(ask.of, said, hand)
            case ColourAsked():
                return self._found(now, ask.of, said, hand)
            case SwitchSet():
                return self._switch(ask.of, said, hand)
            case LaterReading():
                return later_entry(now, ask.of, said, hand)
            case Stop():
                return stop_entry(now, ask.of, said, hand)
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

    def left(self, now: Now) -> str:
        """How many pieces of work are not ticked."""
        if are_made(now.entries):
            return ""
        count = joints_left(now.worked.given, now.worked.tasks, now.entries)
        return f"{count} pieces of work at the joints are not ticked" if count else ""

    def _found(self, now: Now, asked: ColourAsked, said: FormAnswer, hand: Hand) -> Entries | str:
        typed = said.text("colour")
        if typed and said.touched:
            return ONE_ANSWER
        found = read_found(now.worked.given, asked.point, typed or said.touched)
        if isinstance(found, ColourFault):
            return f"{found.why}; {found.fix}" if found.fix else found.why
        return (self._colour(asked.point, found.canonical, hand),)

    def _settled(self, asked: ColourAsked, said: FormAnswer, hand: Hand) -> Entries | str:
        """A difference is over by a second look, or by a name under another colour."""
        assert asked.paper is not None
        assert asked.found is not None
        if said.touched == LOOKED_AGAIN:
            return (self._colour(asked.point, asked.paper.canonical, hand),)
        how = " ".join(said.text("how").split())
        if not said.touched:
            return NOTHING
        if len(how) < 2:
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

    def _colour(self, point: str, colour: str, hand: Hand) -> Entry:
        told = done_entry(kept_deed(AS_FOUND, colour), hand)
        return replace(told, points=(Address.read(point),))

    def _switch(self, asked: SwitchSet, said: FormAnswer, hand: Hand) -> Entries | str:
        if said.touched not in tuple(OnOff):
            return NOTHING
        answer = Entry(
            kind=EntryKind.ANSWER,
            about=asked.address,
            answer=said.touched,
            how=READ_ALOUD,
            by=hand.by,
            date=hand.date,
        )
        return (answer,)
