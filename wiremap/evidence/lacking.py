"""Answers that count only with how they were found: a joint, a partner, a contact measured, a
contact that a meter denied, a figure far from what is usual.
"""

from __future__ import annotations

from wiremap.evidence.against_survey import against_survey
from wiremap.evidence.allowed import settles_joint, undecided
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import asks_partner_of
from wiremap.evidence.expected import Quantity
from wiremap.evidence.founded import Unfounded, baseless
from wiremap.evidence.reading_spot import seen_words
from wiremap.evidence.stands import SURE, stands_to, sure, without_sure
from wiremap.evidence.survey_readings import contradictions
from wiremap.evidence.unusual import unusual
from wiremap.model import Job, says_what
from wiremap.trade.functions import FUNCTIONS, called


def unfounded(job: Job, about: str, text: str, how: str) -> Unfounded | None:
    """What an answer lacks of how it was found; None if it lacks nothing."""
    if settles_joint(job, about, text) and not says_what(how):
        why = "a joint is settled by who found it right, and how"
        return _without_how(why, how)
    if asks_partner_of(about) is not None and not undecided(text) and not says_what(how):
        return _without_how("a partner is told with how it was found", how)
    strange = unusual(about, text) or denied_by_meter(job, about, text)
    strange = strange or against_survey(job, about, text, how)
    return baseless(job, about, text, how) or _asked_back(strange, how)


def denied_by_meter(job: Job, about: str, text: str) -> str:
    """What a meter showed at a contact against what it is said to be, both in words.

    Empty where nothing was read against it, and where it is said to be another thing than its
    paper says: that is judged by itself.
    """
    address = about.removesuffix(".function")
    known = cavity_of(job, address)
    if known is None or undecided(text):
        return ""
    function = known.cavity.function
    if text.strip() in FUNCTIONS and text.strip() != function:
        return ""
    against = [each for each in contradictions(job) if each.address == address]
    if not against:
        return ""
    *_, last = against
    told = f"a meter read otherwise there: {seen_words(last.entry)}"
    expected = last.expected
    if expected is None or expected.shown is None:
        return told
    unit = "V" if expected.quantity == Quantity.VOLTS else "ohm"
    return (
        f"{told}, where {called(function)} reads {expected.shown} {unit}; which of the two is true?"
    )


def _without_how(why: str, how: str) -> Unfounded:
    """An answer that tells nothing of how it was found, or no more than that somebody looked."""
    said = f"; {how.strip()!r} does not say how" if how.strip() else ""
    return Unfounded(f"{why}{said}", 'add --how "..."')


def _asked_back(strange: str, how: str) -> Unfounded | None:
    """Why what was asked back, told how or not, does not count yet: it may be mistyped or wrong."""
    if not strange or stands_to(how):
        return None
    if not says_what(without_sure(how)):
        return Unfounded(_without_how(strange, without_sure(how)).why, f'add --how "{SURE} ..."')
    return Unfounded(strange, f'if it is so: --how "{sure(how)}"')
