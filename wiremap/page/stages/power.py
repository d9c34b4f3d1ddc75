"""The stages behind the ring-out: what is closed, then first power."""

from __future__ import annotations

from wiremap.content.cards import DONE, Card, CardLink, CardQuestion, Tick
from wiremap.content.done import said as said_of
from wiremap.content.done import since_mended
from wiremap.content.power_cards import NOT, NOT_SO, OF, open_steps, power_card, step_words
from wiremap.content.sleeve_cards import OF as CLOSED
from wiremap.content.sleeve_cards import closings_left, sleeve_card
from wiremap.content.stop_cards import passed
from wiremap.firstpower.judge import power_judge
from wiremap.firstpower.lines import power_lines
from wiremap.firstpower.step import PowerStep
from wiremap.model import Entry, EntryKind, Stop
from wiremap.page.now import Now
from wiremap.page.stages.ringout import not_rung_out
from wiremap.page.stages.stage import (
    NOTHING,
    Entries,
    FormAnswer,
    Hand,
    PageStage,
    done_entry,
    held,
    stop_entry,
    tick_entry,
    with_unit,
)

ON_PAPER = "joints: ticked on the paper sheet"


class Sleeves(PageStage):
    """What is closed after the last reading."""

    path = "/sleeves"
    words = "Closing up: plugs, sleeves, boot"

    def card(self, now: Now, at: str) -> Card:
        """The stop before the sleeves, then the deeds."""
        owed = not_rung_out(now)
        if owed:
            return Card(heading="Closing up", owed=owed)
        return sleeve_card(now.worked.given, now.entries)

    def read(self, now: Now, ask: CardQuestion, said: FormAnswer, hand: Hand) -> Entries | str:
        """A tick, or the stop."""
        if isinstance(ask.of, Tick):
            return tick_entry(ask.of, said, hand)
        assert isinstance(ask.of, Stop)
        return stop_entry(ask.of, said, hand)

    def owns(self, entry: Entry) -> bool:
        """Deeds of closing, and their stop."""
        return entry.what.startswith(f"{CLOSED}: ") or entry.stop == Stop.SLEEVES

    def left(self, now: Now) -> str:
        """What is not closed."""
        if not passed(Stop.SLEEVES, since_mended(now.entries)):
            return "two names are wanted before it is closed up"
        count = len(closings_left(now.worked.given, now.entries))
        return f"{count} deeds of closing are not ticked" if count else ""


class Power(PageStage):
    """First power, step by step."""

    path = "/power"
    words = "First power"

    def card(self, now: Now, at: str) -> Card:
        """The next step."""
        owed = [*held(now), *not_rung_out(now)]
        closing = Sleeves().left(now)
        if closing:
            owed.append(CardLink(path=Sleeves.path, words=f"first: {closing}"))
        if owed:
            return Card(heading="First power", owed=tuple(owed))
        licensed = now.worked.given.licensed
        return power_card(now.opened.harness, now.worked.steps, now.entries, licensed=licensed)

    def read(self, now: Now, ask: CardQuestion, said: FormAnswer, hand: Hand) -> Entries | str:
        """A figure, a deed, or a stop."""
        if isinstance(ask.of, Stop):
            return stop_entry(ask.of, said, hand)
        assert isinstance(ask.of, PowerStep)
        step = ask.of
        if not ask.blanks:
            under = {DONE.value: OF, NOT.value: NOT_SO}.get(said.touched)
            if under is None:
                return NOTHING
            return (done_entry(said_of(under, step_words(step)), hand),)
        figure = said.text("figure").strip()
        if not figure:
            return NOTHING
        line = f"{step.n} {with_unit(figure, step.quantity)}"
        entries, faults = power_lines(line, now.worked.steps, "card", hand.by, hand.date)
        if faults:
            return faults[0].message
        return entries if len(entries) == 1 else "one reading at a time"

    def owns(self, entry: Entry) -> bool:
        """Figures, deeds and stops of first power."""
        if entry.kind == EntryKind.STOP_PASSED:
            return entry.stop in (Stop.BATTERY, Stop.MATING)
        return entry.kind == EntryKind.POWER or entry.what.startswith((f"{OF}: ", f"{NOT_SO}: "))

    def left(self, now: Now) -> str:
        """How many steps are left."""
        current = since_mended(now.entries)
        steps = now.worked.steps
        judged = power_judge(now.opened.harness, current, steps)
        count = len(open_steps(steps, current, judged))
        return f"{count} steps of first power are left" if count else ""
