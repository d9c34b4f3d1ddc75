"""The metal after one slip, worked out for the touched part alone.

No file is read, no graph built.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from wiremap.evidence.probe_points import ADAPTER
from wiremap.graph import Harness, LinkKind, Net
from wiremap.graph.walks import Joined
from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import drawn_of
from wiremap.mistakes.mistake import Mistake
from wiremap.model import CHASSIS


class Rewire:
    """Finds the changed metals of a job for one slip after another."""

    def __init__(self, harness: Harness) -> None:
        self.harness = harness
        self.drawn = drawn_of(harness, ADAPTER)  # fuses out, studs loose
        # fuses and bolts, which `drawn` leaves out, by each point that they end at
        self._links: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for u, v in harness.links(LinkKind.FUSE, LinkKind.BOLT):
            self._links[u].append((u, v))
            self._links[v].append((u, v))

    def after(self, slip: Mistake, points: Sequence[str]) -> list[Net]:
        """The metals that hold one of these points, or did, and are not as before."""
        metals = self.harness.metals
        before = {metals.of(p).points for p in points}
        touched = sorted({a for net in before for a in net})
        build = slip.on(self.drawn.sound)
        joined: Joined[str | int] = Joined()
        for a in touched:
            joined.join(a, build.net(a))
            for one, two in self._links.get(a, ()):
                joined.join(one, two)
        groups: dict[str | int, list[str]] = defaultdict(list)
        for a in touched:
            groups[joined.root(a)].append(a)
        nets = [self._net(build, tuple(members)) for members in groups.values()]
        return [net for net in nets if net.points not in before]

    def _net(self, build: Build, points: tuple[str, ...]) -> Net:
        circuits = tuple(sorted({c for a in points for c in self._circuits_at(build, a)}))
        first, *_ = points
        return Net("+".join(circuits) or first, points, circuits)

    def _circuits_at(self, build: Build, point: str) -> tuple[str, ...]:
        """The circuits that the wire in a point still belongs to."""
        wire = build.wire(point)
        if wire is None or wire in build.joints or point == CHASSIS:
            return ()
        return self.harness.circuits_at(wire)
