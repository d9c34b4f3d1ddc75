"""The search behind the stations of a run: which kinds of groups share which place."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

EPS = 1e-6  # mm that rounding may add or take
Barred = Sequence[tuple[float, float]]  # stretches without joints [mm]
Counts = tuple[int, ...]  # how many of each kind


def next_free(x: float, keep_out: Barred) -> float:
    """The place itself, or the end of the stretch that bars it [mm]."""
    moved = True
    while moved:
        moved = False
        for start, end in keep_out:
            if start + EPS < x < end - EPS:
                x = end
                moved = True
    return x


class GroupKind(NamedTuple):
    """What makes two groups alike to the search; the nearest far edge sorts first."""

    hi: float  # far edge of the window in which they may lie, from the machine's datum [mm]
    lo: float  # near edge
    weight: int  # joints in one
    shift: float  # between its joints [mm]

    def forward(self, at: float, keep_out: Barred) -> bool:
        """Whether a pair at a place has room for its second joint behind the first.

        Where it has none the second lies before the first: the pair leans back.
        """
        for number in range(1, self.weight):
            end = at + self.shift * number
            if end > self.hi + EPS or next_free(end, keep_out) != end:
                return False
        return True

    def beyond(self, at: float, keep_out: Barred) -> float:
        """How far behind a station the sleeves of its pair reach [mm], one more included.

        The next station lies no nearer.
        """
        return self.shift * self.weight if self.forward(at, keep_out) else 0.0

    def leaning(self, at: float, keep_out: Barred) -> float:
        """How far a pair at the far edge of its window leans back [mm].

        The station before lies that much farther off.
        """
        return 0.0 if self.forward(at, keep_out) else self.shift * (self.weight - 1)


class StationChoice(NamedTuple):
    """A station's place [mm], and how many of each kind lie at it."""

    at: float
    taken: Counts


class Remaining(NamedTuple):
    """From where on the next station may lie [mm], and what is left to place."""

    start: float
    left: Counts

    @property
    def key(self) -> tuple[float, Counts]:
        """What makes two states one."""
        return round(self.start, 6), self.left


@dataclass(frozen=True, kw_only=True)
class StationSearch:
    """Depth first over the places of the stations from the machine's side."""

    kinds: Sequence[GroupKind]
    abreast: int
    spacing: float
    keep_out: Barred

    def run(self, wanted: Counts) -> list[StationChoice] | None:
        """Stations that hold all wanted groups; None when there are none.

        Each dead end is looked at once.
        """
        dead: set[tuple[float, Counts]] = set()
        begin = self._remaining(-math.inf, wanted)
        ways = [(begin, self._choices(begin, first=True))]
        chosen: list[StationChoice] = []
        while ways:
            state, options = ways[-1]
            choice = next(options, None)
            if choice is None:
                dead.add(state.key)
                ways.pop()
                if chosen:
                    chosen.pop()
                continue
            chosen.append(choice)
            rest = tuple(map(int.__sub__, state.left, choice.taken))
            if not any(rest):
                return chosen
            after = self._remaining(choice.at + self._room_after(choice), rest)
            if after.key in dead:
                chosen.pop()
            else:
                ways.append((after, self._choices(after)))
        return None

    def _of(self, counts: Counts) -> list[GroupKind]:
        """The kinds of which there is at least one."""
        return [kind for kind, count in zip(self.kinds, counts, strict=True) if count]

    @cached_property
    def _edges(self) -> list[float]:
        """Where a further group comes into reach."""
        edges = {next_free(kind.lo, self.keep_out) for kind in self.kinds}
        edges.update(end for _, end in self.keep_out)
        return sorted(edges)

    def _remaining(self, x: float, left: Counts) -> Remaining:
        near = min(kind.lo for kind in self._of(left))
        return Remaining(next_free(max(x, near), self.keep_out), left)

    def _choices(self, state: Remaining, *, first: bool = False) -> Iterator[StationChoice]:
        last = min(kind.hi for kind in self._of(state.left))
        for at in self._places(state.start):
            if last < at - EPS:
                return
            for taken in _takes(self.kinds, state.left, at, self.abreast):
                if first or at - state.start + EPS >= self._room_before(at, taken):
                    yield StationChoice(at, taken)

    def _places(self, start: float) -> Iterator[float]:
        yield start
        for edge in self._edges:
            if start + EPS < edge < start + self.spacing - EPS:
                yield edge

    def _room_before(self, at: float, taken: Counts) -> float:
        return max(kind.leaning(at, self.keep_out) for kind in self._of(taken))

    def _room_after(self, choice: StationChoice) -> float:
        beyond = [kind.beyond(choice.at, self.keep_out) for kind in self._of(choice.taken)]
        return max(self.spacing, *beyond)


def _takes(kinds: Sequence[GroupKind], left: Counts, at: float, room: int) -> Iterator[Counts]:
    """What may share a station, most pairs first.

    Within pairs and within singles the nearest far edge goes first.
    """
    pairs = 0
    for kind, count in zip(kinds, left, strict=True):
        if kind.weight > 1 and kind.lo <= at + EPS:
            pairs += count
    for most in range(pairs, -1, -1):
        taken = _filled(kinds, left, at, room, most)
        if taken is not None:
            yield taken


def _filled(
    kinds: Sequence[GroupKind], left: Counts, at: float, room: int, pairs: int
) -> Counts | None:
    """A station with exactly so many pairs, filled with singles; None where that cannot be."""
    taken = [0] * len(kinds)
    for heavy in (True, False):
        for number, kind in enumerate(kinds):
            if kind.lo > at + EPS or (kind.weight > 1) != heavy:
                continue
            count = min(left[number], room // kind.weight)
            if heavy:
                count = min(count, pairs)
                pairs -= count
            taken[number] = count
            room -= count * kind.weight
    if pairs or not any(taken):
        return None
    return tuple(taken)
