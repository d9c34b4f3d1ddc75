"""What is secured before the ignition is turned, in the order of work."""

from __future__ import annotations

from wiremap.evidence.expected import electrical
from wiremap.graph import Harness
from wiremap.model import Job, Side

BLOCKED = "chock and block what can move, turn or spray, lower or prop what is raised"
# at the battery: its gas burns, a ring across it too (common practice)
AT_BATTERY = "rings and watch off, eyes covered, no flame or spark at the battery"
RELIEVED = "take the pressure off hydraulics and air, send everyone away, tag the ignition key"


def lock_out(job: Job) -> tuple[str, ...]:
    """The deeds before any reading with the ignition on: whatever could move, cannot.

    They are the same for every machine, since nobody can tell from papers what it moves; the joined
    outputs that drive something are named where the job has them.
    """
    moving = moved_by(job)
    driven = f" (outputs of this job: {', '.join(moving)})" if moving else ""
    return (f"{BLOCKED}{driven}", RELIEVED)


def moved_by(job: Job) -> tuple[str, ...]:
    """The unit's joined outputs that drive something, each with its signal."""
    harness = Harness(job)
    found = []
    for point in harness.points.values():
        if point.cavity is None or point.end is None or point.end.side != Side.UNIT:
            continue
        if electrical(point.cavity) == "drive" and harness.circuits_at(point.address):
            signal = point.cavity.signal
            found.append(f"{point.address} {signal}" if signal else str(point.address))
    return tuple(found)
