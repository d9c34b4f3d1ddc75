"""What every mistake can tell of itself."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn

LEAST = 2.0  # what any single mistake costs: two of them are never likelier than one
SIDE_BY_SIDE = 0.35  # what it costs less if the contacts are neighbours on a face


class Kind(StrEnum):
    """The kinds of mistake, as the readings' verdict names them."""

    OPEN = "open"
    BRIDGE = "bridge"
    EXCHANGE = "exchange"
    MISPLACED = "misplaced"
    PAIR_CROSSED = "pair-crossed"
    MIRRORED = "mirrored"
    ROTATED = "rotated"
    SHIFTED = "shifted"
    ROWS_SWAPPED = "rows-swapped"
    BY_COLUMNS = "by-columns"
    SNAKE = "snake"
    EXTRA_MISSING = "extra-missing"
    EXTRA_WRONG = "extra-wrong"
    LOAD_OTHER = "load-other"
    POOR_JOINT = "poor-joint"


CALLED: Mapping[Kind, str] = MappingProxyType(
    {
        Kind.OPEN: "an open joint",
        Kind.BRIDGE: "two circuits touching",
        Kind.EXCHANGE: "two wires exchanged",
        Kind.MISPLACED: "a wire in the wrong cavity",
        Kind.PAIR_CROSSED: "a pair crossed",
        Kind.MIRRORED: "a face read mirrored",
        Kind.ROTATED: "a face turned round",
        Kind.SHIFTED: "a face counted one off",
        Kind.ROWS_SWAPPED: "rows of a face exchanged",
        Kind.BY_COLUMNS: "a face counted by columns",
        Kind.SNAKE: "a face counted in a snake",
        Kind.EXTRA_MISSING: "a part left out",
        Kind.EXTRA_WRONG: "a part of another value",
        Kind.LOAD_OTHER: "a load of another value",
        Kind.POOR_JOINT: "a poor joint",
    }
)


@dataclass(frozen=True, slots=True)
class Mistake(ABC):
    """One thing that hands do wrong: its kind, and the circuits, contacts or parts in it."""

    kind: Kind
    subject: tuple[str, ...]

    @abstractmethod
    def on(self, build: Build) -> Build:
        """The build with this mistake made in it, after all that was done to it before."""

    @abstractmethod
    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        """The points whose readings it may change."""

    @abstractmethod
    def words(self) -> str:
        """The mistake in words."""

    def changes(self, build: Build) -> Collection[str]:
        """The points whose net it changes in a build."""
        return self.touches(build.drawn)

    def joins(self, drawn: Drawn) -> tuple[int, ...]:
        """Nets that a wire comes into without one of their own points being touched."""
        return ()

    def nets(self, drawn: Drawn) -> set[int]:
        """The nets as drawn that it concerns."""
        return {drawn.net_of[a] for a in self.touches(drawn)} | set(self.joins(drawn))

    @abstractmethod
    def cost(self, drawn: Drawn, failed: int) -> float:
        """How unlikely it is, lower is likelier; `failed` is how many readings failed."""


def made(drawn: Drawn, mistakes: Sequence[Mistake]) -> Build:
    """The harness with all these mistakes in it, made one after another."""
    build = drawn.sound
    for mistake in mistakes:
        build = mistake.on(build)
    return build


def words(mistakes: Sequence[Mistake]) -> str:
    """Mistakes in words, each once."""
    return " and ".join(dict.fromkeys(m.words() for m in mistakes))
