"""The four two-name stops: few lines, to be spoken, before what cannot be taken back."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.steps import Slot, Step, TwoNames
from wiremap.model import Stop

NAMES = {
    Stop.CUT: "the cut",
    Stop.SLEEVES: "the sleeves",
    Stop.BATTERY: "the battery",
    Stop.MATING: "mating",
}
CLOSING = "closing up"  # an adapter has no sleeves to shrink
ALONE = (
    'Who works alone reads it aloud and signs "alone, read aloud" in the second place; the '
    "verdict shows it."
)
NEVER_ALONE = (
    "A circuit of this job takes a licensed person (guard, brake, steering or the like): this "
    "stop is never signed alone."
)


def stop_section(given: Given, stop: Stop, steps: Iterable[Step]) -> Section:
    """A stop with its lines; it is the first thing on the page that is turned to."""
    number = list(NAMES).index(stop) + 1
    block = TwoNames(
        n=number,
        name=CLOSING if given.adapter and stop is Stop.SLEEVES else NAMES[stop],
        steps=tuple(steps),
        alone=NEVER_ALONE if given.licensed else ALONE,
    )
    return Section(key=f"stop-{stop}", title="", blocks=(block,))


def own_reading(where: str, want: str, unit: str) -> Step:
    """The reading that the second person takes himself."""
    return Step(
        at=where,
        text="read by the second person",
        want=want,
        slot=Slot.BLANK,
        unit=unit,
    )
