"""The card before the first probe of a ring-out: what is off, out and left open."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.cards import Card, tick
from wiremap.content.done import ticked
from wiremap.content.joint_work import said_step
from wiremap.content.steps import Slot, Step
from wiremap.entries.courses import since_mended
from wiremap.model import Entry, EntryKind

OF = "before the ring-out"


def start_card(start: Sequence[Step], entries: Sequence[Entry]) -> Card | None:
    """What is not ticked yet; None once all is, or a reading was taken."""
    if any(entry.kind == EntryKind.PROBE for entry in entries):
        return None
    done = ticked(since_mended(entries), OF)
    deeds = [said_step(step) for step in start if step.slot is Slot.BOX]
    left = [deed for deed in deeds if deed not in done]
    if not left:
        return None
    told = [step.text for step in start if step.slot is Slot.NONE]
    notes = [step.note for step in start if step.note]
    asks = tuple(tick(OF, deed) for deed in left)
    return Card(heading="Before the first reading", lead=(*told, *notes), asks=asks)
