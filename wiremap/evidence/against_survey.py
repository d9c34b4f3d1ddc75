"""Volts that somebody tells of a contact, held against what the survey read there."""

from __future__ import annotations

from wiremap.entries.told_readings import tells_reading, told_volts
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.founded import BASIS
from wiremap.evidence.meter import GROUNDED, NOISE_VOLTS
from wiremap.model import Entry, EntryKind, Job, OnOff


def against_survey(job: Job, about: str, text: str, how: str) -> str:
    """How the survey's volts at a contact differ from those that an answer tells as measured.

    Empty if they agree.  Volts are held against each other where both tell the ignition's position;
    a sensor's supply is left out: it is measured with its unit plugged in, and surveyed without.
    """
    address = about.removesuffix(BASIS)
    known = cavity_of(job, address) if about.endswith(BASIS) else None
    if known is None or known.cavity.function == "sensor-supply":
        return ""
    told = told_volts(text if tells_reading(text) else how)
    for key, read in _last_volts(job, address).items():
        alike = [each.volts for each in told if each.key == key]
        if read.volts is None or not alike:
            continue
        if not any(_is_live(each) == _is_live(read.volts) for each in alike):
            by = ", ".join(filter(None, (read.by, read.date)))
            said = ", ".join(f"{each:g} V" for each in alike)
            return (
                f"the survey read {read.volts:g} V there, ignition {key} ({by}), and this tells "
                f"{said}; which of the two is true, or what makes the difference?"
            )
    return ""


def _last_volts(job: Job, address: str) -> dict[OnOff, Entry]:
    """The last volts that the survey has of a contact to battery minus, by the ignition."""
    return {
        entry.key: entry
        for entry in job.entries
        if entry.kind == EntryKind.SURVEY
        and entry.key is not None
        and entry.volts is not None
        and entry.ohms is None
        and entry.seen is None
        and entry.red == (address,)
        and set(entry.black) <= set(GROUNDED)
    }


def _is_live(volts: float) -> bool:
    return abs(volts) > NOISE_VOLTS
