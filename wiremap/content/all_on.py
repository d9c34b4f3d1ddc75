"""The third sweep of the survey: what may move while lights and every switch are tried."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import DEAD, listed, sentence_case
from wiremap.evidence.expected_volts import ALL_ON
from wiremap.model import OnOff
from wiremap.rules.sensing import SWITCHED
from wiremap.survey.rows import Survey

THEN = "then all off again, the ignition stays on"
QUIET_VOLTS = 0.5  # a contact expected to show at most this counts as dead, above it as live


def all_on(given: Given, survey: Survey) -> Iterator[Steps]:
    """The block of the third sweep; none where nothing is told: many a wire is live in one
    position only.
    """
    rows = [row for row in survey.block("volts") if row.key == OnOff.ON and row.state is None]
    quiet = [row.red for row in rows if row.high is not None and row.high <= QUIET_VOLTS]
    dead = [red for red in quiet if not _is_ground(given, red)]
    without_band = [row.red for row in rows if row.high is None]
    groups: dict[str, list[str]] = {f"always {DEAD}": dead}
    for red in without_band:
        words = _when_moved(given, red)
        if words:
            groups.setdefault(words, []).append(red)
    expected = [f"{words}: {listed(*points)}" for words, points in groups.items() if points]
    if expected:
        words = f"{sentence_case(ALL_ON)}: which changed, with what on; {THEN}"
        yield Steps(
            title="Volts, lights and every switch on",
            lead=f"Every switch worked at one contact after another; {'; '.join(expected)}.",
            steps=(Step(text=words, slot=Slot.LINE, reading=True),),
        )


def _is_ground(given: Given, address: str) -> bool:
    """Whether the lights' own current may flow there, so that a few volts are no fault: how many
    a ground loses is read with a lamp of known watts instead.
    """
    point = given.harness.points.get(address)
    return point is not None and point.function == "power-ground"


def _when_moved(given: Given, address: str) -> str:
    """How a contact may move while switches are tried; empty where nobody knows what it is."""
    point = given.harness.points.get(address)
    cavity = point.cavity if point is not None else None
    if cavity is None or cavity.function == "unknown":
        return ""
    if cavity.function in SWITCHED:
        return "live with its own switch alone"
    if cavity.function == "digital-input":
        return "changed by its own switch or door alone"
    return "unmoved"
