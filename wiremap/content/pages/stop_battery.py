"""The third two-name stop: before the battery comes back."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step
from wiremap.content.stops import own_reading, stop_section
from wiremap.content.words import listed
from wiremap.model import Stop


def battery_stop(given: Given) -> Section | None:
    """What both say before volts come back."""
    out = listed(*(fuse.out for fuse in given.fuses_out if not fuse.own))
    own = listed(*(fuse.label for fuse in given.fuses_out if fuse.own))
    steps = [
        Step(
            text="Test clips and bridges: how many were put on, how many came back", slot=Slot.LINE
        ),
        Step(text="Every reading so far is right; what can move is still locked out."),
    ]
    if out:
        steps.append(Step(text=f"Out: {out}."))
    if own:
        steps.append(Step(text=f"Holder empty: {own}."))
    steps.append(own_reading("battery", "note it", "V"))
    return stop_section(given, Stop.BATTERY, steps)


PAGE = Page(key="stop-battery", stage=Stage.POWER, make=battery_stop)
