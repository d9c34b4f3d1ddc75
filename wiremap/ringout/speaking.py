"""Points that say nothing: exchanged with their like they change no reading."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from wiremap.mistakes.drawn import Drawn
from wiremap.ringout.masks import joined
from wiremap.ringout.probe import Probe
from wiremap.ringout.silences import Silences


class Speaking:
    """Sets of points by what hangs on them.

    `mute` are those at which no part ends and nothing is read.  `single` are those whose net has
    no others but mute ones: such a wire in another net does what a touch of both nets does.
    """

    def __init__(self, drawn: Drawn, probes: Iterable[Probe], silences: Silences) -> None:
        self.drawn, self.silences = drawn, silences
        self._read = frozenset(
            point for probe in probes for point in (*probe.points, *drawn.legs_of(probe.state))
        )
        self._bolted = frozenset(point for bolt in drawn.bolts for point in bolt)

    @cached_property
    def mute(self) -> int:
        """The points at which no part ends, no bolt sits and nothing is read."""
        ends = {point for tie in self.drawn.ties for point in (tie.a, tie.b)}
        told = self._read | self._bolted | ends
        return self.silences.of(point for point in self.drawn.points if point not in told)

    @cached_property
    def single(self) -> int:
        """The points that alone speak for their net, those of bolted nets apart."""
        nets = self.drawn.members.values()
        speaking = (
            self.silences.of(points) & ~self.mute
            for points in nets
            if self._bolted.isdisjoint(points)
        )
        return joined(found for found in speaking if found.bit_count() == 1)
