"""What waits for the last reading of the ring-out: plugs, every sleeve, what goes over all."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.joint_work import SELF_SLEEVED, joint_kind, joint_order
from wiremap.content.steps import Step
from wiremap.content.words import listed, spaced


def closing_steps(given: Given) -> Iterator[Step]:
    """Each deed of closing up, in the order of the hands."""
    blanked = [point.address for point in given.treated("blank")]
    if blanked:
        yield Step(text=f"Blanking plugs in; strike off each: {spaced(*blanked)}")
    ends = [end for end in given.job.ends.values() if end.kind in ("mate", "pigtail")]
    if ends:
        faces = listed(*(end.name for end in ends))
        yield Step(
            text=f"Every contact of {faces} pulled gently: none comes; secondary locks shut."
        )
    order = joint_order(given)
    shrunk = [
        f"J{n}" for n, joint in enumerate(order, 1) if joint_kind(given, joint) != SELF_SLEEVED
    ]
    if shrunk:
        yield Step(
            text=f"Sleeves shrunk, adhesive seen at both ends; strike off each: {' '.join(shrunk)}"
        )
    if shrunk and given.runs:
        yield Step(text="Outer sleeve over all joints, shrunk; boot over its end.")
