"""Contacts in classes of equal mistakes, so that many exchanges are counted and few are made.

Two contacts of an end exchanged, and a wire laid into another circuit, are as many as the square of
the contacts.  Of a contact whose circuit no part and no load ties with another, each such mistake
does the same: it parts the contact from its own circuit.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, product

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import MistakeKind
from wiremap.mistakes.swap import HALVES

HALF = frozenset().union(*HALVES)


@dataclass(frozen=True, slots=True)
class Seats:
    """The contacts of one end: joined and free of ties, alone and free of ties, all others.

    `quiet` are those of the last two at which nothing but silence is read.
    """

    joined: tuple[str, ...]
    alone: tuple[str, ...]
    others: tuple[str, ...]
    quiet: tuple[str, ...]

    def single(self) -> Iterator[tuple[str, str]]:
        """The pairs that must be looked at one by one; not those of two quiet contacts."""
        quiet = frozenset(self.quiet)
        loud = tuple(a for a in self.others if a not in quiet)
        hushed = tuple(a for a in self.others if a in quiet)
        yield from combinations(loud, 2)
        yield from product(loud, (*self.joined, *self.alone, *hushed))
        yield from product(hushed, (*self.joined, *(a for a in self.alone if a not in quiet)))


class Classes:
    """The contacts of a harness by what a mistake at them can do.

    `firm` are those whose parting from their own circuit would show, `quiet` those at which nothing
    but silence is read and whose circuit nothing ties with another.
    """

    def __init__(
        self, drawn: Drawn, firm: Iterable[str], quiet: Collection[str] = frozenset()
    ) -> None:
        self.drawn = drawn
        self.free = frozenset(a for a in firm if self._is_free(a))
        self.quiet = frozenset(quiet) - self.poles

    @cached_property
    def poles(self) -> frozenset[str]:
        """The points at which a tie ends, and studs that the chassis goes with."""
        ends = [point for tie in self.drawn.ties for point in (tie.a, tie.b)]
        return frozenset((*ends, *(point for bolt in self.drawn.bolts for point in bolt)))

    def _is_free(self, point: str) -> bool:
        return point not in self.poles and self.drawn.net_of[point] not in self.drawn.tied

    def seats(self) -> Iterator[Seats]:
        """The contacts of each end in their classes."""
        drawn = self.drawn
        by_end: dict[str, list[str]] = {}
        for point in drawn.points:
            if drawn.harness.points[point].end is not None:
                by_end.setdefault(drawn.harness.points[point].owner, []).append(point)
        for points in by_end.values():
            joined = tuple(a for a in points if a in self.free)
            alone = tuple(a for a in points if self._is_alone(a))
            known = {*joined, *alone}
            others = tuple(a for a in points if a not in known)
            quiet = tuple(a for a in points if a in self.quiet)
            yield Seats(joined, alone, others, quiet)

    def _is_alone(self, point: str) -> bool:
        return self.is_lone(point) and self._is_free(point)

    def exchanged(self, joined: Sequence[str], alone: Sequence[str]) -> Counter[MistakeKind]:
        """How many exchanges there are among joined and lone contacts of an end, by kind."""
        found: Counter[MistakeKind] = Counter()
        crossed = self._crossed(joined)
        nets = Counter(self.drawn.net_of[a] for a in joined)
        pairs = _pairs(len(joined)) - sum(_pairs(count) for count in nets.values())
        found[MistakeKind.EXCHANGE] = pairs - crossed
        found[MistakeKind.MISPLACED] = len(joined) * len(alone)
        found[MistakeKind.PAIR_CROSSED] = crossed
        return found

    def is_lone(self, point: str) -> bool:
        """Whether a contact is joined with nothing."""
        return len(self.drawn.members[self.drawn.net_of[point]]) == 1

    def _crossed(self, points: Sequence[str]) -> int:
        """How many of the pairs among contacts are the two halves of one bus pair."""
        halves: Counter[tuple[str | None, str, int]] = Counter()
        for point in points:
            cavity = self.drawn.harness.points[point].cavity
            if cavity is not None and cavity.function in HALF:
                halves[cavity.pair, cavity.function, self.drawn.net_of[point]] += 1
        return sum(
            halves[one] * halves[two]
            for one, two in combinations(halves, 2)
            if one[0] == two[0] and one[2] != two[2] and {one[1], two[1]} in HALVES
        )


def _pairs(count: int) -> int:
    return count * (count - 1) // 2
