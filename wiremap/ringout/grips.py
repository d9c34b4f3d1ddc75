"""Where each net is held in a comb, and the fewest through-readings that join its points."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from wiremap.evidence.equipment import Equipment
from wiremap.evidence.probe_points import HarnessKind
from wiremap.graph import PointKind, Reach
from wiremap.mistakes.drawn import Drawn
from wiremap.model import State
from wiremap.ringout.held import Held
from wiremap.ringout.planner import Planner, ThroughReading, Trees
from wiremap.ringout.probe import Points, Probe, ProbeKind


class Grip(NamedTuple):
    """The point at which a net is held in a comb, and whether that takes one of the clips."""

    point: str
    clip: bool


class Grips:
    """Where the equipment holds each net of a harness that it can hold (`at`).

    `nets` leaves out holes without a contact; `implied` are legs that no through-reading needs, as
    the value of their part is read.
    """

    def __init__(self, drawn: Drawn, equipment: Equipment) -> None:
        self.drawn, self.equipment = drawn, equipment
        self.nets = list(drawn.touched)
        self.fuses = dict(self._through_fuses())
        self.implied = self._implied_legs()
        self.at: dict[int, Grip] = {}
        for net in self.nets:
            grip = self._grip(net)
            if grip is not None:
                self.at[net] = grip

    def _grip(self, net: int) -> Grip | None:
        """Where a net is held: by a lead of a mating half, else by a clip on bare metal."""
        points = self.points_of(net)
        at_face = [point for point in points if self._is_at_face(point)]
        bare = [point for point in points if point not in at_face]
        if self.equipment.halves and at_face:
            return Grip(at_face[0], clip=False)
        if bare and self.equipment.clips != 0:
            return Grip(bare[0], clip=True)
        return None

    def points_of(self, net: int) -> list[str]:
        """The points of a net that through-readings join, without the legs read by value."""
        return [point for point in self.drawn.reached[net] if point not in self.implied]

    def _is_at_face(self, point: str) -> bool:
        harness = self.drawn.harness
        if self.drawn.kind == HarnessKind.ADAPTER:
            return harness.points[point].end is not None
        return harness.reach(point) == Reach.FACE

    def trees(self, held: Held) -> Trees:
        """For each net the fewest readings that join its points, from where a clip holds it.

        Nothing is read over a joint at which a stop stands.
        """
        trees: dict[int, list[ThroughReading]] = {}
        for net in self.nets:
            edges: list[ThroughReading] = []
            for points in held.groups(tuple(self.points_of(net))):
                anchor = self._anchor(net, points)
                edges += [ThroughReading(net, point, anchor) for point in points if point != anchor]
            fuse = self.fuses.get(net)
            if fuse is not None and not held.expects((fuse.red,), (fuse.black,), fuse.state):
                edges.append(fuse)
            if edges:
                trees[net] = edges
        return trees

    def over_fuses(self, net: int, planner: Planner) -> Iterator[Probe]:
        """The beep of a net whose only one leads over a fuse from another net, if still to be read.

        Without a beep before it the silence of a net counts for nothing.
        """
        if net in planner.trees:
            return
        for edges in planner.trees.values():
            for edge in edges:
                ends_here = self.drawn.net_of[edge.black] == net
                if edge.state.fuse and ends_here and edge not in planner.done:
                    yield planner.through_probe(edge, ProbeKind.THROUGH)

    def _anchor(self, net: int, points: Points) -> str:
        """Where a probe stays: at the net's grip if it is among these points."""
        grip = self.at.get(net)
        return grip.point if grip is not None and grip.point in points else points[0]

    def _implied_legs(self) -> set[str]:
        """The legs of resistors, diodes and fuses that are read from what lies behind them."""
        implied = {leg for edge in self.fuses.values() for leg in self._legs(edge.state.fuse)}
        for tie in self.drawn.ties:
            legs = (tie.a, tie.b)
            if tie.name and not tie.outside and self._are_behind(legs):
                implied.update(legs)
        return implied

    def _legs(self, extra: str) -> Points:
        return self.drawn.harness.job.extras[extra].legs

    def _through_fuses(self) -> Iterator[tuple[int, ThroughReading]]:
        """Each fuse read in its holder from what lies behind both legs, once for both nets."""
        for extra in self.drawn.harness.job.extras.values():
            if extra.is_fuse and self._are_behind(extra.legs):
                far = [self._behind(leg) for leg in extra.legs]
                net = self.drawn.net_of[extra.legs[0]]
                yield net, ThroughReading(net, far[0], far[1], State(fuse=extra.name))

    def _are_behind(self, legs: Points) -> bool:
        """Whether both legs are within reach, on two nets that have other points too."""
        if not self.drawn.reach_set.issuperset(legs):
            return False
        one, two = legs
        apart = self.drawn.net_of[one] != self.drawn.net_of[two]
        return apart and bool(self._behind(one) and self._behind(two))

    def _behind(self, leg: str) -> str:
        """Another point of a leg's net that is no leg; empty if there is none."""
        points = self.drawn.harness.points
        here = self.drawn.reached[self.drawn.net_of[leg]]
        return next((point for point in here if points[point].kind != PointKind.LEG), "")
