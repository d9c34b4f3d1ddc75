"""Whether an answer that says `measured` tells a reading, one that says `document` the paper."""

from __future__ import annotations

from typing import NamedTuple

from wiremap.entries.told_readings import tells_effect, tells_reading
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.told_measured import is_told_by_sight, proving_words, why_unproven
from wiremap.model import Basis, Cavity, Job, names_paper

BASIS = ".basis"


class Unfounded(NamedTuple):
    """Why an answer settles nothing as it was given, and how to give it."""

    why: str
    fix: str


def baseless(job: Job, about: str, text: str, how: str) -> Unfounded | None:
    """Why a word for what a contact rests on counts for nothing; None if it counts."""
    return unmeasured(job, about, text, how) or _unnamed_paper(about, text, how)


def _unnamed_paper(about: str, text: str, how: str) -> Unfounded | None:
    """Why the word `document` counts for nothing: nobody can open a paper that is not named."""
    if not about.endswith(BASIS) or text.strip() != Basis.DOCUMENT or names_paper(how):
        return None
    why = "`document` counts with which paper says it, and where in it"
    return Unfounded(why, 'add it: --how "wiring diagram 4711, page 12", or answer told')


def unmeasured(job: Job, about: str, text: str, how: str) -> Unfounded | None:
    """Why the word `measured` counts for nothing: no reading is told, or one that denies it."""
    known = cavity_of(job, about.removesuffix(BASIS)) if about.endswith(BASIS) else None
    if known is None:
        return None
    if tells_reading(text) or tells_effect(text):
        how = text
    elif text.strip() != Basis.MEASURED:
        return None
    by_sight = is_told_by_sight(known.cavity)
    if by_sight and tells_effect(how):
        return None
    if not tells_reading(how):
        seen = ", or what was seen when it was worked" if by_sight else ""
        why = f"`measured` counts with what the meter showed{seen}"
        fix = f'add it: --how "{proving_words(known.cavity)}", or answer told or document'
        return Unfounded(why, fix)
    why = why_unproven(job, known.cavity, how)
    return Unfounded(why, _read_when(known.cavity)) if why else None


def _read_when(cavity: Cavity) -> str:
    """What to do with a reading that does not prove what a contact is said to be."""
    if cavity.function == "sensor-supply":
        return (
            "only its own unit feeds it: read it at the back of the plug, the old unit plugged, "
            "ignition on; or answer told or document"
        )
    return "keep the reading: wiremap survey JOB --readings FILE --save"
