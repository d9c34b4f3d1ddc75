"""The stages behind the ring-out: what is closed, what is read again, then first power."""

from __future__ import annotations

from wiremap.base import only
from wiremap.content.cards import DONE, Card, CardLink, CardQuestion, Tick
from wiremap.content.power_cards import NOT_SO_CHOICE, mated_left, open_steps, power_card
from wiremap.content.proving_cards import OF as PROVING
from wiremap.content.proving_cards import proving_card, proving_left
from wiremap.content.second_cards import again_left, second_card
from wiremap.content.sleeve_cards import OF as CLOSED
from wiremap.content.sleeve_cards import closings_left, sleeve_card
from wiremap.content.stop_cards import is_passed
from wiremap.entries.courses import since_mended
from wiremap.entries.deeds import belongs, kept_deed
from wiremap.firstpower.deeds import NOT_SO, OF, step_words
from wiremap.firstpower.judge import power_judge
from wiremap.firstpower.lines import power_lines
from wiremap.firstpower.step import PowerStep
from wiremap.model import Entry, EntryKind, State, Stop
from wiremap.page.moment import Moment
from wiremap.page.stages.ringout import Ringout, not_rung_out
from wiremap.page.stages.stage import (
    NOTHING,
    Entries,
    FormAnswer,
    Hand,
    PageStage,
    done_entry,
    held_first,
    later_entry,
    stop_entry,
    tick_entry,
    with_unit,
)
from wiremap.survey.later import (
    BOLTED,
    OWN_FACE,
    LaterReading,
    is_later,
    is_read_mated,
    is_read_mated_for_good,
)


class Sleeves(PageStage):
    """What is closed after the last reading."""

    path = "/sleeves"
    words = "Closing up: plugs, sleeves, boot"

    def card(self, now: Moment, at: str) -> Card:
        """The stop before the sleeves, then the deeds."""
        owed = not_rung_out(now)
        if owed:
            return Card(heading="Closing up", owed=owed)
        proved = proving_card(now.worked.given, now.worked.proving, now.entries)
        if proved is not None and not is_passed(Stop.SLEEVES, since_mended(now.entries)):
            return proved
        return sleeve_card(now.worked.given, now.entries)

    def read(self, now: Moment, ask: CardQuestion, reply: FormAnswer, hand: Hand) -> Entries | str:
        """A tick, a reading, or the stop."""
        if isinstance(ask.of, Tick):
            return tick_entry(ask.of, reply, hand)
        if isinstance(ask.of, LaterReading):
            return later_entry(now, ask.of, reply, hand)
        assert isinstance(ask.of, Stop)
        return stop_entry(now, ask.of, reply, hand)

    def owns(self, entry: Entry) -> bool:
        """Deeds and readings before the sleeves, deeds of closing, and the stop."""
        if is_later(entry):
            return entry.state in (BOLTED, OWN_FACE) or is_read_mated(entry)
        done = belongs(entry, CLOSED, PROVING)
        return done or entry.stop == Stop.SLEEVES

    def left(self, now: Moment) -> str:
        """What is not closed."""
        if not is_passed(Stop.SLEEVES, since_mended(now.entries)):
            proved = len(proving_left(now.worked.proving, now.entries))
            if proved:
                return f"{proved} deeds and readings are left before it is closed up"
            return "two names are wanted before it is closed up"
        count = len(closings_left(now.worked.given, now.entries))
        return f"{count} deeds of closing are not ticked" if count else ""


class SecondRingout(PageStage):
    """What is read again at the faces when all is closed."""

    path = "/again"
    words = "Second ring-out, at the faces"

    def card(self, now: Moment, at: str) -> Card:
        """The readings to take next."""
        owed = list(not_rung_out(now))
        closing = Sleeves().left(now)
        if closing:
            owed.append(CardLink(path=Sleeves.path, words=f"first: {closing}"))
        if owed:
            return Card(heading=self.words, owed=tuple(owed))
        return second_card(now.worked.given, now.walk, now.worked.again, now.entries)

    def read(self, now: Moment, ask: CardQuestion, reply: FormAnswer, hand: Hand) -> Entries | str:
        """A reading of the second ring-out, or of the machine through the new face."""
        if isinstance(ask.of, LaterReading):
            return later_entry(now, ask.of, reply, hand)
        return Ringout().read(now, ask, reply, hand)

    def owns(self, entry: Entry) -> bool:
        """Readings once the sleeves are shrunk, and those of the machine from then on."""
        if entry.kind == EntryKind.PROBE:
            return State.read(entry.state or "").shrunk
        return entry.kind == EntryKind.SURVEY and not is_later(entry)

    def left(self, now: Moment) -> str:
        """How many readings are left."""
        if now.worked.too_large:
            return ""
        count = len(now.walk.judged().second.left)
        count += len(again_left(now.worked.again, now.entries))
        return f"{count} readings at the faces are left" if count else ""


class Power(PageStage):
    """First power, step by step."""

    path = "/power"
    words = "First power"

    def card(self, now: Moment, at: str) -> Card:
        """The next step."""
        owed = [*held_first(now), *not_rung_out(now)]
        closing = Sleeves().left(now)
        if closing:
            owed.append(CardLink(path=Sleeves.path, words=f"first: {closing}"))
        again = SecondRingout().left(now)
        if again:
            owed.append(CardLink(path=SecondRingout.path, words=f"first: {again}"))
        if owed:
            return Card(heading="First power", owed=tuple(owed))
        return power_card(
            now.opened.harness,
            now.worked.steps,
            now.entries,
            now.worked.mated,
            licensed=now.worked.given.licensed,
        )

    def read(self, now: Moment, ask: CardQuestion, reply: FormAnswer, hand: Hand) -> Entries | str:
        """A figure, a deed, or a stop."""
        if isinstance(ask.of, Stop):
            return stop_entry(now, ask.of, reply, hand)
        if isinstance(ask.of, LaterReading):
            return later_entry(now, ask.of, reply, hand)
        assert isinstance(ask.of, PowerStep)
        step = ask.of
        if not ask.blanks:
            under = {DONE.value: OF, NOT_SO_CHOICE.value: NOT_SO}.get(reply.touched)
            if under is None:
                return NOTHING
            return (done_entry(kept_deed(under, step_words(step)), hand),)
        figure = reply.text("figure").strip()
        if not figure:
            return NOTHING
        line = f"{step.n} {with_unit(figure, step.quantity)}"
        entries, faults = power_lines(line, now.worked.steps, "card", hand.by, hand.date)
        if faults:
            first, *_ = faults
            return first.message
        return "one reading at a time" if only(entries) is None else entries

    def owns(self, entry: Entry) -> bool:
        """Figures, deeds and stops of first power."""
        if entry.kind == EntryKind.STOP_PASSED:
            return entry.stop in (Stop.BATTERY, Stop.MATING)
        if is_later(entry):
            return is_read_mated_for_good(entry)
        return entry.kind == EntryKind.POWER or belongs(entry, OF, NOT_SO)

    def left(self, now: Moment) -> str:
        """How many steps are left."""
        current = since_mended(now.entries)
        steps = now.worked.steps
        judged = power_judge(now.opened.harness, current, steps)
        waiting = open_steps(steps, current, judged)
        count = len(waiting) + len(mated_left(waiting, current, now.worked.mated))
        return f"{count} steps of first power are left" if count else ""
