"""At work: each output by itself, the guards, and the last sleep current."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.power_steps import more_than_before, power_blocks
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import listed, signal_words
from wiremap.evidence.expected import electrical
from wiremap.firstpower.step import PowerStage
from wiremap.graph import Point
from wiremap.model import Side

DOES = frozenset({"input", "data", "drive", "lamp", "speaker"})
HEARD = "The other units are heard on the bus"
CLEARED = "Ignition on: fault memory read, noted, cleared: plugs apart with it on set faults."
NOTHING_NEW = "Fault memory read once more, after all was tried: nothing came back, nothing new."
TRIED = "Each of these shows, does or feeds what it is for; struck off one by one"


def work_section(given: Given) -> Section:
    """What proves that it works, all of it while the ignition is on, and then that it sleeps."""
    faults = (*_others(given), Step(text=NOTHING_NEW))
    works = [step for step in given.power if step.stage is PowerStage.WORK]
    sleeps = [step for step in given.power if step.stage is PowerStage.SLEEP]
    less = Steps(steps=tuple(more_than_before(sleeps)))
    asleep_blocks = (*power_blocks(given.harness, sleeps), less)
    if not sleeps:
        asleep = Step(
            text="Sleep current once all is quiet, against the figure before the work",
            slot=Slot.BLANK,
            unit="A",
            reading=True,
        )
        asleep_blocks = (Steps(steps=(asleep,)),)
    return Section(
        key="work",
        title="At work",
        drawn_from="everything mated",
        blocks=(
            Steps(steps=(Step(text=CLEARED),)),
            *power_blocks(given.harness, works),
            Steps(steps=faults),
            *asleep_blocks,
        ),
        fresh=False,
    )


def _others(given: Given) -> Iterator[Step]:
    """What the unit does with its other joined contacts: each tried once by what it is for."""
    tried = {step.tries for step in given.power}
    left = [
        f"{signal_words(point)} ({point.address})"
        for point in given.harness.points.values()
        if point.end is not None
        and point.end.side is Side.UNIT
        and _does(given, point)
        and point.address not in tried
    ]
    if left:
        yield Step(text=f"{TRIED}: {listed(*left)}")
    lines = [
        f"{signal_words(point)} ({point.address})"
        for point in given.harness.points.values()
        if _on_bus(given, point)
    ]
    if lines:
        yield Step(text=f"{HEARD}: {listed(*lines)}")


def _does(given: Given, point: Point) -> bool:
    """Whether a joined contact carries something that the unit shows, moves or switches by."""
    if point.cavity is None or not given.harness.circuits_at(point.address):
        return False
    return electrical(point.cavity) in DOES or point.function == "switched-supply"


def _on_bus(given: Given, point: Point) -> bool:
    """Whether a bus comes to a joined contact of the unit."""
    unit = point.end is not None and point.end.side is Side.UNIT
    joined = bool(given.harness.circuits_at(point.address))
    return unit and joined and point.cavity is not None and electrical(point.cavity) == "bus"


PAGE = Page(key="work", stage=Stage.IN_USE, make=work_section)
