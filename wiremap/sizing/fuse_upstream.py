"""Whether the fuse found upstream protects a lead by itself, in one sentence."""

from __future__ import annotations

import math

from wiremap.sizing.circuit import Protected
from wiremap.sizing.fuse_judge import (
    HEATS_WIRE,
    high_objections,
    lead,
    lead_reaches,
    overload_reached_C,
    reached_C,
    stood_C,
)
from wiremap.sizing.fuse_limits import CLEARS, gates


def upstream_sentence(rating: float, circuit: Protected) -> str:
    """One computed sentence on an upstream fuse [A]: why the lead needs its own, or need not.

    Raises OutOfRange where the heat balance of the wire does not hold.
    """
    before = f"{rating:g} A upstream"
    objections = list(high_objections(rating, circuit))
    amps = CLEARS * rating
    seconds = gates(rating, circuit.family)[0].most_s
    stood = stood_C(circuit, seconds)
    for objection in objections:
        if objection.kind in HEATS_WIRE:
            reached = reached_C(circuit, amps)
            if reached > stood:
                return f"{before}: {lead_reaches(circuit.wire, reached)} before it opens"
            return f"{before}: {objection.text}"
    if objections:
        return f"{before}: {objections[0].text}"
    hottest = math.ceil(overload_reached_C(circuit, rating))
    brings = f"{amps:.3g} A for {seconds:g} s bring it to {hottest} C"
    return f"{before} protects {lead(circuit.wire)}: {brings} (tested once: {stood:g} C, 6 h)"
