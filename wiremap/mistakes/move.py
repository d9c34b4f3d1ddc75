"""A contact's wire joined into another circuit."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import LEAST, Mistake, MistakeKind
from wiremap.mistakes.modelled import Modelled

MISPLACED = MistakeKind("misplaced", "a wire in the wrong cavity")  # or in another joint


@dataclass(frozen=True, slots=True)
class Move(Mistake):
    """The wire of one contact lies in the joint of another circuit."""

    wire: str
    into: int  # the net

    def on(self, build: Build) -> Build:
        return build.laid((self.wire,), self.into)

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return (self.wire,)

    def changes(self, build: Build) -> Collection[str]:
        seat = build.seat(self.wire)
        return [seat] if seat else []

    def joins(self, drawn: Drawn) -> tuple[int, ...]:
        return (self.into,)

    def words(self) -> str:
        wire, into = self.subject
        return f"the wire of {wire} is in {into}"

    def cost(self, drawn: Drawn, failed: int) -> float:
        return LEAST + 1.1


def move(drawn: Drawn, wire: str, into: int) -> Move:
    """One contact's wire joined into another circuit."""
    return Move(MISPLACED, (wire, drawn.names[into]), wire, into)


def moves(drawn: Drawn) -> Iterator[Move]:
    """The wire of each contact that is joined in the joint of each other circuit."""
    for wire, nets in strays(drawn):
        for net in drawn.members:
            if nets >> net & 1:
                yield move(drawn, wire, net)


def strays(drawn: Drawn) -> Iterator[tuple[str, int]]:
    """Each wire that is joined, and the other nets into which it may be laid, a bit each."""
    named = [n for n, points in drawn.members.items() if len(points) > 1 and drawn.names[n]]
    joined = sum(1 << n for n in named)
    for wire in drawn.points:
        home = drawn.net_of[wire]
        if len(drawn.members[home]) > 1:
            yield wire, joined & ~(1 << home)


MODELLED = (Modelled(kinds=(MISPLACED,), make=moves, order=5, supposed=False),)
