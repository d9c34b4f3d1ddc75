"""What is open about two contacts, or about a circuit that joins them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wiremap.model import Address


class DoubtKind(StrEnum):
    """What a doubt is about, where something else turns on it."""

    CIRCUIT = "circuit"  # which circuit each paper names
    INDEX = "index"  # which of several equal ones
    BUS = "bus"  # which bus
    FEED = "feed"  # which side feeds it
    FUNCTION = "function"  # each paper tells another function
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Doubt:
    """One thing that is open; `rival` is the contact that would fit as well."""

    words: str
    kind: DoubtKind = DoubtKind.OTHER
    rival: Address | None = None

    def __str__(self) -> str:
        return self.words


_QUALIFIERS = frozenset({DoubtKind.CIRCUIT, DoubtKind.INDEX, DoubtKind.BUS})


def about_qualifier(qualifier: str, words: str) -> Doubt:
    """A doubt about a qualifier, of the kind of the same name if there is one."""
    kind = DoubtKind(qualifier) if qualifier in _QUALIFIERS else DoubtKind.OTHER
    return Doubt(words, kind)
