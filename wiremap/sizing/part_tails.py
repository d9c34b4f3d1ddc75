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
    """The wire of a lead's tail: a diode's as the thickest that it meets, a resistor's as the
    thinnest.  None where no tail is needed, or no wire of known size is met.
    """
    if not needs_tail(conductor, joint):
        return None
    met = [harness.conductors[name].wire for name in joint.conductors]
    sizes = {wire.csa_mm2: wire for wire in met if wire is not None and wire.csa_mm2 is not None}
    if not sizes:
        return None
    extra = harness.points[conductor.point].extra if conductor.point else None
    carries = extra is not None and extra.kind == ExtraKind.DIODE
    like = sizes[max(sizes) if carries else min(sizes)]
    return replace(like, colour=None, bare=False, tinned=False)
