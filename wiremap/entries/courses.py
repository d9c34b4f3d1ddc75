"""Where a new course of readings begins: what was mended, and what read otherwise than drawn."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from wiremap.entries.notebook import Opens
from wiremap.graph import Harness
from wiremap.model import OPEN, Entry, EntryKind, Seen


def since_mended(entries: Iterable[Entry]) -> list[Entry]:
    """The entries behind the last repair: what was done before it is done again."""
    found: list[Entry] = []
    for entry in entries:
        if entry.kind == EntryKind.MENDED:
            found = []
        else:
            found.append(entry)
    return found


def opens_of(harness: Harness, near: Mapping[str, Collection[str]]) -> Opens:
    """For each entry the points of the circuits at which what was read before it is past.

    A mended circuit, what lies near it (`near` tells for each point), and a circuit that a probe
    found broken are measured anew: the same words read there again are a new reading, not a batch
    that was saved twice.
    """

    def opens(entry: Entry) -> frozenset[str]:
        if entry.kind == EntryKind.MENDED:
            beside = (other for point in entry.points for other in near.get(point, ()))
            return _circuits(harness, (*entry.points, *beside))
        if entry.kind == EntryKind.PROBE and _found_broken(harness, entry):
            return _circuits(harness, (*entry.red, *entry.black))
        return frozenset()

    return opens


def _circuits(harness: Harness, points: Iterable[str]) -> frozenset[str]:
    """The points, and all that are one metal with them on the bench."""
    found = set(points)
    for point in points:
        if point in harness.points:
            found.update(harness.bench.of(point).points)
    return frozenset(found)


def _found_broken(harness: Harness, entry: Entry) -> bool:
    """Whether two points that are drawn as one metal were silent to each other."""
    silent = entry.seen == Seen.SILENT or entry.ohms == OPEN
    if not silent or entry.state or len(entry.red) != 1 or len(entry.black) != 1:
        return False
    red, black = entry.red[0], entry.black[0]
    if red not in harness.points or black not in harness.points:
        return False
    return harness.sections.of(red) is harness.sections.of(black)
