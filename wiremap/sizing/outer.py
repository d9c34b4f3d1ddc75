"""What the outer sleeve of a run must pass: the joints of a place and the wires beside them."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.graph import Harness, Joint
from wiremap.sizing.bundle import bundle_mm, root_sum_mm
from wiremap.sizing.load import cable_of
from wiremap.sizing.placing import RunLayout
from wiremap.sizing.sized import OutOfRange
from wiremap.sizing.sleeve import sleeves
from wiremap.sizing.stations import UNKNOWN_MM, PlacedJoint


def outer_mm(harness: Harness, run: RunLayout) -> float:
    """The thickest place of a run, joints and passing wires together [mm]; 0 where none is known.

    The larger of the trade's rule (`root_sum_mm`) and of what geometry allows.  Raises OutOfRange
    for a place that is thicker than the tables go.
    """
    if run.layout is None:
        return UNKNOWN_MM
    thickest = UNKNOWN_MM
    for station in {placed.station for placed in run.layout.placed}:
        here = [placed for placed in run.layout.placed if placed.station == station]
        diameters = (*_joints(run, here), *_beside(harness, run, here))
        if diameters:
            thickest = max(thickest, bundle_mm(diameters), root_sum_mm(diameters))
    return thickest


def most_shortened() -> float:
    """The greatest share of its length that a tabled sleeve loses in shrinking [1]."""
    return max(sleeve.length_change for sleeve in sleeves())


def _joints(run: RunLayout, here: list[PlacedJoint]) -> Iterator[float]:
    """The diameters of the joints of a place."""
    thick = {name: group.diameter_mm for group in run.groups for name in group.names}
    for placed in here:
        if thick.get(placed.name, UNKNOWN_MM) != UNKNOWN_MM:
            yield thick[placed.name]


def _beside(harness: Harness, run: RunLayout, here: list[PlacedJoint]) -> Iterator[float]:
    """The diameters of the wires that pass the joints of a place: those that go on to a joint
    farther off, from the end that lies on this side of it.
    """
    assert run.layout is not None
    names = {placed.name for placed in here}
    at_mm = here[0].at_mm
    for placed in run.layout.placed:
        if placed.name in names:
            continue
        side = run.machine if placed.at_mm > at_mm else run.unit
        yield from _wires(harness, harness.joints[placed.name], side)


def _wires(harness: Harness, joint: Joint, side: str) -> Iterator[float]:
    """The diameters of the wires that come to a joint from one side; unknown ones left out."""
    for name in joint.conductors:
        conductor = harness.conductors[name]
        end = harness.end_of(conductor.point) if conductor.point else None
        if end is None or end.name != side or conductor.wire is None:
            continue
        try:
            cable = cable_of(conductor.wire)
        except OutOfRange:
            continue
        if cable.outside_mm is not None:
            yield cable.outside_mm
