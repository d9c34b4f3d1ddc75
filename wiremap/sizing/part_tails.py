"""The stranded tail that the lead of a part gets where it is crimped.

A lead is solid and tinned, and neither holds in a crimp (NASA-STD-8739.4, 4.3); soldered it does.
"""

from __future__ import annotations

from dataclasses import replace

from wiremap.graph import Conductor, Harness, Joint
from wiremap.model import ExtraKind, Wire
from wiremap.sizing.joint import BUTT, CRIMPED


def needs_tail(conductor: Conductor, joint: Joint) -> bool:
    """Whether it is the lead of a part in a joint that is crimped."""
    return conductor.origin == "lead" and (joint.kind or BUTT) in CRIMPED


def part_tail(conductor: Conductor, joint: Joint, harness: Harness) -> Wire | None:
    """The wire of a lead's tail: like the thinner of those that the part lies between, of which a
    diode's is the thickest of a joint, a resistor's the thinnest.

    None where no tail is needed, or no wire of known size is met.
    """
    extra = harness.points[conductor.point].extra if conductor.point else None
    if extra is None or not needs_tail(conductor, joint):
        return None
    carries = max if extra.kind == ExtraKind.DIODE else min
    met = [_sizes(each, harness) for leg in extra.legs for each in harness.joints_at(leg)]
    ends = {carries(sizes): sizes[carries(sizes)] for sizes in met if sizes}
    if not ends:
        return None
    return replace(ends[min(ends)], colour=None, bare=False, tinned=False)


def _sizes(joint: Joint, harness: Harness) -> dict[float, Wire]:
    """The wires of known size that meet in a joint, one of each size [mm2]."""
    wires = [harness.conductors[name].wire for name in joint.conductors]
    return {w.csa_mm2: w for w in wires if w is not None and w.csa_mm2 is not None}
