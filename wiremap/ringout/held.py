"""What is held: joints and parts that an unsigned stop names.

No reading expects them, as the joint may not be made and the part may not stay.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from wiremap.evidence.probe_points import parts_without
from wiremap.mistakes.build import AS_USUAL, FRESH_NETS, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import expected_apart
from wiremap.model import CHASSIS, State
from wiremap.ringout.probe import Points, Probe, ProbeKind
from wiremap.rules import held_parts, held_points


class Held:
    """The wires and parts of a harness at which an unsigned stop stands.

    `points` are the contacts and legs that it takes off their joints, `build` is the harness
    without those joints and parts.
    """

    def __init__(self, drawn: Drawn) -> None:
        self.drawn = drawn
        harness = drawn.harness
        named = held_points(harness).keys() - {CHASSIS}
        self.points = frozenset(a for a in named if harness.circuits_at(a))
        self.parts = held_parts(harness)
        self._part_of: dict[str, int] = {}
        if self.points:
            self._part_of = parts_without(harness, drawn.kind, self.points)
        self.build = self._without_parts(self._without_wires())

    def __bool__(self) -> bool:
        return bool(self.points or self.parts)

    def _without_wires(self) -> Build:
        sound = self.drawn.sound
        if not self.points:
            return sound
        nets: dict[int, list[str]] = {}
        for point, net in self.drawn.net_of.items():
            nets.setdefault(net, []).append(point)
        joints: dict[str, int] = {}
        for net in {self.drawn.net_of[a] for a in self.points}:
            for loose in self.groups(tuple(nets[net]))[1:]:
                joints.update(dict.fromkeys(loose, FRESH_NETS + self.drawn.rank[loose[0]]))
        return Build(self.drawn, {}, joints, {}, sound.ties)

    def _without_parts(self, build: Build) -> Build:
        ties = tuple(tie for tie in build.ties if tie.name not in self.parts)
        return build if len(ties) == len(build.ties) else build.with_ties(ties)

    def groups(self, points: Points) -> list[Points]:
        """The points of a net as what is not held joins them, in their order."""
        if self.points.isdisjoint(points):
            return [points]
        found: dict[int, list[str]] = {}
        for point in points:
            found.setdefault(self._part_of[point], []).append(point)
        return [tuple(group) for group in found.values()]

    @property
    def alone(self) -> frozenset[str]:
        """The points within reach that beep with no other, as the joint between is held."""
        found: set[str] = set()
        for points in self.drawn.reached.values():
            groups = self.groups(points)
            if len(groups) > 1:
                found.update(group[0] for group in groups if len(group) == 1)
        return frozenset(found)

    @property
    def nets(self) -> frozenset[int]:
        """The nets of which some beep is not asked for."""
        reached = self.drawn.reached
        return frozenset(net for net, points in reached.items() if len(self.groups(points)) > 1)

    @property
    def unread(self) -> tuple[Points, ...]:
        """The points of each net of which some beep is not asked for, one of each loose group."""
        found = []
        for points in self.drawn.reached.values():
            groups = self.groups(points)
            if len(groups) > 1:
                found.append(tuple(group[0] for group in groups))
        return tuple(found)

    def expects(
        self, red: Collection[str], black: Collection[str], state: State = AS_USUAL
    ) -> bool:
        """Whether a reading would show something else without what is held, and so expects that."""
        if not self:
            return False
        if state.fuse in self.parts:
            return True
        if not state and self._is_open(red, black):
            return False
        sound = self.drawn.sound
        if sound.ohms(red, black, state) != self.build.ohms(red, black, state):
            return True
        return sound.diode(red, black) != self.build.diode(red, black)

    def _is_open(self, red: Collection[str], black: Collection[str]) -> bool:
        """Whether nothing that is drawn joins two combs, so that nothing held does."""
        drawn = self.drawn
        reds, blacks = {drawn.net_of[a] for a in red}, {drawn.net_of[a] for a in black}
        tied = drawn.tied.keys()
        return reds.isdisjoint(blacks) and (tied.isdisjoint(reds) or tied.isdisjoint(blacks))

    def left_of(self, probes: Iterable[Probe]) -> Iterator[Probe]:
        """The probes that expect nothing of what is held.

        Two combs to be read apart are kept without the points that would expect it.
        """
        for probe in probes:
            if not self.expects(probe.red, probe.black, probe.state):
                yield probe
            elif probe.kind == ProbeKind.APART and not probe.comb and not probe.state:
                yield from self._trimmed(probe)

    def _trimmed(self, probe: Probe) -> Iterator[Probe]:
        """Two combs without the points that something held joins with the other."""
        black = tuple(a for a in probe.black if not self.expects(probe.red, (a,)))
        if black:
            yield replace(
                probe,
                black=black,
                expectation=expected_apart(self.drawn.sound, probe.red, black),
                proves=(proves_apart(probe.red, black),),
            )


def proves_apart(red: Points, black: Points) -> str:
    """What two combs prove when they read apart."""
    circuits = "circuit" if len(red) == 1 else "circuits"
    return f"{len(red)} {circuits} apart from {len(black)} others at once"
