"""At which joint a point is probed, and in which joints points meet."""

from __future__ import annotations

from collections.abc import Collection

from wiremap.content.given import Given
from wiremap.content.joint_work import joint_numbers
from wiremap.graph import Reach


def joints_at(given: Given) -> dict[str, str]:
    """The joint at which each point is probed that has no face, as J and its number."""
    numbers = joint_numbers(given)
    found: dict[str, str] = {}
    for joint in given.harness.joints.values():
        for address in joint.points:
            if joint.id in numbers and given.harness.reach(address) == Reach.JOINT:
                found[address] = f"J{numbers[joint.id]}"
    return found


def joints_of(given: Given, addresses: Collection[str]) -> list[str]:
    """The joints in which some points meet others, as J and its number."""
    numbers = joint_numbers(given)
    joints = [joint for joint in given.harness.joints.values() if joint.id in numbers]
    return [
        f"J{numbers[joint.id]}"
        for address in addresses
        for joint in joints
        if address in joint.points
    ]
