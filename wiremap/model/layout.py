"""How a harness lies: its runs, and the circuits that share a twist."""

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
    """The distance between two datums."""

    a: str
    b: str
    mm: float | None
    keep_out: tuple[KeepOut, ...] = ()
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Twist:
    """Circuits that share one twist, with their drain."""

    name: str
    circuits: tuple[str, ...]
    drain: str | None = None
    mm: float | None = None
    untwisted_mm: float | None = None
    place: Place | None = None
