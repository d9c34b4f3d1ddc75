"""Typed lines that tick steps of first power, matched with the steps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wiremap.base import numbers_told
from wiremap.entries.deeds import kept_deed
from wiremap.entries.ticked import ticked
from wiremap.firstpower.deeds import NOT_SO, OF, step_words
from wiremap.firstpower.step import PowerStep
from wiremap.model import Entry, EntryKind


def ticks(piece: str, steps: Sequence[PowerStep], plain: Entry) -> list[Entry] | str:
    """What a line says of deeds (`12 done`, `12/13 not so`) as entries; empty if of none."""
    said = ticked(piece)
    if said is None:
        return []
    known = {step.n: step for step in steps}
    last = max(known, default=0)
    beyond = said.beyond(last)
    if beyond is not None:
        return f"there is no step {beyond}: the list of first power ends at {last}"
    named = [known[n] for n in said.numbers if n in known]
    deeds = [step for step in named if not step.quantity]
    if len(deeds) < len(named):
        return _has_a_reading(named, deeds)
    of = OF if said.is_so else NOT_SO
    kept = [kept_deed(of, step_words(step)) for step in deeds]
    return [replace(plain, kind=EntryKind.DONE, what=what) for what in kept]


def _has_a_reading(named: Sequence[PowerStep], deeds: Sequence[PowerStep]) -> str:
    """That of the steps which a line ticks one is read, and how the others are ticked."""
    read = next(step for step in named if step.quantity)
    words = f"step {read.n} is read in {read.quantity}: type what the meter shows"
    if not deeds:
        return words
    others = numbers_told(step.n for step in deeds).replace(", ", "/")
    return f"{words}; for the others: `{others} done`"
