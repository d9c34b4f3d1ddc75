"""Loads behind a loom of unknown ohms: a ring-out that wants silence would find them."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.evidence.expected import electrical, refused
from wiremap.evidence.probe_points import HarnessKind
from wiremap.graph import Harness
from wiremap.model import Address, Cavity, End, EndKind
from wiremap.survey.bus_pairs import bus_pairs

LOADS = frozenset({"drive", "lamp", "input", "speaker", "unknown"})


def unstated_loads(harness: Harness, kind: str) -> tuple[Address, ...]:
    """The machine's wires of a splice behind which hangs what nobody states the ohms of."""
    return tuple(
        Address(end.name, cavity.name)
        for end in _cut(harness, kind)
        for cavity in end.pinout.cavities.values()
        if _is_load(cavity) and _unstated(harness, end, cavity)
    )


def unstated_buses(harness: Harness, kind: str) -> tuple[tuple[Address, Address], ...]:
    """The machine's pairs of a splice of whose terminators nobody states the ohms."""
    return tuple(
        (Address(end.name, high.name), Address(end.name, low.name))
        for end in _cut(harness, kind)
        for high, low in bus_pairs(end)
        if _unstated(harness, end, high) and _unstated(harness, end, low)
    )


def _cut(harness: Harness, kind: str) -> Iterator[End]:
    for end in harness.job.ends.values():
        if kind == HarnessKind.SPLICE_IN and end.kind == EndKind.CUT_TAIL:
            yield end


def _is_load(cavity: Cavity) -> bool:
    """Whether what hangs on it may tie it to ground or plus; a wake line is parted by its fuse."""
    return (
        electrical(cavity) in LOADS
        and cavity.function != "wake"
        and not (cavity.unused or refused(cavity))
    )


def _unstated(harness: Harness, end: End, cavity: Cavity) -> bool:
    known = (*end.pinout.behind, *end.pinout.found)
    linked = {name for link in known for name in (link.a, link.b)}
    joined = harness.circuits_at(f"{end.name}.{cavity.name}")
    return bool(joined) and cavity.name not in linked
