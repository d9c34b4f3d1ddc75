"""The card that stays in the machine, as plain data: what was fitted where, by whom."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLine:
    """One line of the card; `write` leaves a line to write on behind the words."""

    text: str
    write: bool = False


@dataclass(frozen=True, slots=True)
class CardPart:
    """Lines under a heading."""

    title: str
    lines: tuple[CardLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedCard:
    """A card to cut out and fold once: whose work it is, and what is where."""

    title: str
    mark: str
    left: tuple[CardPart, ...]
    right: tuple[CardPart, ...]
