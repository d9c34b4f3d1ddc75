"""What each stretch of a plan is for, in the order in which it is read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

from wiremap.ringout.probe import Probe, ProbeKind


class Purpose(StrEnum):
    """Why a stretch of readings is taken."""

    FACE = "face"  # a plug read the wrong way round would show
    HARM = "harm"  # circuits whose touch can do harm: through, then apart
    THROUGH = "through"
    APART = "apart"
    VALUE = "value"
    CLIP = "clip"  # a clip of the comb beeps once more
    OUTSIDE = "outside"  # something is parted outside the harness for it


@dataclass(frozen=True, slots=True)
class Stretch:
    """Readings that follow one another for one purpose; never empty."""

    purpose: Purpose
    probes: tuple[Probe, ...]

    @property
    def numbers(self) -> str:
        """`4 to 57`, or the one number."""
        first, last = self.probes[0].n, self.probes[-1].n
        return f"{first}" if first == last else f"{first} to {last}"


def stretches(probes: Sequence[Probe]) -> tuple[Stretch, ...]:
    """The readings of a plan in their order, parted by what they are for."""
    return tuple(_stretches(probes))


def _stretches(probes: Sequence[Probe]) -> Iterator[Stretch]:
    last = last_harmful(probes)
    for purpose, group in groupby(probes, lambda probe: _purpose(probe, last)):
        yield Stretch(purpose, tuple(group))


def last_harmful(probes: Iterable[Probe]) -> int:
    """The number of the last reading that keeps apart what would do harm; -1 if there is none."""
    harmful = (p.n for p in probes if p.kind == ProbeKind.APART and p.why and not p.state.parted)
    return max(harmful, default=-1)


def _purpose(probe: Probe, last_harm: int) -> Purpose:
    if probe.kind == ProbeKind.SENTINEL:
        return Purpose.FACE
    if probe.state.parted:
        return Purpose.OUTSIDE
    if probe.kind == ProbeKind.BAND:
        return Purpose.VALUE
    if probe.kind == ProbeKind.CLIP:
        return Purpose.CLIP
    if probe.n <= last_harm:
        return Purpose.HARM
    return Purpose.THROUGH if probe.kind == ProbeKind.THROUGH else Purpose.APART
