"""Three wires side by side, each in the next one's cavity: a kind of mistake as a contributor adds it, in this one file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import LEAST, Mistake, MistakeKind
from wiremap.mistakes.modelled import Modelled
from wiremap.mistakes.swap import contacts_by_end

THREE_ROUND = MistakeKind("three-round", "three wires each one cavity on")


@dataclass(frozen=True, slots=True)
class ThreeRound(Mistake):
    """Each of three wires sits where the next one belongs, the last where the first does."""

    def on(self, build: Build) -> Build:
        one, two, three = self.subject
        wires = {two: build.wire(one), three: build.wire(two), one: build.wire(three)}
        return build.seated(wires)

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return self.subject

    def words(self) -> str:
        return f"the wires of {', '.join(self.subject)} sit one cavity on"

    def cost(self, drawn: Drawn, failed: int) -> float:
        return LEAST + 0.9


def three_round(drawn: Drawn) -> Iterator[ThreeRound]:
    """Any three contacts in a row whose wires are of three circuits."""
    for points in contacts_by_end(drawn):
        for three in zip(points, points[1:], points[2:], strict=False):
            nets = {drawn.net_of[point] for point in three}
            if len(nets) == len(three) and all(len(drawn.members[net]) > 1 for net in nets):
                yield ThreeRound(THREE_ROUND, three)


MODELLED = (Modelled(kinds=(THREE_ROUND,), make=three_round),)
