"""What ohms alone do not tell apart: loads of any kind, switches, the supplies of sensors."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from wiremap.evidence import Expected
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.expected import electrical
from wiremap.evidence.own_return import own_return
from wiremap.model import Address, Cavity, End, Flow, Job, Span

ANY_OHMS = Span(0.0, math.inf)
HOW = {
    "load": "unplug one load after another, see which contact opens, plug it in",
    "open load": "unplug one load after another, see which contact opens, plug it in; what is open "
    "already comes last: by a limited feed which works or, battery and ignition on, which loses "
    "its volts; then ignition off, battery off, minus first, every other source off",
    "input": "work one after another by hand, see which contact changes",  # many stand open
    "sensor": "unplug one sensor after another, hold each contact of its wires to bare metal "
    "there, see which then beeps to chassis here, plug it in",  # its ohms change with volts alone
    "supply": "unplug one sensor after another, see at which of them the ohms rise, plug it in",
}


class Load(NamedTuple):
    """What hangs on a contact, and the ohms that it may have."""

    red: str
    band: Span


@dataclass(frozen=True, slots=True)
class Alike:
    """Loads that ohms alone do not tell apart, and how to tell them."""

    points: tuple[str, ...]
    low: float
    high: float
    tell: str  # what the hand does

    @property
    def how(self) -> str:
        """What is not told, and what the hand does."""
        return f"ohms do not tell {' and '.join(self.points)} apart: {self.tell}"

    def as_dict(self) -> dict[str, Any]:
        """The loads as plain data."""
        return {"points": list(self.points), "low": self.low, "high": self.high, "how": self.how}


def alike_loads(job: Job, ohms: Sequence[Expected]) -> Iterator[Alike]:
    """Contacts whose bands overlap, with what the hand does to see which is which.

    Whatever they are: a coil and a lamp of which nobody states the ohms read alike too.
    """
    kinds: dict[tuple[str, str], list[Load]] = {}
    for e in ohms:
        kind, among = _kind(job, e)
        if kind:
            kinds.setdefault((kind, among), []).append(Load(e.red, e.band or ANY_OHMS))
    yielded = set()  # what may hang on either of two returns is read to both, and told once
    for (kind, _), loads in kinds.items():
        while loads:
            group = _overlapping(loads)
            loads = [load for load in loads if load not in group]
            alike = _alike(kind, group)
            if len(group) > 1 and alike.points not in yielded:
                yielded.add(alike.points)
                yield alike


def _kind(job: Job, e: Expected) -> tuple[str, str]:
    """The kind of what is read, a key of `HOW`, and what is shared by all that it may be taken for.

    That is the black point, or for the supply of a sensor its end.  Both are empty for a reading
    that is taken for no other.
    """
    known = cavity_of(job, e.red)
    if e.state is not None or known is None:
        return "", ""
    end, cavity = known
    group = electrical(cavity)
    if group == "input":
        return "sensor" if _may_need_volts(end, cavity) else "input", e.black
    if group in ("drive", "lamp") and cavity.flow != Flow.TO_UNIT:
        return "load", e.black  # a lamp's feed out of the machine has no load behind it
    if cavity.function == "sensor-supply" and _by_own_return(end, cavity, e):
        return "supply", end.name
    return "", ""


def _may_need_volts(end: End, cavity: Cavity) -> bool:
    """Whether a sensor may be one whose ohms no hand changes while it has no volts.

    One of pulses may be; where the connector feeds sensors, so may any whose ohms no paper states.
    """
    if cavity.function == "pulse-input":
        return True
    if cavity.function != "analogue-input" or _has_ohms(end, cavity):
        return False
    return any(c.function == "sensor-supply" for c in end.pinout.cavities.values())


def _has_ohms(end: End, cavity: Cavity) -> bool:
    return any(cavity.name in (link.a, link.b) for link in end.pinout.behind)


def _by_own_return(end: End, supply: Cavity, e: Expected) -> bool:
    """Whether a supply is read to its own return, and no reading to another's tells it."""
    own = own_return(end, supply)
    if own is None or e.black != Address(end.name, own.name):
        return False
    supplies = [c for c in end.pinout.cavities.values() if c.function == "sensor-supply"]
    others = [own_return(end, each) for each in supplies]
    told = {each.name for each in others if each is not None and each.told}
    return len(told) < len(supplies)  # not each by a return of its own


def _overlapping(loads: list[Load]) -> list[Load]:
    """The first load with every one whose band overlaps its own, or that of another of them."""
    first, *_ = loads
    group = [first]
    for _, band in group:
        group += [load for load in loads if load not in group and load.band.overlaps(band)]
    return [load for load in loads if load in group]


def _alike(kind: str, loads: list[Load]) -> Alike:
    points = tuple(red for red, _ in loads)
    low, high = min(band.low for _, band in loads), max(band.high for _, band in loads)
    if kind == "load" and math.isinf(high):  # its plus may be switched off
        kind = "open load"
    return Alike(points, low, high, HOW[kind])
