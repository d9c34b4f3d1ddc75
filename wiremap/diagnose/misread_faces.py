"""Whole faces that seem to have been read wrongly, by the joints that were found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from wiremap.diagnose.homes import Group, end_of, homes_of
from wiremap.mistakes.face import whole_face
from wiremap.model import Address, Pinout
from wiremap.rules.faces import LEAST_MORE, LEAST_TOLD, MISREAD_WORDS


@dataclass(frozen=True, slots=True, kw_only=True)
class MisreadFace:
    """A whole face that seems to have been read wrongly.

    Of the joints `found`, `read_so` are the papers' if the face was read `how`, `as_written` as
    they stand.
    """

    end: str
    how: str
    read_so: int
    as_written: int
    found: int

    @property
    def told(self) -> str:
        """The face in words."""
        return (
            f"the face of {self.end} may have been read {self.how}: so read, the papers want "
            f"{self.read_so} of the {self.found} joints that were found, as written "
            f"{self.as_written}; look at its moulded digits before a wire is moved"
        )

    def as_dict(self) -> dict[str, Any]:
        """The face as plain data."""
        return {
            "face": self.end,
            "how": self.how,
            "read_so": self.read_so,
            "as_written": self.as_written,
            "found": self.found,
        }


def misread_faces(
    pinouts: Mapping[str, Pinout], groups: Sequence[Group]
) -> tuple[MisreadFace, ...]:
    """The misreadings of one face that explain the joints far better than the papers, the best."""
    found = _across_all(groups)
    homes = [home.points for home in homes_of(pinouts)]
    written = len(found & _across_all(homes))
    misread = []
    for end, pinout in pinouts.items():
        face = pinout.connector.face
        if face is None:
            continue
        for kind, places in whole_face(face).items():
            read = [_reseated(points, end, places) for points in homes]
            fits = len(found & _across_all(read))
            if fits >= max(LEAST_TOLD, written + LEAST_MORE):
                misread.append(
                    MisreadFace(
                        end=end,
                        # `shifted+1` and `shifted-1` are one word
                        how=MISREAD_WORDS[kind.rstrip("+-1")],
                        read_so=fits,
                        as_written=written,
                        found=len(found),
                    )
                )
    best = max((face.read_so for face in misread), default=0)
    return tuple(face for face in misread if face.read_so == best)


def _reseated(points: Group, end: str, places: Mapping[str, str | None]) -> list[str]:
    """Contacts as they lie if the face of an end was read wrongly."""
    hole_of = {wire: hole for hole, wire in places.items() if wire is not None}
    moved = []
    for point in points:
        address = Address.read(point)
        if address.end == end and address.cavity in hole_of:
            moved.append(f"{end}.{hole_of[address.cavity]}")
        else:
            moved.append(point)
    return moved


def _across_all(groups: Iterable[Group]) -> set[frozenset[str]]:
    """The pairs of points of different faces within each group."""
    pairs = set()
    for group in groups:
        for one, two in combinations(group, 2):
            if end_of(one) != end_of(two):
                pairs.add(frozenset((one, two)))
    return pairs
