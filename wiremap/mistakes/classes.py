"""Contacts in classes of equal mistakes, so that many exchanges are counted and few are made.

Two contacts of an end exchanged, and a wire laid into another circuit, are as many as the square of
the contacts.  Of a contact whose circuit no part and no load ties with another, each such mistake
does the same: it parts the contact from its own circuit.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, permutations

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import MistakeKind
from wiremap.mistakes.move import MISPLACED
from wiremap.mistakes.swap import EXCHANGE, PAIR_CROSSED, contacts_by_end
from wiremap.trade.functions import OPPOSITE_HALVES

OTHER_HALF = {one: other for half in OPPOSITE_HALVES for one, other in permutations(half)}
Half = tuple[str, str | None, str]  # the end, the pair, the function


@dataclass(frozen=True, slots=True)
class Seats:
    """The contacts of one end in their classes."""

    joined: tuple[str, ...]  # with others, in a circuit that no tie touches
    alone: tuple[str, ...]  # joined with nothing, and touched by no tie
    others: tuple[str, ...]


class Classes:
    """The contacts of a harness by what a mistake at them can do.

    `firm` says of a contact whether its parting from its own circuit would show.
    """

    def __init__(self, drawn: Drawn, firm: Iterable[str]) -> None:
        self.drawn = drawn
        self.free = frozenset(a for a in firm if self._is_free(a))

    @cached_property
    def poles(self) -> frozenset[str]:
        """The points at which a tie ends, and studs that the chassis goes with."""
        ends = [point for tie in self.drawn.ties for point in (tie.a, tie.b)]
        return frozenset((*ends, *(point for bolt in self.drawn.bolts for point in bolt)))

    def _is_free(self, point: str) -> bool:
        return point not in self.poles and self.drawn.net_of[point] not in self.drawn.tied

    def seats(self) -> Iterator[Seats]:
        """The contacts of each end in their classes."""
        for points in contacts_by_end(self.drawn):
            joined = tuple(a for a in points if a in self.free)
            alone = tuple(a for a in points if self._is_alone(a))
            known = {*joined, *alone}
            yield Seats(joined, alone, tuple(a for a in points if a not in known))

    def _is_alone(self, point: str) -> bool:
        by_itself = len(self.drawn.members[self.drawn.net_of[point]]) == 1
        return by_itself and self._is_free(point)

    def exchanged(self, seats: Seats) -> Counter[MistakeKind]:
        """How many exchanges there are among joined and lone contacts, by kind."""
        found: Counter[MistakeKind] = Counter()
        crossed = self._crossed(seats.joined)
        nets = Counter(self.drawn.net_of[a] for a in seats.joined)
        pairs = _pairs(len(seats.joined)) - sum(_pairs(count) for count in nets.values())
        found[EXCHANGE] = pairs - crossed
        found[MISPLACED] = len(seats.joined) * len(seats.alone)
        found[PAIR_CROSSED] = crossed
        return found

    def halves_of(self, point: str) -> Sequence[str]:
        """The contacts of its end that are the other half of a contact's bus pair."""
        cavity = self.drawn.harness.points[point].cavity
        if cavity is None:
            return ()
        other = OTHER_HALF.get(cavity.function, "")
        return self._halves.get((self.drawn.harness.points[point].owner, cavity.pair, other), ())

    @cached_property
    def _halves(self) -> Mapping[Half, list[str]]:
        found: dict[Half, list[str]] = {}
        for point in self.drawn.points:
            cavity = self.drawn.harness.points[point].cavity
            if cavity is not None and cavity.function in OTHER_HALF:
                key = (self.drawn.harness.points[point].owner, cavity.pair, cavity.function)
                found.setdefault(key, []).append(point)
        return found

    def _crossed(self, points: Sequence[str]) -> int:
        """How many of the pairs among contacts are the two halves of one bus pair."""
        halves: Counter[tuple[str | None, str, int]] = Counter()
        for point in points:
            cavity = self.drawn.harness.points[point].cavity
            if cavity is not None and cavity.function in OTHER_HALF:
                halves[cavity.pair, cavity.function, self.drawn.net_of[point]] += 1
        return sum(
            halves[one] * halves[two]
            for one, two in combinations(halves, 2)
            if one[0] == two[0] and one[2] != two[2] and {one[1], two[1]} in OPPOSITE_HALVES
        )


def _pairs(count: int) -> int:
    return count * (count - 1) // 2
