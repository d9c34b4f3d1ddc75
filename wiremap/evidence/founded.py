"""Answers that count only with how they were found: a joint, a partner, a contact measured."""

from __future__ import annotations

from typing import NamedTuple

from wiremap.entries.told_readings import tells_reading, told_volts
from wiremap.evidence.allowed import settles_joint, undecided
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import PARTNER
from wiremap.evidence.expected import QUIET, electrical
from wiremap.model import Basis, Job

BASIS = ".basis"


class Unfounded(NamedTuple):
    """Why an answer settles nothing as it was given, and how to give it."""

    why: str
    fix: str


def unfounded(job: Job, about: str, text: str, how: str) -> Unfounded | None:
    """What an answer lacks of how it was found; None if it lacks nothing."""
    if settles_joint(job, about, text) and not how.strip():
        why = "a joint is settled by who found it right, and how"
        return Unfounded(why, 'add --how "..."')
    if about.endswith(PARTNER) and not undecided(text) and not how.strip():
        return Unfounded("a partner is told with how it was found", 'add --how "..."')
    return unmeasured(job, about, text, how)


def unmeasured(job: Job, about: str, text: str, how: str) -> Unfounded | None:
    """Why the word `measured` counts for nothing: no reading is told, or a supply read dead."""
    if not about.endswith(BASIS):
        return None
    if tells_reading(text):
        how = text
    elif text.strip() != Basis.MEASURED:
        return None
    if not tells_reading(how):
        why = "`measured` counts with what the meter showed"
        return Unfounded(why, 'add it: --how "12.6 V, ignition off", or answer told or document')
    volts = list(told_volts(how))
    if volts and _is_supply(job, about) and all(QUIET.low <= v <= QUIET.high for v in volts):
        shown = ", ".join(f"{v:g} V" for v in volts)
        why = f"a supply that reads {shown} is not measured to be one"
        return Unfounded(why, "keep the reading: wiremap survey JOB --readings FILE --save")
    return None


def _is_supply(job: Job, about: str) -> bool:
    known = cavity_of(job, about.removesuffix(BASIS))
    return known is not None and electrical(known.cavity) == "supply"
