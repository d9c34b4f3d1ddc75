"""Family `metal`: the sense wire of an alternator, which belongs on the battery alone."""

from __future__ import annotations

from wiremap.rules.cure import WORDS_MEAN_ELSE
from wiremap.rules.dangers import joined_in_danger, names_danger
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.signals import Signal
from wiremap.rules.view import View
from wiremap.trade.dangers import DangerKind

METAL = Family("metal", Matter.UNIT)
FEEDS = frozenset({"supply", "drive", "lamp"})


@METAL.stop(
    "sense-off-battery",
    what="{a} is the sense wire of an alternator; {b} on it {how}",
    why="The regulator gives until the volts at this wire are right: behind a switch or a load "
    "they stay too low, and everything else gets too many.",
    fix="Give it a fused wire of its own to the battery's positive" + WORDS_MEAN_ELSE + ".",
)
def sense_off_battery(view: View) -> Hits:
    """An alternator's sense wire, by its wording, joined with a feed that is switched or with what
    takes amps; a permanent supply of the machine and another sense wire may be there.
    """
    for address in joined_in_danger(view):
        if names_danger(view, address, DangerKind.CHARGE_SENSE):
            for other in view.beside(address):
                if _is_off_battery(view, other):
                    how = "is switched" if other.drives else "takes amps"
                    yield view.hit(address, other.address, address=address, how=how)


def _is_off_battery(view: View, other: Signal) -> bool:
    if other.row.electrical not in FEEDS or names_danger(
        view, other.address, DangerKind.CHARGE_SENSE
    ):
        return False
    return not (other.row.slug == "permanent-supply" and other.drives)
