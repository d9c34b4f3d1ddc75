"""Half of a cut bus as cards: read by itself, then its switch set and read aloud."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.bus import BusHalf, SwitchSet
from wiremap.content.cards import Card, CardLink, CardQuestion, Choice, mark_for
from wiremap.content.given import Given
from wiremap.content.kept import reading_words
from wiremap.content.later_cards import is_right, later_ask, later_stop
from wiremap.model import Entry, EntryKind, OnOff, Stop


def bus_done(half: BusHalf, entries: Sequence[Entry]) -> bool:
    """Whether a half was read by itself, and its switch read aloud since."""
    if not is_right(half.alone, entries):
        return False
    return half.switch is None or switch_answer(half.switch, entries) is not None


def bus_card(
    given: Given, half: BusHalf, entries: Sequence[Entry], more: tuple[CardLink, ...]
) -> Card:
    """The reading, with what it may mean; then the switch."""
    heading = f"The bus: {half.order}"
    if not is_right(half.alone, entries) or half.switch is None:
        ask = later_ask(
            given.harness,
            half.alone,
            entries,
            heading="One reading",
            lead=(half.question.where, *_undecided(half)),
        )
        stop = later_stop(half.alone, entries)
        return Card(heading=heading, stop=stop, asks=(ask,), more=more)
    *_, read = half.alone.entries(entries)
    lead = (f"read: {reading_words(read)}", *_undecided(half))
    return Card(heading=heading, lead=lead, asks=(_ask(half.switch, entries),), more=more)


def _undecided(half: BusHalf) -> Sequence[str]:
    """What a reading may mean; where the job has decided, the cards that follow say it."""
    decided = half.switch is not None and half.switch.stands is not None
    return () if decided else half.meanings


def switch_answer(switch: SwitchSet, entries: Sequence[Entry]) -> Entry | None:
    """The last answer that says how a switch stands.

    One given before the cut's stop was signed does not count: the switch is set after the cut.
    """
    last = None
    for entry in entries:
        if entry.kind == EntryKind.STOP_PASSED and entry.stop == Stop.CUT:
            last = None
        if entry.kind == EntryKind.ANSWER and entry.about == switch.address:
            last = entry
    return last


def _ask(switch: SwitchSet, entries: Sequence[Entry]) -> CardQuestion:
    wanted = f"The job wants it {switch.stands}." if switch.stands else "The job does not say how."
    lead = [wanted]
    if switch.delivered is not None:
        lead.append(f"It is delivered {switch.delivered}.")
    times = sum(entry.about == switch.address for entry in entries)  # a new mark when asked again
    return CardQuestion(
        mark=mark_for("switch", switch.address, str(times)),
        heading=f"{switch.address}: set it, then read aloud how it stands",
        lead=tuple(lead),
        choices=tuple(Choice(value=each, words=each) for each in OnOff),
        of=switch,
    )
