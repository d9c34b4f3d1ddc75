"""Family `parts`: fuses of the job where none belongs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiremap.model import Extra
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.signals import Signal
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
    for fuse, signals in _unfed(view):
        quiet = [s for s in signals if s.row.electrical in ("bus", "data", "input", "loop")]
        if quiet and len(quiet) == len(signals):
            line = quiet[0]
            facts = {"fuse": fuse.name, "a": view.name(line.address), "a_is": called(line.row.slug)}
            yield view.hit_with((fuse.name, line.address), facts, fuse.place)


@PARTS.stop(
    "fuse-in-ground",
    what="{fuse} lies in the ground of {a}",
    why="When it opens, the unit finds another way to ground, through its signals and returns.",
    fix="Put the fuse into the supply, and carry the ground through without one.",
)
def fuse_in_ground(view: View) -> Hits:
    """A fuse of the job in a ground or return."""
    for fuse, signals in _unfed(view):
        of_ground = [s for s in signals if s.is_ground]
        grounds = [s for s in of_ground if not s.is_machine] or of_ground
        if grounds:
            ground = grounds[0].address
            facts = {"fuse": fuse.name, "a": view.name(ground)}
            yield view.hit_with((fuse.name, ground), facts, fuse.place)


def _unfed(view: View) -> Iterator[tuple[Extra, Sequence[Signal]]]:
    """The first fuse of each net that nothing feeds, and the signals there."""
    for net, signals in view.carried:
        fuses = view.extras(net, "fuse")
        if fuses and not any(signal.is_positive for signal in signals):
            yield fuses[0], signals
