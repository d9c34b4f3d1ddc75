"""Cards between the ring-out and the sleeves: each ground bolted and read, the switches proven."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from wiremap.content.cards import Card, tick
from wiremap.content.done import ticked
from wiremap.content.given import Given
from wiremap.content.later_cards import is_right, later_ask, later_stop
from wiremap.content.proving import Proving
from wiremap.content.ringout_cards import MEND
from wiremap.content.words import spaced
from wiremap.entries.courses import since_mended
from wiremap.model import Entry

OF = "before the sleeves"
HEADING = "Before the sleeves"


def proving_card(given: Given, every: Sequence[Proving], entries: Sequence[Entry]) -> Card | None:
    """The first deed or reading that is left; None once all of it is done."""
    current = since_mended(entries)
    left = proving_left(every, entries)
    first = next(iter(left), None)
    if first is None:
        return None
    if first.reading is None:
        return Card(heading=HEADING, asks=(tick(OF, deed_of(first)),), more=(MEND,))
    stop = later_stop(first.reading, current)
    ask = later_ask(given.harness, first.reading, entries, heading="One reading")
    return Card(heading=HEADING, stop=stop, asks=(ask,), more=(MEND,))


def proving_left(every: Sequence[Proving], entries: Sequence[Entry]) -> list[Proving]:
    """What is not done, or not read as it should be, since the last repair."""
    current = since_mended(entries)
    done = ticked(current, OF)
    return [each for each in every if not _is_done(each, done, current)]


def _is_done(each: Proving, done: Collection[str], current: Sequence[Entry]) -> bool:
    if each.reading is None:
        return deed_of(each) in done
    return is_right(each.reading, current)


def deed_of(proving: Proving) -> str:
    """A deed as it is kept."""
    return spaced(proving.step.at, proving.step.text)
