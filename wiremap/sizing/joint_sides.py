"""Which conductors share an end of a joint, and the cables that they are there."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from wiremap.graph import Conductor, ConductorOrigin, Harness, Joint
from wiremap.sizing.conductor import FILE as CONDUCTORS
from wiremap.sizing.conductor import Cable, area_of_mm, constant
from wiremap.sizing.load import Loads, cable_of
from wiremap.sizing.part_tails import needs_tail, part_tail
from wiremap.sizing.sized import source_title


class JointSides(NamedTuple):
    """The conductors in the two ends of a joint: on the machine's side, and on the other."""

    left: list[Conductor]
    right: list[Conductor]


class SidesInCable(NamedTuple):
    """Both sides of a joint as the cables that lie in it."""

    left: list[Cable]
    right: list[Cable]


def joint_sides(joint: Joint, harness: Harness) -> JointSides:
    """Which conductors share an end of a joint; a wire that stays in service goes into both.

    Where all come from one side, the first lies opposite the others.
    """
    sides = JointSides([], [])
    for name in joint.conductors:
        conductor = harness.conductors[name]
        end = harness.end_of(conductor.point) if conductor.point else None
        if end is not None and end.is_machine:
            sides.left.append(conductor)
        else:
            sides.right.append(conductor)
        if conductor.origin == ConductorOrigin.DIRECT:
            sides.right.append(conductor)
    if sides.left and sides.right:
        return sides
    both = sides.left + sides.right
    return JointSides(both[:1], both[1:])


def joint_cables(joint: Joint, loads: Loads) -> SidesInCable | None:
    """The cables on the two sides of a joint; None where a size is not known.

    Raises OutOfRange for a bare drain of which no sleeved size is tabled.
    """
    made = SidesInCable([], [])
    for side, cables in zip(joint_sides(joint, loads.harness), made, strict=True):
        for conductor in side:
            wire = _jointed_cable(conductor, joint, loads)
            if wire is None:
                return None
            cables.append(wire)
    return made


def _jointed_cable(conductor: Conductor, joint: Joint, loads: Loads) -> Cable | None:
    """A conductor's cable as it lies in a joint: a bare drain sleeved first, the lead of a part
    with its tail where it gets one.
    """
    if needs_tail(conductor, joint):
        tail = part_tail(conductor, joint, loads.harness)
        return None if tail is None else cable_of(tail)
    if conductor.is_lead:
        return lead_cable()
    if conductor.wire is not None and conductor.wire.bare and conductor.id in loads.cables:
        return cable_of(replace(conductor.wire, bare=False))
    return loads.cables.get(conductor.id)


def lead_cable() -> Cable:
    """A resistor's or diode's own lead."""
    width = constant("lead_mm")
    area = area_of_mm(width)
    return Cable(
        name=f"{width:g} mm lead",
        area_mm2=area,
        ohm_per_m_20C=constant("resistivity_20C") / area,
        conductor_mm=width,
        outside_mm=None,
        wall="thin",
        family="lead",
        source=source_title(CONDUCTORS, "part-leads"),
        status="common practice",
    )
