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
            if cavity.basis != Basis.MEASURED:
                continue
            itself = _says_itself(job, end, cavity)
            if itself or read:
                address = Address(end.name, cavity.name)
                if itself or address in read:
                    found.add(address)
    return frozenset(found)


def _answered(job: Job) -> set[str]:
    """The contacts of which an answer that counts says `measured`, or gives what was read."""
    found = set()
    for about, entry in answers(job).items():
        if about.endswith(".basis") or entry.volts is not None or entry.ohms is not None:
            found.add(spoken_of(job, entry))
    return found


def _says_itself(job: Job, end: End, cavity: Cavity) -> bool:
    """Whether its paper tells a reading that bears it out, beside the contact itself."""
    own = cavity.source != end.pinout.source.name
    return own and tells_reading(cavity.source) and not why_unproven(job, cavity, cavity.source)
