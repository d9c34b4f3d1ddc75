"""Frozen dataclasses of what the files say; no meaning is worked out here."""

from wiremap.model.job import (
    CHASSIS,
    Circuit,
    Confirmed,
    End,
    Extra,
    Fed,
    Job,
    KeepOut,
    Leg,
    NotJoined,
    Run,
    Supply,
    Surroundings,
    Twist,
    split,
)
from wiremap.model.notebook import Entry, Notebook
from wiremap.model.pinout import (
    Accepts,
    Cavity,
    Claim,
    Connector,
    Face,
    Leaflet,
    Link,
    Pinout,
    Source,
    Switch,
    frozen,
)
from wiremap.model.quantities import OPEN, Span, Wire

__all__ = [
    "CHASSIS", "OPEN", "Accepts", "Cavity", "Circuit", "Claim", "Confirmed", "Connector", "End", "Entry", "Extra",
    "Face", "Fed", "Job", "KeepOut", "Leaflet", "Leg", "Link", "NotJoined", "Notebook", "Pinout", "Run", "Source",
    "Span", "Supply", "Surroundings", "Switch", "Twist", "Wire", "frozen", "split",
]
