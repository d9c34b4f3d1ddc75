"""The metal after one slip, worked out for the touched part alone: no file is read and no graph built again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from wiremap.graph import Harness, Net
from wiremap.graph.walks import Joined
from wiremap.model import CHASSIS, Address


@dataclass(frozen=True, slots=True)
class Change:
    """What a slip does to the joints: wires that end elsewhere, legs that hang loose, points that touch."""

    moved: Mapping[str, str] = field(
        default_factory=dict
    )  # the wire of this contact ends in that one instead
    loose: tuple[tuple[str, str], ...] = ()  # (circuit, point) left unjoined
    touching: tuple[tuple[str, str], ...] = ()  # two points made one

    @property
    def points(self) -> set[str]:
        """Every point that the slip names."""
        return (
            {*self.moved, *self.moved.values()}
            | {p for _, p in self.loose}
            | {p for pair in self.touching for p in pair}
        )


class Rewire:
    """Finds the changed metals of a job for one slip after another."""

    def __init__(self, harness: Harness) -> None:
        self.harness = harness
        self._joins: dict[str, tuple[str, ...]] = {
            c.id: tuple(a for a in c.join if a in harness.points and a != CHASSIS)
            for c in harness.job.circuits
        }
        self._links: dict[str, list[tuple[str, str]]] = defaultdict(
            list
        )  # point -> fuses and bolts at it
        for extra in harness.job.extras.values():
            if extra.kind == "fuse":
                a, b = extra.legs
            elif extra.kind == "stud":
                a, b = Address(extra.name), Address(CHASSIS)
            else:
                continue
            self._links[a].append((a, b))
            self._links[b].append((a, b))

    def after(self, change: Change) -> list[Net]:
        """The metals that hold any touched point after the slip, those that stay as they were left out."""
        metals = self.harness.metals
        before = {net.points: net for net in (metals.of(p) for p in sorted(change.points))}
        universe = {a for points in before for a in points}
        joined: Joined[str] = Joined()
        at: dict[str, set[str]] = defaultdict(set)
        loose = set(change.loose)
        for circuit in sorted({c for net in before.values() for c in net.circuits}):
            join = [
                change.moved.get(a, a) for a in self._joins[circuit] if (circuit, a) not in loose
            ]
            for a in join:
                at[a].add(circuit)
                joined.join(join[0], a)
        for a, b in {link for p in universe for link in self._links.get(p, ())}:
            joined.join(a, b)
        for a, b in change.touching:
            joined.join(a, b)
        groups: dict[str, list[str]] = defaultdict(list)
        for address in sorted(universe):
            groups[joined.root(address)].append(address)
        nets = (self._net(members, at) for members in groups.values())
        return [n for n in nets if before.get(n.points) is None]

    @staticmethod
    def _net(members: Iterable[str], at: Mapping[str, set[str]]) -> Net:
        points = tuple(members)
        circuits = tuple(sorted({c for a in points for c in at.get(a, ())}))
        return Net("+".join(circuits) or points[0], points, circuits)
