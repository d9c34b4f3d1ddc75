"""Whether something else than metal may beep between two points of one circuit."""

from __future__ import annotations

from collections.abc import Container

from wiremap.mistakes.drawn import ROUNDED, Drawn


def another_path(drawn: Drawn, net: int, within: Container[int]) -> bool:
    """Whether a net of these reads as if it might beep with this one.

    An open joint between them would beep too.
    """
    silent = drawn.beeper.silent_ohms
    least, beside = drawn.network.least, drawn.network.joined.get(net, ())
    for other in drawn.tied.get(net, ()):
        if other == net or other not in within:
            continue
        if other not in beside and least(net) + least(other) > ROUNDED * silent:
            continue
        if drawn.sound.between({net}, {other}).low < silent:
            return True
    return False
