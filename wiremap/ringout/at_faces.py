"""The nets of a harness as its faces show them when everything is closed."""

from __future__ import annotations

from wiremap.evidence.danger import classes_on
from wiremap.graph import Reach
from wiremap.mistakes.drawn import Drawn
from wiremap.ringout.probe import Points


class AtFaces:
    """The nets of a harness that have contacts at a face: `at_face` gives those of each net."""

    def __init__(self, drawn: Drawn) -> None:
        self.drawn = drawn
        self.at_face: dict[int, Points] = {}
        for net, points in drawn.reached.items():
            contacts = tuple(a for a in points if self._is_at_face(a))
            if contacts:
                self.at_face[net] = contacts

    def _is_at_face(self, point: str) -> bool:
        harness = self.drawn.harness
        return harness.points[point].cavity is not None and harness.reach(point) == Reach.FACE

    def owner(self, point: str) -> str:
        """The end at which a contact is."""
        return self.drawn.harness.points[point].owner

    def classes(self, net: int) -> frozenset[str]:
        """The electrical classes of a net's contacts at the faces, live lines and returns apart."""
        return classes_on(self.drawn.harness, self.at_face[net])

    def net_names(self, points: Points) -> str:
        """The names of the nets of some contacts, in one line."""
        return ", ".join(self.drawn.names[self.drawn.net_of[point]] for point in points)

    def one_of_each(self, classes: frozenset[str]) -> Points:
        """One contact of each net of these classes, at the face that has the most of them if it can
        be.
        """
        nets = [net for net in self.at_face if self.classes(net) & classes]
        owners = [self.owner(point) for net in nets for point in self.at_face[net]]
        most = max(owners, key=owners.count, default="")
        return tuple(
            next((p for p in self.at_face[net] if self.owner(p) == most), self.at_face[net][0])
            for net in nets
        )
