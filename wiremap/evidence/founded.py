"""Answers that count only with how they were found: a joint, a partner, a contact measured, a
figure far from what is usual.
"""

from __future__ import annotations

from typing import NamedTuple

from wiremap.entries.told_readings import tells_reading, told_volts
from wiremap.evidence.allowed import settles_joint, undecided
from wiremap.evidence.answer_figures import unusual
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import PARTNER
from wiremap.evidence.expected import QUIET, electrical
from wiremap.evidence.meter import NOISE_VOLTS
from wiremap.model import Basis, Cavity, Job, Span, says_what

BASIS = ".basis"


class Unfounded(NamedTuple):
    """Why an answer settles nothing as it was given, and how to give it."""

    why: str
    fix: str


def unfounded(job: Job, about: str, text: str, how: str) -> Unfounded | None:
    """What an answer lacks of how it was found; None if it lacks nothing."""
    if settles_joint(job, about, text) and not says_what(how):
        why = "a joint is settled by who found it right, and how"
        return _without_how(why, how)
    if about.endswith(PARTNER) and not undecided(text) and not says_what(how):
        return _without_how("a partner is told with how it was found", how)
    return unmeasured(job, about, text, how) or _unusual(about, text, how)


def _without_how(why: str, how: str) -> Unfounded:
    """An answer that tells nothing of how it was found, or no more than that somebody looked."""
    said = f"; {how.strip()!r} does not say how" if how.strip() else ""
    return Unfounded(f"{why}{said}", 'add --how "..."')


def _unusual(about: str, text: str, how: str) -> Unfounded | None:
    """Why a figure far from what is usual is not taken by itself: it may be mistyped."""
    strange = unusual(about, text)
    if not strange or says_what(how):
        return None
    return _without_how(strange, how)


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
    dead = _dead_of(job, about)
    if volts and dead is not None and all(dead.low <= v <= dead.high for v in volts):
        shown = ", ".join(f"{v:g} V" for v in volts)
        why = f"a supply that reads {shown} is not measured to be one"
        return Unfounded(why, _read_when(job, about))
    return None


def _dead_of(job: Job, about: str) -> Span | None:
    """What a supply shows while nothing feeds it; None for what is no supply."""
    known = cavity_of(job, about.removesuffix(BASIS))
    if known is None:
        return None
    if _serves_sensors(known.cavity):
        return Span(-NOISE_VOLTS, NOISE_VOLTS)
    return QUIET if electrical(known.cavity) == "supply" else None


def _read_when(job: Job, about: str) -> str:
    """When a supply that read dead is read so that it tells something."""
    known = cavity_of(job, about.removesuffix(BASIS))
    if known is not None and _serves_sensors(known.cavity):
        return (
            "only its own unit feeds it: read it at the back of the plug, the old unit plugged, "
            "ignition on; or answer told or document"
        )
    return "keep the reading: wiremap survey JOB --readings FILE --save"


def _serves_sensors(cavity: Cavity) -> bool:
    return cavity.function == "sensor-supply"
