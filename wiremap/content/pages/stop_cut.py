"""The first two-name stop: before the cut."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.bus import bus_halves
from wiremap.content.given import Given
from wiremap.content.laid_out import tapped_wires
from wiremap.content.pieces import Section
from wiremap.content.small_faces import plug_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step
from wiremap.content.stops import cut_ends, own_reading, stop_section
from wiremap.content.words import DEAD, listed, number
from wiremap.model import End, Stop
from wiremap.survey.loaded import loaded_tests
from wiremap.trade.limits import limit

LOCKED_OUT = (
    "What can move is locked out, the ignition tagged; the battery is off, as is any other source"
)
FLAGS = "Every wire bears its flag on the side that stays, its cavity on the old plug's side."


def cut_stop(given: Given) -> Section | None:
    """What both say before the first wire is cut; None where nothing is cut."""
    cut = cut_ends(given)
    if not cut:
        return None
    plugs = " and ".join(end.name for end in cut)
    kept = _kept(cut, pairs=bool(bus_halves(given)))
    steps = [
        Step(text=f"{LOCKED_OUT}{_fuses_out(given)}."),
        Step(text=f"This is the plug {plugs}: {_moulded(cut)} read aloud where they are moulded."),
        Step(text=FLAGS),
        Step(text=f"How {plugs} will be parted, said by the one who cuts: {kept}{_tapped(given)}"),
    ]
    read = {end.name for end in cut}
    supply = next((test.supply for test in loaded_tests(given.job)), None)
    if supply is not None:
        steps.append(own_reading(f"{supply} – chassis", DEAD, "V"))
        read.add(supply.end)
    return stop_section(given, Stop.CUT, steps, plug_faces(given, read))


def _fuses_out(given: Given) -> str:
    """The fuses before what is cut: with them out a battery that is put on again harms nothing."""
    out = listed(*(fuse.out for fuse in given.fuses_out if not fuse.own))
    return f"; out now, if one is still in: {out}" if out else ""


def _moulded(cut: Sequence[End]) -> str:
    """The first and last number of each plug."""
    names = [list(end.pinout.cavities) for end in cut]
    return " and ".join(f"{each[0]} and {each[-1]}" for each in names if each)


def _kept(cut: Sequence[End], *, pairs: bool) -> str:
    """How much of its wires the old plug keeps for the way back, and what stays behind it."""
    tail = number(limit("kept-plug-tail-mm"))
    when = "one wire at a time as its joint comes"
    if pairs:
        when += ", a bus pair together"
    kept = f"{when}: parted {tail} mm behind the old plug"
    stays = [f"at least {number(end.tail_mm)} mm" for end in cut if end.tail_mm is not None]
    if not stays:
        return f"{kept}, which keeps that piece."
    till = "from the last tie stay till each is cut to its row"
    return f"{kept}, which keeps that piece; {listed(*stays)} {till}."


def _tapped(given: Given) -> str:
    """The wires in service that are cut too."""
    taps = listed(*(tap for taps, whole in tapped_wires(given) if not whole for tap in taps))
    return f" Also cut, in its turn at its mark, in service: {taps}." if taps else ""


PAGE = Page(key="stop-cut", stage=Stage.CUT, make=cut_stop)
