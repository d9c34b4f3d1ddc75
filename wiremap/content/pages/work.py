"""At work: each output by itself, the guards, and the last sleep current."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.power_steps import power_blocks
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps


def work_section(given: Given) -> Section:
    """What proves that it works, and that it sleeps."""
    steps = [step for step in given.power if step.stage in ("work", "sleep")]
    blocks = tuple(power_blocks(given.harness, steps))
    if not steps:
        asleep = Step(
            text="Sleep current once all is quiet, against the figure before the work",
            slot=Slot.BLANK,
            unit="A",
            reading=True,
        )
        blocks = (Steps(steps=(asleep,)),)
    faults = Step(text="Fault memory read: nothing new.")
    return Section(
        key="work",
        title="At work",
        drawn_from="everything mated",
        blocks=(*blocks, Steps(steps=(faults,))),
        fresh=False,
    )


PAGE = Page(key="work", stage=Stage.WORK, make=work_section)
