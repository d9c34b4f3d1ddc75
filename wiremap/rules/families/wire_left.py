"""Family `wire`: what is left of the supply at a unit."""

from __future__ import annotations

from wiremap.rules.cure import SIGN
from wiremap.rules.limits import is_under
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.sized import sizes
from wiremap.rules.view import View
from wiremap.sizing.around import around_of
from wiremap.sizing.feed_parts import Drop

WIRE = Family("wire", Matter.WORKING)


@WIRE.stop(
    "supply-too-low",
    what="{a}: of {volts:g} V only {left:.2f} V are left there, the machine's own feed counted; it "
    "needs {least:g} V",
    why="Below its least volts a unit resets or stays off, whoever's wire it is that loses them.",
    fix="Use another feed, a thicker or shorter wire, or sign what was measured there under load"
    + SIGN,
    source="Ohm's law; the unit's stated volts, else the supply's least",
)
def supply_too_low(view: View) -> Hits:
    """A unit's supply that nominal volts, less all that is lost on the way and back, do not bring
    to its least volts.
    """
    for feed in sizes(view).feeds:
        for drop in feed.drops:
            left = drop.volts - drop.sized.number("drop")
            least = _least_volts(view, drop)
            if is_under(left, least):
                yield view.described_hit(drop.load, volts=drop.volts, left=left, least=least)


def _least_volts(view: View, drop: Drop) -> float:
    """The least that a unit's contact states [V], else the supply's."""
    cavity = view.points[drop.load].cavity
    if cavity is not None and cavity.volts is not None and not cavity.volts.exact:
        return cavity.volts.low
    return around_of(view.job).low_volts
