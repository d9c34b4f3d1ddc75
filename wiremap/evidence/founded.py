"""Answers that count only with how they were found: a joint, a partner, a contact measured, a
figure far from what is usual.
"""

from __future__ import annotations

from typing import NamedTuple

from wiremap.entries.told_readings import tells_reading
from wiremap.evidence.allowed import settles_joint, undecided
from wiremap.evidence.answer_figures import unusual
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import PARTNER
from wiremap.evidence.told_measured import denied, proving_words
from wiremap.model import Basis, Cavity, Job, says_what

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
    """Why the word `measured` counts for nothing: no reading is told, or one that denies it."""
    known = cavity_of(job, about.removesuffix(BASIS)) if about.endswith(BASIS) else None
    if known is None:
        return None
    if tells_reading(text):
        how = text
    elif text.strip() != Basis.MEASURED:
        return None
    if not tells_reading(how):
        why = "`measured` counts with what the meter showed"
        fix = f'add it: --how "{proving_words(known.cavity)}", or answer told or document'
        return Unfounded(why, fix)
    why = denied(job, known.cavity, how)
    return Unfounded(why, _read_when(known.cavity)) if why else None


def _read_when(cavity: Cavity) -> str:
    """What to do with a reading that does not prove what a contact is said to be."""
    if cavity.function == "sensor-supply":
        return (
            "only its own unit feeds it: read it at the back of the plug, the old unit plugged, "
            "ignition on; or answer told or document"
        )
    return "keep the reading: wiremap survey JOB --readings FILE --save"
