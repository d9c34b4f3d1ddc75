"""The current of the machine asleep before the work, old unit unplugged, as a step on paper."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import BRIDGED
from wiremap.firstpower.faces import QUIET
from wiremap.survey.loaded import loaded_tests

ON_TAG = "Also on the ignition key's tag: it is wanted at first power."


def asleep(given: Given) -> Iterator[Steps]:
    """The current in the battery's minus lead."""
    lamp = "Lamp away, ignition off" if loaded_tests(given.job) else "Ignition off"
    step = Step(
        text=f"{lamp}, {QUIET}: current in the battery's minus lead. {ON_TAG}",
        note=BRIDGED,
        want="note it",
        slot=Slot.BLANK,
        unit="A",
        reading=True,
    )
    yield Steps(title="Sleep current before the work", steps=(step,))
