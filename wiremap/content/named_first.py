"""Wires that no reading tells: a named person says what each is, before it is parted.

They hold up no other wire: each is asked for as its own joint comes, not at the stop before all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wiremap.content.given import Given
from wiremap.content.joint_work import joint_order
from wiremap.content.read_here import is_told
from wiremap.content.steps import Slot, Step
from wiremap.graph import Joint

SAID = "no reading of this sheet tells what it is: what it is, and who says so; till then not cut"


def named_first(given: Given) -> list[str]:
    """The wires of a splice that no reading tells, as far as they meet a joint."""
    if given.adapter:
        return []
    jointed = {str(point) for joint in joint_order(given) for point in joint.points}
    untold = (point for point in given.not_surveyed if not is_told(given, (point,)))
    return [point for point in untold if point in jointed]


def named_here(named: Iterable[str], joint: Joint) -> Iterator[Step]:
    """The place for the name, at the joint of such a wire."""
    for point in named:
        if point in joint.points:
            yield Step(at=point, text=SAID, slot=Slot.LINE)
