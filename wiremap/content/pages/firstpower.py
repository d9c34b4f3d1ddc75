"""First power, up to the last reading before anything is mated."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.one_band import as_surveyed
from wiremap.content.pieces import Block, Section
from wiremap.content.power_steps import power_blocks, split_at_mating
from wiremap.content.small_faces import small_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.firstpower.step import PowerStage
from wiremap.model import PROBED_FROM

LEAD = (
    "A lamp burns where it must stay dark, or a reading is wrong: battery off, minus first; find "
    "it, then go on."
)
WITHOUT_PLAN = (
    "Ring-out done and written down, plugs unmated, all fuses of this job out.",
    "A small lamp or a limited feed in place of the upstream fuse. Battery on, ignition off: the "
    "lamp stays dark.",
    "Fuses in. A test lamp between each supply and its ground burns fully: a beep alone proves no "
    "crimp.",
)


def power_section(given: Given) -> Section:
    """Lock-out, lamps, volts at the unmated faces, loads, the job's own fuses."""
    blocks: tuple[Block, ...] = (Steps(steps=_without_plan()),)
    if given.power:
        before, _ = split_at_mating(given.power)
        dark = [step for step in before if step.stage in (PowerStage.LOCK_OUT, PowerStage.LAMP)]
        lit = [step for step in before if step not in dark]
        faces = small_faces(given, given.unmated_faces, PROBED_FROM)
        seen = {n: f"as S{row.n}, on the tag" for n, row in as_surveyed(given).items()}
        every = tuple(power_blocks(given.harness, [*dark, *lit], seen))
        count = len(tuple(power_blocks(given.harness, dark)))
        blocks = (*every[:count], *faces, *every[count:])
    return Section(
        key="power",
        title="First power, the units not mated",
        drawn_from="volts at the new faces, unmated",
        blocks=blocks,
        lead=LEAD,
        fresh=False,
        faces_again=True,
    )


def _without_plan() -> tuple[Step, ...]:
    """The order that holds for every job, where no steps of first power were worked out."""
    read = Step(
        text="Volts on every supply contact of the unmated face; every other contact under 0.1 V",
        slot=Slot.BLANK,
        unit="V",
    )
    first, second, third = (Step(text=words) for words in WITHOUT_PLAN)
    return (first, second, read, third)


PAGE = Page(key="power", stage=Stage.POWER, make=power_section, order=1)
