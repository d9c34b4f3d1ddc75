"""What every mistake can tell of itself."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import ClassVar

from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn

LEAST = 2.0  # about what a mistake costs (see `Mistake.cost`); so two are never likelier than one
SIDE_BY_SIDE = 0.35  # what a mistake costs less if its contacts are neighbours on a face


class MistakeKind(str):
    """The word by which results name a kind of mistake; the file of the mistake makes it.

    `called` is the kind as a person calls it.
    """

    __slots__ = ("called",)
    called: str

    def __new__(cls, word: str, called: str) -> MistakeKind:
        kind = super().__new__(cls, word)
        kind.called = called
        return kind


@dataclass(frozen=True, slots=True)
class Mistake(ABC):
    """One thing that hands do wrong: its kind, and the circuits, contacts or parts in it."""

    kind: MistakeKind
    subject: tuple[str, ...]

    joins_nothing: ClassVar[bool] = False  # it only parts: where silence was due, it stays silent

    @abstractmethod
    def on(self, build: Build) -> Build:
        """The build with this mistake made in it, after all that was done to it before."""

    @abstractmethod
    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        """The points whose readings it may change."""

    @abstractmethod
    def words(self) -> str:
        """The mistake in words."""

    def mending(self) -> str:
        """Which wires go where to mend it, in words; empty where the mistake itself says it."""
        return ""

    def changes(self, build: Build) -> Collection[str]:
        """The points whose net it changes in a build, where that differs from the drawing's."""
        return self.touches(build.drawn)

    def joins(self, drawn: Drawn) -> tuple[int, ...]:
        """The nets that a wire comes into although none of their own points is in `touches`."""
        return ()

    def nets(self, drawn: Drawn) -> set[int]:
        """The nets as drawn that it concerns."""
        return {drawn.net_of[a] for a in self.touches(drawn)} | set(self.joins(drawn))

    @abstractmethod
    def cost(self, drawn: Drawn, failed: int) -> float:
        """How unlikely it is: costs of mistakes add up, and the lowest sum is the likeliest.

        `failed` is how many readings failed.
        """


def made(drawn: Drawn, mistakes: Sequence[Mistake]) -> Build:
    """The harness with all these mistakes in it, made one after another."""
    build = drawn.sound
    for mistake in mistakes:
        build = mistake.on(build)
    return build


def words(mistakes: Sequence[Mistake]) -> str:
    """Mistakes in words, each once."""
    return " and ".join(dict.fromkeys(m.words() for m in mistakes))


def mending(mistakes: Sequence[Mistake]) -> str:
    """Which wires go where to mend these mistakes, each once; empty where the mistakes say it."""
    told = dict.fromkeys(mistake.mending() for mistake in mistakes)
    return "; then ".join(filter(None, told))
