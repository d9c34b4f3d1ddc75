"""What a notebook says: what was seen, answered and accepted, by whom and when."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.base import Place
from wiremap.model.address import Address, hold_addresses
from wiremap.model.quantities import Span
from wiremap.model.words import EntryKind, OnOff, Seen


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of a notebook; only the fields of its kind are filled.

    `seen` is a word or None where `ohms` holds the reading (infinite: open); `of` is the fingerprint
    of the metal or cavity as it stood when the entry was written, or None for "the file as it now stands".
    """

    kind: EntryKind
    by: str = ""
    date: str = ""
    how: str = ""
    why: str = ""
    about: str = ""  # answer: what it speaks of (gateway.TA, loom.12, loom.1.function ...)
    answer: str = ""
    red: tuple[Address, ...] = ()  # points under the red probe (several: a comb)
    black: tuple[Address, ...] = ()
    seen: Seen | None = None
    ohms: Span | None = None
    volts: float | None = None
    amps: float | None = None  # first power
    key: OnOff | None = None  # survey volts, first power: key off, on
    state: str | None = None  # "guard lifted"
    rule: str = ""  # accept
    subject: tuple[str, ...] = ()
    of: str | None = None
    pieces: int | None = None  # built
    revision: int | None = None
    place: Place | None = None

    def __post_init__(self) -> None:
        hold_addresses(self, "red")
        hold_addresses(self, "black")


@dataclass(frozen=True, slots=True)
class Notebook:
    """A whole notebook file."""

    path: str
    entries: tuple[Entry, ...] = ()
    place: Place | None = None
