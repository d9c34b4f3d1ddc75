"""A contact's wire joined into another circuit."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import LEAST, Mistake, MistakeKind
from wiremap.mistakes.modelled import Modelled

MISPLACED = MistakeKind("misplaced", "a wire in the wrong cavity")  # or in another joint
COST = LEAST + 1.1  # see `Mistake.cost`


@dataclass(frozen=True, slots=True)
class Move(Mistake):
    """The wire of one contact lies in the joint of another circuit."""

    wire: str
    net: int  # into whose joint it is laid

    def on(self, build: Build) -> Build:
        return build.laid((self.wire,), self.net)

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return (self.wire,)

    def changes(self, build: Build) -> Collection[str]:
        seat = build.seat(self.wire)
        return [seat] if seat else []

    def joins(self, drawn: Drawn) -> tuple[int, ...]:
        return (self.net,)

    def words(self) -> str:
        wire, into = self.subject
        return f"the wire of {wire} is in {into}"

    def cost(self, drawn: Drawn, failed: int) -> float:
        return COST


def move(drawn: Drawn, wire: str, net: int) -> Move:
    """One contact's wire joined into another circuit."""
    return Move(MISPLACED, (wire, drawn.names[net]), wire, net)


def every_move(drawn: Drawn) -> Iterator[Move]:
    """The wire of each contact that is joined in the joint of each other circuit."""
    for wire, nets in wires_to_lay(drawn):
        for net in drawn.members:
            if nets >> net & 1:
                yield move(drawn, wire, net)


def wires_to_lay(drawn: Drawn) -> Iterator[tuple[str, int]]:
    """Each wire that is joined, and the other nets in whose joints it may lie: net n is bit n."""
    named = [n for n, points in drawn.members.items() if len(points) > 1 and drawn.names[n]]
    joined = sum(1 << n for n in named)
    for wire in drawn.points:
        home = drawn.net_of[wire]
        if len(drawn.members[home]) > 1:
            yield wire, joined & ~(1 << home)


MODELLED = (Modelled(kinds=(MISPLACED,), make=every_move, order=5, supposed=False),)
