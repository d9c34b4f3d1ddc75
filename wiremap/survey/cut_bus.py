"""The ohms of one half of a cut bus: by itself after the cut, and once its units are mated."""

from __future__ import annotations

import math

from wiremap.evidence.expected import as_found, either_way
from wiremap.evidence.expected_ohms import network
from wiremap.evidence.meter import displayed
from wiremap.graph import Harness, ResistorNetwork
from wiremap.model import End, Span
from wiremap.survey.rows import Terminator


def alone_ohms(harness: Harness, half: Terminator) -> Span | None:
    """What a meter shows between the legs right after the cut; None where no paper tells.

    On the machine's side the loads behind its loom count, on the unit's side what is inside it.
    """
    end = harness.end_of(half.red)
    if end is None:
        return None
    links = network(end) if end.is_machine else list(_inside(end))
    if not any({a, b} == {half.red, half.black} for a, b, _ in links):
        return None
    return displayed(ResistorNetwork(links).span(half.red, half.black))


def _inside(end: End) -> list[tuple[str, str, Span]]:
    return [
        (f"{end.name}.{x.a}", f"{end.name}.{x.b}", as_found(x.ohms))
        for x in (*end.pinout.inside, *end.pinout.found)
        if x.when is None
    ]


def mated_ohms(harness: Harness, half: Terminator) -> Span:
    """What a meter shows between the legs with its units mated, in whole ohms."""
    band = displayed(either_way(harness.ohms(half.red, half.black)))
    if math.isinf(band.high):
        return band
    return Span(math.floor(band.low), math.ceil(band.high))
