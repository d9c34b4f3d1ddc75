"""A plug that is cut off: whether its wires were flagged by its right face, as they are parted.

At the bare joints a wire is known by its flag alone: no beep there tells that the flags went on by
the mirrored face.  The piece that is cut off beeps at its own contact of the old plug, or does not.
"""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.joint_work import joint_order
from wiremap.content.steps import Step, Want
from wiremap.content.stops import cut_ends
from wiremap.evidence.probe_points import kind_of
from wiremap.graph import Joint
from wiremap.ringout.sentinels import first_to_tell

PROVED = (
    "its piece cut off beeps at this contact of the old plug, through a contact that fits: flagged "
    "by the right face; silent: part no other wire"
)


def flags_proved(given: Given, joint: Joint) -> Iterator[Step]:
    """A beep at the first wires of a plug that some misreading of its whole face has moved."""
    parted = [str(point) for each in joint_order(given) for point in each.points]
    kind = kind_of(given.harness)
    for end in cut_ends(given):
        for first in first_to_tell(given.harness, end.name, parted, kind):
            if first in joint.points:
                yield Step(at=first, text=PROVED, want=Want.BEEP, reading=True)
