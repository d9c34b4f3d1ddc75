"""Cards of the second ring-out: readings at the faces once the sleeves are shrunk."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.cards import Card
from wiremap.content.given import Given
from wiremap.content.later_cards import is_right, later_ask, later_stop
from wiremap.content.ringout_cards import MEND, around_one_probe, probe_drawn_once, reading
from wiremap.diagnose.turn import planned_turn
from wiremap.diagnose.walk import Walk
from wiremap.entries.courses import since_mended
from wiremap.model import Entry
from wiremap.ringout.probe import Probe
from wiremap.survey.later import LaterReading

HEADING = "Second ring-out, at the faces"
MOVED = "Move the wires by hand while you read: what comes and goes shows now."
AS_BEFORE = (
    "The machine seen through the new face: these ohms were read at the old plug, and prove the "
    "crimps that no probe got to."
)


def second_card(
    given: Given, walk: Walk, again: Sequence[LaterReading], entries: Sequence[Entry]
) -> Card:
    """Readings around one probe; then, one by one, those that must be as before the cut."""
    left = again_left(again, entries)
    second = walk.judged().second
    count = f"{len(second.left) + len(left)} of {len(second.probes) + len(again)} readings left"
    if second.left:
        return _at_faces(walk, count)
    if not left:
        return Card(heading="Everything is read at the faces", through=True, more=(MEND,))
    first, *_ = left
    stop = later_stop(first, since_mended(entries))
    ask = later_ask(given.harness, first, entries, heading="As it was read before")
    return Card(heading=HEADING, lead=(AS_BEFORE, count), stop=stop, asks=(ask,), more=(MEND,))


def _at_faces(walk: Walk, count: str) -> Card:
    """Up to six readings that keep one probe where it is."""
    second = walk.judged().second
    waiting = [p for p in second.left if p.n not in walk.skipped_second]
    together = around_one_probe(next(iter(waiting)), waiting, ())
    asks = [reading(walk, planned_turn(p), heading=f"Reading A{p.n}") for p in together]
    return Card(
        heading=HEADING, lead=(MOVED, count), asks=tuple(probe_drawn_once(asks)), more=(MEND,)
    )


def again_left(again: Sequence[LaterReading], entries: Sequence[Entry]) -> list[LaterReading]:
    """The readings of `again` that are not as before the cut, since the last repair."""
    current = since_mended(entries)
    return [each for each in again if not is_right(each, current)]


def not_in_second(again: Sequence[LaterReading], second: Sequence[Probe]) -> list[LaterReading]:
    """The readings of `again` between other points than those of the second ring-out."""
    read = {frozenset(probe.points) for probe in second if not probe.state.parted}
    return [each for each in again if each.points not in read]
