"""Readings of the survey that no row of it asks for: nothing was promised there, so nothing judges
them.
"""

from __future__ import annotations

from wiremap.evidence.judged_reading import ReadingVerdict, SurveyReading
from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.evidence.survey_readings import judge_survey
from wiremap.model import Entry, Seen
from wiremap.model.quantities import read_ohms
from wiremap.rules.view import View


def unasked_readings(view: View) -> tuple[SurveyReading, ...]:
    """The readings at joined contacts of which nothing was promised, that say something and that no
    named answer has settled.
    """
    if not view.job.entries:
        return ()
    readings = []
    for reading in judge_survey(view.job):
        if reading.verdict != ReadingVerdict.RECORDED or reading.settled is not None:
            continue
        says = bool(reading_words(reading.entry)) and not _is_dead(reading.entry)
        if says and view.is_joined(reading.address):
            readings.append(reading)
    return tuple(readings)


def _is_dead(entry: Entry) -> bool:
    """Whether it only tells that nothing is live there, as is read before each row in ohms."""
    in_ohms = entry.ohms is not None or entry.seen is not None
    return not in_ohms and entry.volts is not None and abs(entry.volts) <= DEAD_VOLTS


def reading_words(entry: Entry) -> str:
    """What the meter showed, in words; empty where it says nothing of volts or ohms."""
    if entry.ohms is not None:
        return read_ohms(entry.ohms)
    if entry.volts is not None:
        return f"{entry.volts:g} V"
    return "" if entry.seen in (None, Seen.UNSURE, Seen.DIODE) else str(entry.seen)
