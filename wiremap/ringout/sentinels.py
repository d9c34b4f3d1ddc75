"""The contacts of a face whose metal changes however the whole face is read wrongly."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from wiremap.graph import Harness
from wiremap.mistakes.drawn import Drawn, drawn_of
from wiremap.mistakes.face_read import face_reads


def sentinels(harness: Harness, end: str, kind: str = "adapter") -> list[str]:
    """Joined contacts of an end whose metal changes under every whole-face mistake of that end."""
    drawn = drawn_of(harness, kind)
    misreadings = _misreadings(drawn, end)
    if not misreadings:
        return []
    found = []
    for point in drawn.points:
        if harness.points[point].owner != end:
            continue
        net = drawn.net_of[point]
        joined = len(drawn.members[net]) > 1
        if joined and all(_is_elsewhere(drawn, seats, point) for seats in misreadings):
            found.append(point)
    return found


def first_to_tell(harness: Harness, end: str, points: Iterable[str], kind: str) -> list[str]:
    """Of an end's contacts in the order in which they are come to: who tells whole-face mistakes.

    Each tells at least one that none before it does; together they tell all that any tells.
    """
    drawn = drawn_of(harness, kind)
    left = _misreadings(drawn, end)
    found = []
    for point in points:
        if harness.points[point].owner != end or point not in drawn.net_of:
            continue
        spared = [seats for seats in left if not _is_elsewhere(drawn, seats, point)]
        if len(spared) < len(left):
            found.append(point)
        left = spared
    return found


def _misreadings(drawn: Drawn, end: str) -> list[dict[str, str | None]]:
    """Whose wire sits in each contact, for every way to misread the whole face."""
    return [dict(mistake.seats) for mistake in face_reads(drawn, end)]


def _is_elsewhere(drawn: Drawn, seats: Mapping[str, str | None], point: str) -> bool:
    wire = seats.get(point, point)
    if wire is None:
        return True
    return drawn.net_of[wire] != drawn.net_of[point]
