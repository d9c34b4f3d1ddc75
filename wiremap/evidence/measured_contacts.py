"""Contacts that were measured: `measured` is said of them, and a reading stands behind the word."""

from __future__ import annotations

from wiremap.entries.told_readings import tells_reading
from wiremap.evidence.answers import answers
from wiremap.evidence.cavity_lookup import spoken_of
from wiremap.evidence.survey_readings import proven_addresses
from wiremap.evidence.told_measured import why_unproven
from wiremap.model import Address, Basis, Cavity, End, Job


def measured_contacts(job: Job) -> frozenset[str]:
    """The contacts of a settled job whose `measured` has a reading behind it.

    A fitting reading of the survey, an answer by name that tells what the meter showed, or a
    source of the contact's own that does; the bare word counts for nothing.
    """
    read = {*proven_addresses(job), *_answered(job)}
    found = set()
    for end in job.ends.values():
        for cavity in end.pinout.cavities.values():
            at = Address(end.name, cavity.name)
            if cavity.basis == Basis.MEASURED and (at in read or _says_itself(job, end, cavity)):
                found.add(at)
    return frozenset(found)


def _answered(job: Job) -> set[str]:
    """The contacts whose basis an answer that counts has told, or of which it gives a reading."""
    found = set()
    for about, entry in answers(job).items():
        if about.endswith(".basis") or entry.volts is not None or entry.ohms is not None:
            found.add(spoken_of(job, entry))
    return found


def _says_itself(job: Job, end: End, cavity: Cavity) -> bool:
    """Whether the paper tells a reading that bears it out in a source of the contact's own."""
    is_own = cavity.source != end.pinout.source.name
    return is_own and tells_reading(cavity.source) and not why_unproven(job, cavity, cavity.source)
