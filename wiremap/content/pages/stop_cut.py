"""The first two-name stop: before the cut."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step
from wiremap.content.stops import own_reading, stop_section
from wiremap.model import EndKind, Stop
from wiremap.survey.loaded import loaded_tests


def cut_stop(given: Given) -> Section | None:
    """What both say before the first wire is cut; None where nothing is cut."""
    cut = [end for end in given.job.ends.values() if end.kind == EndKind.CUT_TAIL]
    if not cut:
        return None
    plugs = " and ".join(end.name for end in cut)
    steps = [
        Step(text="Every reading before the cut is written down and explained."),
        Step(text="What can move is locked out, the ignition tagged; the battery is off."),
        Step(text=f"This is the plug {plugs}: first and last moulded number read aloud."),
        Step(text="Both sides of every wire bear their flags."),
    ]
    for test in loaded_tests(given.job)[:1]:
        steps.append(own_reading(f"{test.supply} – chassis", "under 0.1 V", "V"))
    return stop_section(given, Stop.CUT, steps)


PAGE = Page(key="stop-cut", stage=Stage.CUT, make=cut_stop)
