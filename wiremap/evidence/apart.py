"""Two points that no row of the survey reads against each other, and that no sound harness joins:
a supply and a ground, a wire of a bus and either.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.expected import (
    BUS_APART,
    FEED_APART,
    FORWARD,
    Expected,
    Quantity,
    WhereRead,
    electrical,
    refused,
)
from wiremap.evidence.meter import GROUNDED
from wiremap.evidence.reading_spot import quantity_of
from wiremap.model import CHASSIS, Entry, Job, Span

GROUND, FEED, BUS = "ground", "feed", "bus"
KINDS: Mapping[str, str] = MappingProxyType(
    {"ground": GROUND, "shield": GROUND, "supply": FEED, "reference": FEED, "bus": BUS}
)  # by electrical class
RETURN = "sensor-return"  # of the class of references, and as cold as a ground
LEAST_OHMS: Mapping[tuple[str, str], Span] = MappingProxyType(
    {
        (FEED, GROUND): FEED_APART,
        (GROUND, FEED): FEED_APART,
        (BUS, GROUND): BUS_APART,
        (GROUND, BUS): BUS_APART,
        (BUS, FEED): BUS_APART,
        (FEED, BUS): BUS_APART,
    }
)  # by what is under the red and the black probe
VOLTS: Mapping[tuple[str, str], Span] = MappingProxyType(
    {
        (FEED, GROUND): FORWARD,
        (GROUND, FEED): Span(-FORWARD.high, -FORWARD.low),
    }
)


def apart(job: Job, entry: Entry) -> Expected | None:
    """What a reading between two such points must show; None for any other reading."""
    points = [*entry.red, *(entry.black or (CHASSIS,))]
    if len(points) != 2:
        return None
    red, black = points
    quantity = quantity_of(entry)
    bands = LEAST_OHMS if quantity == Quantity.OHMS else VOLTS
    band = bands.get((_kind(job, red), _kind(job, black)))
    if band is None:
        return None
    return Expected(
        red=red,
        black=black,
        quantity=quantity,
        band=band,
        key=entry.key,
        state=entry.state,
        where=WhereRead.APART,
        asked=False,
    )


def _kind(job: Job, point: str) -> str:
    """What a point is here; empty where it is none of these."""
    if point in GROUNDED:
        return GROUND
    known = cavity_of(job, point)
    if known is None or refused(known.cavity):
        return ""
    if known.cavity.function == RETURN:
        return GROUND
    return KINDS.get(electrical(known.cavity), "")
