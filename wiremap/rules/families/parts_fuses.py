"""Family `parts`: fuses of the job where none belongs."""

from __future__ import annotations

from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View
from wiremap.trade.functions import called

PARTS = Family("parts", Matter.UNIT)


@PARTS.caution(
    "fuse-in-signal",
    what="{fuse} lies in the line of {a} ({a_is}), which carries no load",
    why="A fuse of amperes never opens at a signal's milliamperes; it only adds two contacts.",
    fix="Carry the signal through on wire; fuse what feeds the sender.",
)
def fuse_in_signal(view: View) -> Hits:
    """A fuse of the job in a bus, an input or another line of which nothing is fed."""
    for net in view.nets:
        fuses = view.extras(net, "fuse")
        signals = view.signals(net)
        quiet = [s for s in signals if s.row.electrical in ("bus", "data", "input", "loop")]
        if fuses and quiet and len(quiet) == len(signals) and not any(s.hot for s in signals):
            fuse, line = fuses[0], quiet[0]
            told = {"fuse": fuse.name, "a": view.name(line.address), "a_is": called(line.row.slug)}
            yield view.hit_with((fuse.name, line.address), told, fuse.place)


@PARTS.stop(
    "fuse-in-ground",
    what="{fuse} lies in the ground of {a}",
    why="When it opens, the unit finds another way to ground, through its signals and returns.",
    fix="Put the fuse into the supply, and carry the ground through without one.",
)
def fuse_in_ground(view: View) -> Hits:
    """A fuse of the job in a ground or return."""
    for net in view.nets:
        fuses = view.extras(net, "fuse")
        signals = view.signals(net)
        grounds = [s for s in signals if s.cold and s.side != "machine"] or [
            s for s in signals if s.cold
        ]
        if fuses and grounds and not any(s.hot for s in signals):
            fuse, ground = fuses[0], grounds[0].address
            told = {"fuse": fuse.name, "a": view.name(ground)}
            yield view.hit_with((fuse.name, ground), told, fuse.place)
