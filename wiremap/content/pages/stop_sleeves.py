"""The second two-name stop: before the sleeves are shrunk, or an adapter's plugs are closed."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step
from wiremap.content.stops import own_reading, stop_section
from wiremap.content.words import sentence_case
from wiremap.model import Stop
from wiremap.ringout.probe import Probe


def sleeves_stop(given: Given) -> Section | None:
    """What both say before a joint can no longer be seen; None where nothing was rung out."""
    if not given.probes:
        return None
    steps = [
        Step(text="A wrong reading, its cause and its cure (or: none)", slot=Slot.LINE),
        *_looked_at(given),
    ]
    worst = _worst(given)
    if worst is not None:
        where = f"{' + '.join(worst.red)} – {' + '.join(worst.black)}"
        steps.append(own_reading(where, "silent", ""))
    return stop_section(given, Stop.SLEEVES, steps)


def _looked_at(given: Given) -> Iterator[Step]:
    """What the second person looks at: a crimp that went into its cavity was shown before that."""
    told = []
    if given.harness.joints:
        told.append("each joint looked at by the second, by its flags: copper all in")
    if given.crimped_into:
        told.append("no contact went in without the second having seen its crimp")
    if told:
        yield Step(text=f"{sentence_case('; '.join(told))}.")


def _worst(given: Given) -> Probe | None:
    """The silence that matters most: the first between two points because of a danger."""
    for probe in (*given.probes, *given.second):
        single = len(probe.red) == len(probe.black) == 1 and not probe.state.parted
        if single and probe.expect == "silent" and (probe.why or probe.state.shrunk):
            return probe
    return None


PAGE = Page(key="stop-sleeves", stage=Stage.SLEEVES, make=sleeves_stop)
