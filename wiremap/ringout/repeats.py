"""What a reading becomes that was taken again at the same points."""

from __future__ import annotations

from dataclasses import replace

from wiremap.evidence import is_short, is_silent
from wiremap.model import Entry, Seen
from wiremap.ringout.taken import Taken

REPEAT_OHMS, REPEAT_SHARE = 0.5, 0.05  # two figures within either are one reading (common practice)


def after(last: Taken | None, now: Taken) -> Taken:
    """A reading with what is kept of the last one at the same points.

    One that nobody was sure of takes nothing back: the last stays, and is unsure from then on.
    """
    if last is None or last.entry.seen == Seen.UNSURE:
        return now
    if now.unsure:
        return replace(last, unsure=True)
    was_wrong = last.agrees is False
    before, was_well, times = last.before, last.was_well, now.times
    if was_wrong == (now.agrees is False) and _alike(last.entry, now.entry):
        times = last.times + 1
    elif was_wrong:
        before = last.entry
    else:
        was_well = was_well or last.agrees is True or last.wavers
    agrees = now.agrees
    if before is not None and agrees is not False:  # good now, and wrong before
        if times >= 2 and not was_well:
            before = None  # twice well in a row is well
        else:
            agrees = None  # if it had been well before, it comes and goes until it is mended
    if (before, was_well, times, agrees) == (None, False, now.times, now.agrees):
        return now
    return replace(now, before=before, was_well=was_well, times=times, agrees=agrees)


def _alike(one: Entry, other: Entry) -> bool:
    if (is_silent(one) and is_silent(other)) or (is_short(one) and is_short(other)):
        return True
    if one.ohms is None or other.ohms is None:
        return one.seen == other.seen and one.ohms is other.ohms
    apart = abs(one.ohms.low - other.ohms.low)
    return one.ohms == other.ohms or apart <= max(REPEAT_OHMS, REPEAT_SHARE * abs(other.ohms.low))
