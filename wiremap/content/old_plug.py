"""A plug that is cut off: whether its wires were flagged by its right face, as they are parted.

At the bare joints a wire is known by its flag alone: no beep there tells that the flags went on by
the mirrored face.  What is left of it on the old plug beeps at its own contact there, or does not.
"""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.joint_ends import service_proved
from wiremap.content.joint_work import joint_order
from wiremap.content.steps import Step, Want
from wiremap.content.stops import cut_ends
from wiremap.content.words import listed, number
from wiremap.evidence.probe_points import kind_of
from wiremap.graph import Joint
from wiremap.ringout.sentinels import first_to_tell
from wiremap.trade.limits import limit

PROVED = (
    "parted, the wire left on the old plug: its cut end beeps at this contact there, through a "
    "contact that fits: flagged by the right face; silent: part no other wire"
)
ONLY = (
    "Only {wires}: a face read mirrored or turned moves one of these; one wrong flag by itself "
    "shows no sooner than at first power or at work."
)


PARTED = "each first parted {kept} mm behind the old plug"


def parted_words() -> str:
    """Where a wire of a plug that is cut off is parted first."""
    return PARTED.format(kept=number(limit("kept-plug-tail-mm")))


def proved_first(given: Given, joint: Joint) -> Iterator[Step]:
    """What is read before a crimp: a wire in service known, flags by the right face."""
    yield from service_proved(given, joint)
    yield from flags_proved(given, joint)


def flags_proved(given: Given, joint: Joint) -> Iterator[Step]:
    """A beep at some wires of a plug: the first, by the order of the joints, that any reading of
    its whole face mirrored or turned would have moved.
    """
    in_order = [str(point) for each in joint_order(given) for point in each.points]
    kind = kind_of(given.harness)
    for end in cut_ends(given):
        telling = first_to_tell(given.harness, end.name, in_order, kind)
        only = ONLY.format(wires=listed(*telling))
        for wire in telling:
            if wire in joint.points:
                note = only if wire == telling[0] else ""
                yield Step(at=wire, text=PROVED, want=Want.BEEP, reading=True, note=note)
