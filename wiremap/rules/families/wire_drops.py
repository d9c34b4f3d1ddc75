"""Family `wire`: what conductors lose."""

from __future__ import annotations

from wiremap.rules.cure import SIGN
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.sized import sizes
from wiremap.rules.view import View
from wiremap.sizing.feed_parts import Drop, Feed, Weight
from wiremap.sizing.sized import Sized

WIRE = Family("wire", Matter.WORKING)
DROP = (
    "{circuit}: at {amps} A what the job adds on the way to {load} and back loses "
    "{percent:.1f} % at running temperature; with the machine's own part it is {hot:.2f} V "
    "({whole:.1f} %){loom}; {limit:g} % is the most"
)
LOST = "What is lost on the way is missing at the unit: it may reset while cranking, drives weaken."
THICKER = (
    "Use a thicker or shorter wire, move the feed closer, or sign why the load does not mind"
    + SIGN
    + "."
)
ABYC = "ABYC E-11 style 3 % and 10 %; FAA AC 43.13-1B chapter 11; 5 % as the job's own share here"


@WIRE.caution("voltage-drop", what=DROP, why=LOST, fix=THICKER, source=ABYC)
def voltage_drop(view: View) -> Hits:
    """A feed on which the job adds more than 5 % of the nominal voltage, or what it states, to
    what is lost.
    """
    return _drops(view, Weight.CAUTION)


@WIRE.stop("voltage-drop-far", what=DROP, why=LOST, fix=THICKER, source=ABYC)
def voltage_drop_far(view: View) -> Hits:
    """A feed on which the job adds more than 10 % of the nominal voltage, or what it states, to
    what is lost.
    """
    return _drops(view, Weight.STOP)


def _drops(view: View, weight: Weight) -> Hits:
    for feed in sizes(view).feeds:
        worst = max(feed.drops, key=lambda drop: (drop.added_percent, drop.load), default=None)
        if worst is None or worst.weight != weight:
            continue
        yield view.hit(
            *feed.circuits[:1],
            place=feed.place,
            also=view.described(worst.load),
            circuit=_circuit(feed),
            amps=_amps(worst),
            load=view.name(worst.load),
            percent=worst.added_percent,
            hot=worst.sized.number("drop"),
            whole=worst.percent,
            loom=_loom_share(worst.sized),
            limit=worst.limits.stop if weight == Weight.STOP else worst.limits.caution,
        )


def _amps(drop: Drop) -> str:
    """What flows in the parts that the job adds: more where loads share a way."""
    least, most = drop.part_amps[0], drop.part_amps[-1]
    return f"{least:g}" if least == most else f"{least:g} to {most:g}"


def _circuit(feed: Feed) -> str:
    return feed.circuits[0] if feed.circuits else feed.address


def _loom_share(sized: Sized) -> str:
    if not sized.has("loom_drop_20C"):
        return ""
    volts, percent = sized.number("loom_drop_20C"), sized.number("loom_drop_20C_percent")
    return f", of it {volts:.2f} V ({percent:.1f} %) on the machine's own loom at 20 C"
