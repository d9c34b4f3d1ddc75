"""Where a new course of readings begins: what was mended, and what read otherwise than drawn.

A reading that says the same as one of its course is taken for one saved twice; behind a repair, or
behind a reading that found a break, equal words are a new reading.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from wiremap.base import only
from wiremap.entries.notebook import CourseOpener
from wiremap.graph import Harness
from wiremap.model import OPEN, Entry, EntryKind, Seen


def since_mended(entries: Iterable[Entry]) -> list[Entry]:
    """The entries behind the last repair: what was done before it is done again."""
    since: list[Entry] = []
    for entry in entries:
        if entry.kind == EntryKind.MENDED:
            since = []
        else:
            since.append(entry)
    return since


def course_opener(harness: Harness, near: Mapping[str, Collection[str]]) -> CourseOpener:
    """What gives for an entry the points at which it begins a new course.

    Those of a mended circuit and of what lies near it (`near` tells for each point), and those of a
    circuit that a probe found broken.
    """

    def opened(entry: Entry) -> frozenset[str]:
        if entry.kind == EntryKind.MENDED:
            beside = (other for point in entry.points for other in near.get(point, ()))
            return _with_their_metal(harness, (*entry.points, *beside))
        if entry.kind == EntryKind.PROBE and _found_broken(harness, entry):
            return _with_their_metal(harness, (*entry.red, *entry.black))
        return frozenset()

    return opened


def _with_their_metal(harness: Harness, points: Iterable[str]) -> frozenset[str]:
    """The points, and all that are one metal with them on the bench."""
    metal = set(points)
    for point in points:
        if point in harness.points:
            metal.update(harness.bench.of(point).points)
    return frozenset(metal)


def _found_broken(harness: Harness, entry: Entry) -> bool:
    """Whether two points that are drawn as one metal were silent to each other."""
    silent = entry.seen == Seen.SILENT or entry.ohms == OPEN
    red, black = only(entry.red), only(entry.black)
    if not silent or entry.state or red is None or black is None:
        return False
    if red not in harness.points or black not in harness.points:
        return False
    return harness.sections.of(red) is harness.sections.of(black)
