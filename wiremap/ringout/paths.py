"""Whether something else than metal may beep between two points of one circuit."""

from __future__ import annotations

from wiremap.mistakes.drawn import ROUNDED, Drawn


def another_path(drawn: Drawn, net: int) -> bool:
    """Whether another net reads as if it might beep with this one, within reach or not.

    An open joint between them would beep too, and so would a wire in the wrong one of the two.
    """
    silent = drawn.beeper.silent_ohms
    least, beside = drawn.network.least, drawn.network.joined.get(net, ())
    for other in drawn.tied.get(net, ()):
        if other == net or other not in drawn.members:
            continue
        if other not in beside and least(net) + least(other) > ROUNDED * silent:
            continue
        if drawn.sound.between({net}, {other}).low < silent:
            return True
    return False
