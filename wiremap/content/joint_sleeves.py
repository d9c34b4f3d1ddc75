"""The sleeve of a joint: how long it is cut, and on which wire it waits for the crimp."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.base import only
from wiremap.content.given import Given
from wiremap.graph import Conductor, Joint
from wiremap.sizing.joint_sides import joint_sides


def sleeve_mm(given: Given, joint: str) -> float:
    """How long the sleeve of a joint is cut [mm]; 0 where none is known."""
    size = given.joint_size(joint)
    if size is None or size.made is None or size.made.sleeve is None:
        return 0.0
    return size.made.sleeve_cut_mm or 0.0


def sleeve_named(given: Given, joint: str) -> Iterator[str]:
    """The sleeve with its length, where it is known."""
    size = given.joint_size(joint)
    length = sleeve_mm(given, joint)
    if length and size is not None and size.made is not None and size.made.sleeve is not None:
        yield f"sleeve {size.made.sleeve.name}, {length:.0f} mm"


def waits_on(given: Given, joint: Joint) -> str:
    """The wire on which the sleeve waits: alone on its side, and of those the longer one.

    Two wires of one side lead to two places, or back to the joint by way of a part: what waits on
    one of them does not come over the joint.  Empty where both sides are such.
    """
    sides = joint_sides(joint, given.harness)
    alone = [wire for wire in map(only, sides) if wire is not None and not wire.is_lead]
    if not alone:
        return ""
    longest = max(alone, key=lambda wire: _free_mm(given, wire))
    return longest.point or next(iter(given.loose_ends(longest)), "")


def _free_mm(given: Given, conductor: Conductor) -> float:
    """How much of a wire lies free [mm]; a wire in service lies so as far as its slack goes."""
    cut = given.cut(conductor.id)
    return 0.0 if cut is None else cut.mm
