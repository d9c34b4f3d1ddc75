"""At which joint a point is probed, and in which joints points meet, with their places."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from wiremap.content.given import Given
from wiremap.content.joint_work import joint_at, joint_numbers
from wiremap.content.words import listed, number
from wiremap.graph import Joint, Reach
from wiremap.model import ExtraKind, Side


def joints_at(given: Given) -> dict[str, str]:
    """The joint at which each point is probed that has no face, as J, its number and its place."""
    numbers = joint_numbers(given)
    found: dict[str, str] = {}
    for joint in given.harness.joints.values():
        for address in joint.points:
            if joint.id in numbers and given.harness.reach(address) == Reach.JOINT:
                found[address] = placed(given, numbers, joint)
    return found


def joints_of(given: Given, addresses: Collection[str]) -> list[str]:
    """The joints in which some points meet others, as J, number and place."""
    numbers = joint_numbers(given)
    joints = [joint for joint in given.harness.joints.values() if joint.id in numbers]
    return [
        placed(given, numbers, joint)
        for address in addresses
        for joint in joints
        if address in joint.points
    ]


def placed(given: Given, numbers: Mapping[str, int], joint: Joint) -> str:
    """`J5 at 140`: a number that is written nowhere on the harness, and how far from its tie."""
    at_mm = joint_at(given, joint)
    name = f"J{numbers[joint.id]}"
    return name if at_mm is None else f"{name} at {number(round(at_mm))}"


def to_place(given: Given) -> list[str]:
    """What is given a place on the machine before any wire is cut: units in line, Ts, parts."""
    found = [end.name for end in given.job.ends.values() if end.side is Side.BETWEEN]
    for joint in given.harness.joints.values():
        found += [a for a in joint.points if joint.tap and given.harness.points[a].is_tap]
    return found + [name for name in given.job.extras if not part_place(given, name)]


def part_place(given: Given, name: str) -> str:
    """Between which joints a resistor or a diode lies; empty where a place is to be decided."""
    extra = given.job.extras[name]
    if extra.kind not in (ExtraKind.RESISTOR, ExtraKind.DIODE):
        return ""
    return " and ".join(joints_of(given, extra.legs))


def leg_places(given: Given, joint: Joint) -> str:
    """`J1 camera-feed: 300 mm from camera, 100 mm from head`: a joint of new wires alone.

    Empty for one that has its place on a run, or whose wires nobody states the lengths of.
    """
    numbers = joint_numbers(given)
    if joint.id not in numbers or joint_at(given, joint) is not None:
        return ""
    far: dict[str, None] = {}
    for conductor in given.conductors(joint):
        for node in given.loose_ends(conductor):
            end = given.harness.end_of(node)
            if conductor.is_new and conductor.length_mm is not None and end is not None:
                far[f"{number(conductor.length_mm)} mm from {end.name}"] = None
    return f"J{numbers[joint.id]} {joint.id}: {listed(*far)}" if far else ""
