"""Each supply and ground under a lamp before the cut, as steps on paper."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.joint_work import TO_WRITE
from wiremap.content.one_band import loss_wanted
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import number
from wiremap.model import OnOff
from wiremap.survey.loaded import LoadedTest, loaded_tests

OTHER_LAMP = "Of another lamp the limit goes by its watts: half the watts, half the volts."


def loaded_blocks(given: Given) -> Iterator[Steps]:
    """The block of lamps, one over each supply and its ground; none where nothing is tried so."""
    tests = loaded_tests(given.job)
    if tests:
        yield Steps(
            title="Under load: a poor feed shows its full volts until it must work",
            lead=OTHER_LAMP,
            steps=tuple(_lamp(given, test) for test in tests),
        )


def _lamp(given: Given, test: LoadedTest) -> Step:
    want = "note it"
    most = loss_wanted(given, test)
    if most is not None:
        want = f"at most {number(most)} V"
    key = f"ignition {test.key or OnOff.OFF}, "
    return Step(
        at=f"{test.supply} – {test.ground}",
        text=f"{key}volts between them {TO_WRITE}; with a lamp of {number(test.watts)} W between "
        f"them, which burns fully, {TO_WRITE}: the first less the second",
        want=want,
        slot=Slot.BLANK,
        unit="V",
        reading=True,
    )
