"""Rows of the survey without a band: the most that they may show, and what the figure is for."""

from __future__ import annotations

from wiremap.content.words import number
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.expected import FILAMENT, GROUND_BEYOND, Quantity, electrical, machine_volts
from wiremap.model import CHASSIS, Flow, Job
from wiremap.survey.rows import Survey, SurveyRow

GOOD_GROUND = f"no more than the touched leads + {number(GROUND_BEYOND.high)} Ω"
BY_HAND = "told by hand below"
TO_NAME = "helps to name it"
BULB = "a bulb reads under {most} Ω, an LED lamp anything"


def most_volts(job: Job, row: SurveyRow) -> str:
    """The most that a contact may show where no paper states its volts; empty where none is known.

    More than the machine's own supply gives comes from another source.
    """
    supply = machine_volts(job) if row.block == Quantity.VOLTS and row.high is None else None
    return f"at most {number(supply.high)} V" if supply is not None else ""


def good_ground(job: Job, row: SurveyRow) -> str:
    """What a power ground shows beside the meter's own leads; empty of any other row.

    Its band tells what may be read, leads and all; a good one adds next to nothing to them.
    """
    known = cavity_of(job, row.red)
    if known is None or row.block != Quantity.OHMS or row.black != CHASSIS:
        return ""
    return GOOD_GROUND if known.cavity.function == "power-ground" else ""


def noted_for(job: Job, survey: Survey, row: SurveyRow) -> str:
    """What is done with ohms of which nobody states the figure; empty where nothing is."""
    if row.block != Quantity.OHMS:
        return ""
    if any(row.red in alike.points for alike in survey.alike):
        return BY_HAND
    known = cavity_of(job, row.red)
    if known is None:
        return ""
    if known.cavity.function == "unknown":
        return TO_NAME
    if electrical(known.cavity) == "lamp" and known.cavity.flow != Flow.TO_UNIT:
        return BULB.format(most=number(FILAMENT.high))
    return ""
