"""What the way back takes: a barrel and a sleeve for each wire that is joined again, by sizes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from wiremap.content.given import Given
from wiremap.content.joint_work import UNCUT, joint_kind
from wiremap.content.words import listed, size_words
from wiremap.graph import Point
from wiremap.model import Address, Wire

PARTS = "Laid out: {counted} barrels and sleeves ({sizes}), as many spare"
AREA = " mm2"
NOT_KNOWN = "a size that nobody states"


def laid_out(given: Given, cut: Sequence[Point]) -> str:
    """How many barrels and sleeves for wires of which size; empty where nothing is joined again.

    `cut` are the contacts of the old plug whose wires the job cut.
    """
    wires = sorted(_joined_again(given, cut), key=lambda wire: (wire and wire.csa_mm2) or 0.0)
    by_size = Counter(size_words(wire) or NOT_KNOWN for wire in wires)
    told = [f"{count} for {size}" for size, count in by_size.items()]
    if all(each.endswith(AREA) for each in told):  # the unit once
        told[:-1] = [each.removesuffix(AREA) for each in told[:-1]]
    sizes = listed(*told)
    return PARTS.format(counted=len(wires), sizes=sizes) if wires else ""


def _joined_again(given: Given, cut: Sequence[Point]) -> Iterator[Wire | None]:
    """Each wire that gets a barrel: of the old plug, in service if cut."""
    in_service = [address for taps, whole in tapped_wires(given) if not whole for address in taps]
    for point in (*cut, *(given.harness.points[address] for address in in_service)):
        yield point.cavity.wire if point.cavity else None


def tapped_wires(given: Given) -> Iterator[tuple[list[Address], bool]]:
    """The wires in service of each T, and whether they stayed whole."""
    for joint in given.harness.joints.values():
        taps = [point for point in joint.points if given.harness.points[point].is_tap]
        if joint.tap and taps:
            yield taps, joint_kind(given, joint) in UNCUT
