"""The third two-name stop: before the battery comes back."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step
from wiremap.content.stops import own_reading, stop_section
from wiremap.content.words import NOTE, listed, sentence_case, volts_band
from wiremap.evidence.expected import rested_volts
from wiremap.model import Stop
from wiremap.ringout.bunch import bunches

UNPLUGGED = "other control units, as the key's tag names them; all else unplugged for the ring-out"


def battery_stop(given: Given) -> Section | None:
    """What both say before volts come back."""
    out = listed(*(fuse.out for fuse in given.fuses_out if not fuse.own))
    own = listed(*(fuse.label for fuse in given.fuses_out if fuse.own))
    sizes = [bunch.size for bunch in bunches(given.probes).values()]
    leads = (
        f"Test clips and bridges back, {max(sizes)} clips"
        if sizes and not given.adapter  # whose clips came off and were counted on the bench
        else "Breakout leads, mating leads, clips and bridges back, none left in a plug"
    )
    steps = [
        Step(text=f"{leads}: counted", slot=Slot.LINE),
        Step(text="What can move is still locked out."),
    ]
    if not given.adapter:
        steps.append(Step(text=f"Plugged in again: {_plugged_again(given)}."))
    told = [f"out: {out}" if out else "", f"holder empty: {own}" if own else ""]
    if any(told) and not given.adapter:  # whose fuses are still in: it was rung out on the bench
        steps.append(Step(text=f"{sentence_case('; '.join(filter(None, told)))}."))
    live = rested_volts(given.job)
    steps.append(own_reading("battery", volts_band(live.low, live.high) if live else NOTE, "V"))
    return stop_section(given, Stop.BATTERY, steps)


def _plugged_again(given: Given) -> str:
    """What the ring-out wanted unplugged; of some only whoever did it knows."""
    loads = listed(*given.unstated_loads)
    return f"what hangs on {loads}; {UNPLUGGED}" if loads else UNPLUGGED


PAGE = Page(key="stop-battery", stage=Stage.POWER, make=battery_stop)
