"""Two circuits that touch."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import combinations, product

from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import LEAST, SIDE_BY_SIDE, Mistake, MistakeKind
from wiremap.mistakes.modelled import Modelled

BRIDGE = MistakeKind("bridge", "two circuits touching")
FAR_APART = LEAST + 0.6  # its cost (see `Mistake.cost`) where no two contacts lie side by side
NEAR = FAR_APART - SIDE_BY_SIDE


@dataclass(frozen=True, slots=True)
class Touch(Mistake):
    """Two nets touch: strands across, a joint through its sleeve, solder between two contacts."""

    one: int
    two: int

    def on(self, build: Build) -> Build:
        return build.touching(self.one, self.two)

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return (*drawn.reached.get(self.one, ()), *drawn.reached.get(self.two, ()))

    def changes(self, build: Build) -> Collection[str]:
        roots = {build.merged.get(n, n) for n in (self.one, self.two)}
        return [a for n in roots for a in build.members.get(n, ())]

    def nets(self, drawn: Drawn) -> set[int]:
        return {self.one, self.two}

    def words(self) -> str:
        return f"{self.subject[0]} and {self.subject[1]} touch"

    def cost(self, drawn: Drawn, failed: int) -> float:
        one, two = drawn.members.get(self.one, ()), drawn.members.get(self.two, ())
        near = any(frozenset(pair) in drawn.beside for pair in product(one, two))
        return NEAR if near else FAR_APART


def touch(drawn: Drawn, i: int, j: int) -> Touch:
    """Two nets that touch; one that a mistake parted is called by its first contact."""
    one, two = sorted((drawn.name(i), drawn.name(j)))
    return Touch(BRIDGE, (one, two), min(i, j), max(i, j))


def touches(drawn: Drawn) -> Iterator[Touch]:
    """Any two nets that touch."""
    for i, j in combinations(drawn.members, 2):
        yield touch(drawn, i, j)


MODELLED = (Modelled(kinds=(BRIDGE,), make=touches, order=4, supposed=False),)
