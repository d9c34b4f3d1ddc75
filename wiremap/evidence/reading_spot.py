"""Where a survey reading was taken, in which state, and whether it says anything."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.evidence.expected import Quantity
from wiremap.evidence.meter import GROUNDED
from wiremap.model import CHASSIS, Entry, Seen
from wiremap.model.quantities import read_ohms

Spot = tuple[frozenset[str], Quantity, str | None, str | None]  # probes, quantity, key, state


def spot_of(entry: Entry) -> Spot:
    """Where and in which state a reading was taken."""
    return probes_of(entry), quantity_of(entry), entry.key, entry.state


def subject_of(entry: Entry) -> str:
    """The contact that a survey reading speaks of: the first that is no ground to read against."""
    return next((a for a in (*entry.red, *entry.black) if a not in GROUNDED), "")


def probes_of(entry: Entry) -> frozenset[str]:
    """Where a reading was taken; the battery's minus is the chassis."""
    return probes_at((*entry.red, *(entry.black or (CHASSIS,))))


def probes_at(points: Iterable[str]) -> frozenset[str]:
    """The points under both probes, every ground of the machine told as its chassis."""
    return frozenset(CHASSIS if a in GROUNDED else a for a in points)


def quantity_of(entry: Entry) -> Quantity:
    """Whether ohms were read, or else volts."""
    in_ohms = entry.ohms is not None or entry.seen is not None
    return Quantity.OHMS if in_ohms else Quantity.VOLTS


def volts_at(point: str, entry: Entry, shown: float) -> float:
    """The volts that a meter showed of a point, under the red probe or the black one."""
    return -shown if point in entry.black else shown


def says_something(entry: Entry) -> bool:
    """Whether a reading says something of volts or ohms."""
    if entry.seen in (Seen.UNSURE, Seen.DIODE):
        return False
    return not (entry.volts is None and entry.ohms is None and entry.seen is None)


def seen_words(entry: Entry) -> str:
    """What a meter showed, in words."""
    if entry.ohms is not None:
        return read_ohms(entry.ohms)
    if entry.volts is not None:
        return f"{entry.volts:g} V"
    return entry.seen or "nothing"
