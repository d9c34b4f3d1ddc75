"""How a harness lies: its runs, and the circuits that share a twist.

The datum of an end is the last fixed point of its tail (a tie, tape, a branch): lengths are
measured from there.
"""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.base import Place


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A stretch of a run where no joint may lie, in mm from the first end's datum."""

    from_mm: float
    to_mm: float
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """The distance between the datums of two ends."""

    a: str
    b: str
    mm: float | None  # None: not measured yet
    keep_out: tuple[KeepOut, ...] = ()
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Twist:
    """Circuits whose wires are twisted with one another, with the drain of their shield."""

    name: str
    circuits: tuple[str, ...]
    drain: str | None = None  # id of the drain's circuit
    mm: float | None = None  # length that lies twisted
    untwisted_mm: float | None = None  # length that lies untwisted
    place: Place | None = None
