"""The job's diodes: which way they lie, and what flows through them."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.rules.across import PartAcross, load_amps
from wiremap.rules.signals import LOW_SIDE_DRIVE, Signal
from wiremap.rules.view import View


def turned_in_ground(part: PartAcross) -> tuple[str, str] | None:
    """The unit's ground and the machine's between which a diode lies the wrong way round, if so."""
    if part.a.drivers or part.b.drivers:
        return None
    machine = [s for s in part.a.grounds if s.is_machine]
    unit = [s for s in part.b.grounds if not s.is_machine]
    if machine and unit and len(unit) == len(part.b.grounds):
        return unit[0].address, machine[0].address
    return None


def diode_amps(view: View, part: PartAcross) -> float | None:
    """What flows through a diode [A]: in series the load behind it, across a coil the coil's.

    None where nobody tells it.
    """
    sinks = [signal for signal in part.a.signals if signal.row.slug == LOW_SIDE_DRIVE]
    if sinks:
        return _coil_amps(view, sinks)
    if part.a.grounds:
        return _coil_amps(view, part.b.signals)
    if part.b.drivers and not part.a.drivers:
        return _coil_amps(view, part.a.signals)
    return load_amps(view, part.b)


def _coil_amps(view: View, signals: Iterable[Signal]) -> float | None:
    """What a coil draws [A]: as the machine states it, else as much as its output can give."""
    loads: list[float] = []
    ratings: list[float] = []
    for signal in signals:
        point = view.points.get(signal.address)
        if point is not None and point.cavity is not None and point.cavity.amps is not None:
            stated = loads if signal.is_machine else ratings
            stated.append(point.cavity.amps)
    return max(loads or ratings, default=None)
