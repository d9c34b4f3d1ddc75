"""The graph of a job: every question about what touches what is asked here.

It imports from `model` and `base` only; `harness` holds the questions (begin there), `build` makes
the graph from the job, `bridges` passes signals through units in line, `parts` says what it is made
of, `walks` has the walks on networkx, `ohms` what a meter reads between two points.

*Metal* is all that is one conductor with fuses in; a *section* is the same with fuses out; *intent*
is metal that also crosses the bridges of in-line units.  Resistors, diodes, a unit's inside and
loads behind a loom are bonds with ohms, not metal.
"""

from wiremap.graph.fingerprints import cavity_fingerprint, cavity_fingerprints, fingerprint
from wiremap.graph.harness import Harness, Nets, WalkedEdge
from wiremap.graph.ohms import ResistorNetwork, resistance_ohms, span_ohms
from wiremap.graph.parts import (
    Bond,
    BondOrigin,
    Conductor,
    ConductorOrigin,
    Joint,
    LinkKind,
    Misfit,
    Net,
    Point,
    PointKind,
    Reach,
)
from wiremap.model import split

__all__ = [
    "Bond",
    "BondOrigin",
    "Conductor",
    "ConductorOrigin",
    "Harness",
    "Joint",
    "LinkKind",
    "Misfit",
    "Net",
    "Nets",
    "Point",
    "PointKind",
    "Reach",
    "ResistorNetwork",
    "WalkedEdge",
    "cavity_fingerprint",
    "cavity_fingerprints",
    "fingerprint",
    "resistance_ohms",
    "span_ohms",
    "split",
]
