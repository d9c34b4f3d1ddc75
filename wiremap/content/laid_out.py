"""What the way back takes: barrels and sleeves for the wires that are joined again, by sizes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from wiremap.content.given import Given
from wiremap.content.joint_work import UNCUT, joint_kind, joint_order
from wiremap.content.words import area_figure, listed, size_words
from wiremap.graph import Point
from wiremap.model import Address, Wire

PARTS = "Laid out: {counted} barrels and sleeves ({sizes}), some to spare"
PIECES = 2  # joints of a wire that was parted: the piece kept goes between both its ends
NOT_KNOWN = "a size that nobody states"


def parts_laid_out(given: Given, cut: Sequence[Point]) -> str:
    """How many barrels and sleeves at most, for which sizes; empty where nothing is joined again.

    `cut` are the contacts of the old plug whose wires the job cut.
    """
    wires = sorted(_joined_again(given, cut), key=lambda wire: (wire and wire.csa_mm2) or -math.inf)
    return PARTS.format(counted=len(wires), sizes=_sizes(wires)) if wires else ""


def _sizes(wires: Sequence[Wire | None]) -> str:
    """How many wires of which size; the unit once where all are told in it."""
    areas = [wire.csa_mm2 for wire in wires if wire and not wire.gauge and not wire.doubtful]
    known = [area for area in areas if area is not None]
    if len(known) == len(wires):
        return f"{_counted(area_figure(area) for area in known)} mm2"
    return _counted(size_words(wire) or NOT_KNOWN for wire in wires)


def _counted(sizes: Iterable[str]) -> str:
    return listed(*(f"{count} for {size}" for size, count in Counter(sizes).items()))


def _joined_again(given: Given, cut: Sequence[Point]) -> Iterator[Wire | None]:
    """The wire of each barrel: two on one of the old plug, one on one in service, if cut."""
    in_service = [address for taps, whole in tapped_wires(given) if not whole for address in taps]
    points = [point for point in cut for _ in range(PIECES)]
    for point in (*points, *(given.harness.points[address] for address in in_service)):
        yield point.cavity.wire if point.cavity else None


def tapped_wires(given: Given) -> Iterator[tuple[list[Address], bool]]:
    """The wires in service of each T, and whether they stayed whole."""
    for joint in joint_order(given):
        taps = [point for point in joint.points if given.harness.points[point].is_tap]
        if joint.tap and taps:
            yield taps, joint_kind(given, joint) in UNCUT
