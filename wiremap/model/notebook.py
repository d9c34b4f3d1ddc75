"""What a notebook says: what was seen, answered and accepted, by whom and when."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.base import Place
from wiremap.model.quantities import Span

KINDS = ("answer", "survey", "probe", "accept", "power", "built")
SEEN_WORDS = ("beep", "silent", "unsure", "diode")


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a notebook; only the fields of its kind are filled.

    `seen` is one of SEEN_WORDS or None where `ohms` holds the reading (infinite: open); `of` is the fingerprint
    of the metal or cavity as it stood when the entry was written, or None for "the file as it now stands".
    """

    kind: str
    by: str = ""
    date: str = ""
    how: str = ""
    why: str = ""
    about: str = ""  # answer: what it speaks of (gateway.TA, loom.12, loom.1.function ...)
    answer: str = ""
    red: tuple[str, ...] = ()  # points under the red probe (several: a comb)
    black: tuple[str, ...] = ()
    seen: str | None = None
    ohms: Span | None = None
    volts: float | None = None
    amps: float | None = None  # first power
    key: str | None = None  # survey volts, first power: key off, on
    state: str | None = None  # "guard lifted"
    rule: str = ""  # accept
    subject: tuple[str, ...] = ()
    of: str | None = None
    pieces: int | None = None  # built
    revision: int | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Notebook:
    """A whole notebook file."""

    path: str
    entries: tuple[Entry, ...] = ()
    place: Place | None = None
