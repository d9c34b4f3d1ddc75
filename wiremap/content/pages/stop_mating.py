"""The fourth two-name stop: before anything is mated."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.content.face_pieces import FaceBlock
from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.small_faces import small_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step
from wiremap.content.stops import own_reading, stop_section
from wiremap.content.words import volts_band
from wiremap.evidence.expected import AWAKE
from wiremap.firstpower.step import PowerStage, PowerStep
from wiremap.model import PROBED_FROM, Address, Stop

BUS_VOLTS = AWAKE["can-high"].low  # a contact that must show more than a bus does is a supply
PROVEN = "read aloud when it was set, and its ohms were right"


def mating_stop(given: Given) -> Section | None:
    """What both say before a unit is put at risk; None where nothing is mated."""
    if not any(step.stage is PowerStage.MATE for step in given.power):
        return None
    steps = []
    for end in given.job.ends.values():
        for name, stands in end.switches.items():
            steps.append(Step(text=f"{end.name} {name} is {str(stands).upper()}: {PROVEN}."))
    faces: Iterable[FaceBlock] = ()
    supply = read_at_stop(given)
    if supply is not None and supply.red:
        faces = small_faces(given, {Address.read(supply.red).end}, PROBED_FROM)
        steps.append(
            own_reading(f"{supply.red} – {supply.black}", volts_band(supply.low, supply.high), "V")
        )
    return stop_section(given, Stop.MATING, steps, faces)


def read_at_stop(given: Given) -> PowerStep | None:
    """The supply that the second person reads once more; None without any."""
    return next(
        (step for step in given.power if step.stage is PowerStage.VOLTS and _is_fed(step)), None
    )


def _is_fed(step: PowerStep) -> bool:
    return step.low is not None and step.low > BUS_VOLTS


PAGE = Page(key="stop-mating", stage=Stage.MATING, make=mating_stop)
