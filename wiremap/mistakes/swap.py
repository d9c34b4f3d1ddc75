"""Two contacts of one end in each other's seats."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import combinations

from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import LEAST, SIDE_BY_SIDE, Mistake, MistakeKind
from wiremap.mistakes.modelled import Modelled
from wiremap.mistakes.move import MISPLACED
from wiremap.trade.functions import OPPOSITE_HALVES

EXCHANGE = MistakeKind("exchange", "two wires exchanged")
PAIR_CROSSED = MistakeKind("pair-crossed", "a pair crossed")
MORE = {PAIR_CROSSED: 0.2, EXCHANGE: 0.6, MISPLACED: 0.8}  # what each kind costs beyond LEAST


@dataclass(frozen=True, slots=True)
class Swap(Mistake):
    """The wires in two contacts are exchanged; if one joins nothing, the other is misplaced."""

    one: str
    two: str
    has_joints: bool = field(default=False, compare=False)  # both wires end in one: for its words

    def on(self, build: Build) -> Build:
        return build.seated({self.one: build.wire(self.two), self.two: build.wire(self.one)})

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return (self.one, self.two)

    def words(self) -> str:
        first, second = self.subject
        if self.kind == MISPLACED:
            return f"the wire of {first} is in {second}"
        if self.kind == PAIR_CROSSED:
            return f"the pair is crossed at {first} and {second}"
        return f"{first} and {second} are exchanged"

    def mending(self) -> str:
        """Both wires come out before either goes in, as no cavity holds two."""
        first, second = self.subject
        if self.kind == MISPLACED:
            return f"move the wire in {second} to {first}"
        moved = (
            f"take both wires out first, then that of {first} into {second} and that of {second} "
            f"into {first}"
        )
        if self.has_joints:
            return f"their joints, if crossed there; if not, {moved}"
        return moved

    def cost(self, drawn: Drawn, failed: int) -> float:
        far_apart = LEAST + MORE[self.kind]
        near = frozenset((self.one, self.two)) in drawn.beside
        return far_apart - SIDE_BY_SIDE if near else far_apart


def swaps(drawn: Drawn) -> Iterator[Swap]:
    """Any two contacts of one end exchanged, where that changes the metal."""
    for points in contacts_by_end(drawn):
        for one, two in combinations(points, 2):
            if not is_as_drawn(drawn, one, two):
                yield swap(drawn, one, two)


def contacts_by_end(drawn: Drawn) -> Iterable[list[str]]:
    """The contacts of each end that take part."""
    by_end: dict[str, list[str]] = {}
    for address in drawn.points:
        point = drawn.harness.points[address]
        if point.end is not None:
            by_end.setdefault(point.owner, []).append(address)
    return by_end.values()


def is_as_drawn(drawn: Drawn, one: str, two: str) -> bool:
    """Whether exchanging two contacts leaves the metal as it is."""
    i, j = drawn.net_of[one], drawn.net_of[two]
    return i == j or len(drawn.members[i]) == len(drawn.members[j]) == 1


def swap(drawn: Drawn, one: str, two: str) -> Swap:
    """Two contacts exchanged: the one whose wire is joined is named first."""
    kind = _kind_of(drawn, one, two)
    alone = len(drawn.members[drawn.net_of[one]]) == 1
    subject = (two, one) if kind == MISPLACED and alone else (one, two)
    has_joints = all(map(drawn.harness.joints_at, (one, two)))
    return Swap(kind, subject, one, two, has_joints=has_joints)


def _kind_of(drawn: Drawn, one: str, two: str) -> MistakeKind:
    """An exchange, or a wire in the wrong cavity where one of both joins nothing."""
    alone = [len(drawn.members[drawn.net_of[a]]) == 1 for a in (one, two)]
    if any(alone):  # both: told of a build in which other wires sit in them
        return EXCHANGE if all(alone) else MISPLACED
    if drawn.net_of[one] == drawn.net_of[two]:
        return EXCHANGE
    return PAIR_CROSSED if _one_pair(drawn, one, two) else EXCHANGE


def _one_pair(drawn: Drawn, one: str, two: str) -> bool:
    high, low = drawn.harness.points[one].cavity, drawn.harness.points[two].cavity
    assert high is not None and low is not None
    return {high.function, low.function} in OPPOSITE_HALVES and high.pair == low.pair


KINDS = (EXCHANGE, PAIR_CROSSED, MISPLACED)
MODELLED = (Modelled(kinds=KINDS, make=swaps, order=3, supposed=False),)
