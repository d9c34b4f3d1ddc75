"""The bunch of a growing comb: when a clip joins it, and when all of them come off."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from wiremap.ringout.probe import Points, Probe, ProbeKind


@dataclass(frozen=True, slots=True)
class Bunch:
    """What is done with the clips once a reading is taken.

    `joins` are the clips that join the bunch, which then has `size` of them; where `ends` they all
    come off.
    """

    joins: Points
    size: int
    ends: bool = False


def bunches(probes: Iterable[Probe]) -> Mapping[int, Bunch]:
    """By the number of its reading, what is done with the clips behind it.

    A clip hangs alone while its own circuit is read, and joins once that is apart from the bunch.
    """
    combs = [probe for probe in probes if probe.comb]
    by_reading: dict[int, Bunch] = {}
    for probe, after in pairwise(combs):
        if set(probe.black) <= set(after.black):
            joins = tuple(point for point in after.black if point not in probe.black)
            if joins:
                by_reading[probe.n] = Bunch(joins, len(after.black))
        else:
            by_reading[probe.n] = Bunch((), len(probe.black), ends=True)
    if combs and combs[-1].kind is ProbeKind.CLIP:
        last = combs[-1]
        by_reading[last.n] = Bunch((), len(last.black), ends=True)
    return by_reading
