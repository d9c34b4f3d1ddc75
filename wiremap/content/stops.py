"""The four two-name stops: few lines, to be spoken, before what cannot be taken back."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.content.face_pieces import FaceBlock
from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.steps import Slot, Step, TwoNames
from wiremap.firstpower.step import PowerStage
from wiremap.model import End, EndKind, Stop

NAMES = {
    Stop.CUT: "the cut",
    Stop.SLEEVES: "the sleeves",
    Stop.BATTERY: "the battery",
    Stop.MATING: "mating",
}
CLOSING = "closing up"  # an adapter has no sleeves to shrink
NONE_OPEN = Step(
    text="Wrong or left open so far: what was carried, and every box above this line",
    want="0",
    slot=Slot.BLANK,
    counts=True,
)
ALONE = (
    'Who works alone does what is the second\'s too, reads it aloud and signs "alone, read aloud" '
    "in the second place."
)
NEVER_ALONE = (
    "A circuit of this job takes a licensed person (guard, brake, steering or the like): this "
    "stop is never signed alone."
)


def stop_name(stop: Stop, *, adapter: bool) -> str:
    """What a stop stands before, in words."""
    return CLOSING if adapter and stop is Stop.SLEEVES else NAMES[stop]


def stop_section(
    given: Given, stop: Stop, steps: Iterable[Step], faces: Iterable[FaceBlock] = ()
) -> Section:
    """A stop with its lines and the count of all above, then the faces of its own reading."""
    block = TwoNames(
        n=_stops_of(given).index(stop) + 1,
        stop=stop,
        name=stop_name(stop, adapter=given.adapter),
        steps=(*steps, NONE_OPEN),
        alone=NEVER_ALONE if given.licensed else ALONE,
    )
    return Section(key=f"stop-{stop}", title="", blocks=(block, *faces), whole=True)


def _stops_of(given: Given) -> list[Stop]:
    """The stops that a job comes to: where nothing is cut, rung out or mated there is none."""
    there = {
        Stop.CUT: bool(cut_ends(given)),
        Stop.SLEEVES: bool(given.probes),
        Stop.BATTERY: True,
        Stop.MATING: any(step.stage is PowerStage.MATE for step in given.power),
    }
    return [stop for stop, is_there in there.items() if is_there]


def cut_ends(given: Given) -> list[End]:
    """The ends that are cut from their machine."""
    return [end for end in given.job.ends.values() if end.kind == EndKind.CUT_TAIL]


def own_reading(where: str, want: str, unit: str) -> Step:
    """The reading that the second person takes himself."""
    return Step(
        at=where,
        text="read by the second person",
        want=want,
        slot=Slot.BLANK,
        unit=unit,
    )
