"""Cards between ring-out and first power: the stop before the sleeves, then what is closed."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.cards import Card, tick
from wiremap.content.closing import closing_steps
from wiremap.content.done import ticked
from wiremap.content.given import Given
from wiremap.content.stop_cards import is_passed, stop_card
from wiremap.content.words import spaced
from wiremap.entries.courses import since_mended
from wiremap.model import Entry, Stop

OF = "closed"


def sleeve_card(given: Given, entries: Sequence[Entry]) -> Card:
    """The stop, then every deed of closing that is not ticked."""
    current = since_mended(entries)
    if not is_passed(Stop.SLEEVES, current):
        return stop_card(Stop.SLEEVES, current, licensed=given.licensed)
    left = closings_left(given, entries)
    if not left:
        return Card(heading="Everything is closed", through=True)
    return Card(heading="After the last reading", asks=tuple(tick(OF, deed) for deed in left))


def closings_left(given: Given, entries: Sequence[Entry]) -> list[str]:
    """What is not closed yet: plugs, sleeves, what goes over all; after a repair all of it."""
    done = ticked(since_mended(entries), OF)
    deeds = [spaced(step.at, step.text) for step in closing_steps(given)]
    return [deed for deed in deeds if deed not in done]
