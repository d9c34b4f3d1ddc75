"""Family `metal`: alternating volts, which swing below ground, on what is made for direct volts."""

from __future__ import annotations

from math import sqrt

from wiremap.model import Span
from wiremap.rules.cure import said_anew
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS

METAL = Family("metal", Matter.UNIT)


@METAL.stop(
    "alternating-on-direct",
    what="{a} carries {volts} V AC; {b} is not said to take alternating volts",
    why="Alternating volts swing as far below ground as above it: an input made for direct volts "
    "dies or counts wrongly.",
    fix="Put the maker's converter between them, or state the alternating volts that "
    "the input takes, by its leaflet" + said_anew("volts_ac", of="bt"),
)
def alternating_on_direct(view: View) -> Hits:
    """An input joined with a contact that carries alternating volts, while its own paper tells
    neither `volts_ac` nor a range of volts that holds the whole swing.
    """
    for point in view.joined():
        if point.cavity is None or point.end is None or not point.cavity.volts_ac:
            continue
        peak = abs(point.cavity.volts_ac) * sqrt(2)
        for other in view.beside(point.address):
            cavity = view.points[other.address].cavity
            if cavity is None or other.is_machine or cavity.volts_ac is not None:
                continue
            takes = cavity.volts is not None and _holds(cavity.volts, peak)
            if FUNCTIONS[cavity.function].electrical == "input" and not takes:
                yield view.hit(
                    point.address, other.address, volts=f"{abs(point.cavity.volts_ac):g}"
                )


def _holds(volts: Span, peak: float) -> bool:
    """Whether a range holds the swing from one peak to the other."""
    return volts.low <= -peak and peak <= volts.high
