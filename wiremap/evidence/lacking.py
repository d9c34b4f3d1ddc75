"""Answers that count only with how they were found: a joint, a partner, a contact measured, a
contact that a meter denied, a figure far from what is usual.
"""

from __future__ import annotations

from wiremap.evidence.allowed import settles_joint, undecided
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import PARTNER
from wiremap.evidence.founded import Unfounded, unmeasured
from wiremap.evidence.survey_readings import contradictions
from wiremap.evidence.unusual import unusual
from wiremap.model import Job, says_what

SURE = "sure:"  # begins how an unusual figure was found, once it was asked back


def unfounded(job: Job, about: str, text: str, how: str) -> Unfounded | None:
    """What an answer lacks of how it was found; None if it lacks nothing."""
    if settles_joint(job, about, text) and not says_what(how):
        why = "a joint is settled by who found it right, and how"
        return _without_how(why, how)
    if about.endswith(PARTNER) and not undecided(text) and not says_what(how):
        return _without_how("a partner is told with how it was found", how)
    lacking = unmeasured(job, about, text, how) or _unusual(about, text, how)
    return lacking or _against_meter(job, about, text, how)


def _against_meter(job: Job, about: str, text: str, how: str) -> Unfounded | None:
    """Why what a contact is said to be does not count beside a reading that denies its paper."""
    address = about.removesuffix(".function")
    if undecided(text) or says_what(how) or cavity_of(job, address) is None:
        return None
    if all(reading.address != address for reading in contradictions(job)):
        return None
    return _without_how("a meter read otherwise there; it is settled by how you found out", how)


def _without_how(why: str, how: str) -> Unfounded:
    """An answer that tells nothing of how it was found, or no more than that somebody looked."""
    said = f"; {how.strip()!r} does not say how" if how.strip() else ""
    return Unfounded(f"{why}{said}", 'add --how "..."')


def _unusual(about: str, text: str, how: str) -> Unfounded | None:
    """Why a figure far from what is usual is asked back, told how or not: it may be mistyped."""
    strange = unusual(about, text)
    if not strange:
        return None
    if not says_what(without_sure(how)):
        return Unfounded(_without_how(strange, without_sure(how)).why, f'add --how "{SURE} ..."')
    if how.strip().casefold().startswith(SURE):
        return None
    return Unfounded(strange, f'if it is so: --how "{sure(how)}"')


def sure(how: str) -> str:
    """How a figure was found, of a person who was asked back and stands to it."""
    return f"{SURE} {without_sure(how)}"


def without_sure(how: str) -> str:
    """How a figure was found, without the word that stands to it."""
    said = how.strip()
    return said[len(SURE) :].strip() if said.casefold().startswith(SURE) else said
