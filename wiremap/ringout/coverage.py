"""What a plan finds of every modelled mistake.

Few are made one by one.  Exchanges and strayed wires at circuits that nothing ties with another all
do the same, so they are counted by classes; two circuits that touch show if they are read apart.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from wiremap.mistakes.classes import Classes
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.every import one_by_one
from wiremap.mistakes.expectation import misses
from wiremap.mistakes.mistake import Mistake, MistakeKind
from wiremap.mistakes.move import move, strays
from wiremap.mistakes.parts import loads_other, parts_wrong
from wiremap.mistakes.swap import is_as_drawn, kind_of_swap, swap
from wiremap.ringout.finder import Finder
from wiremap.ringout.probe import Probe
from wiremap.ringout.unheard import Quiet, Unheard

NetPairs = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """Mistakes made and found, by kind, and those that stay hidden.

    `hidden_touches` are the pairs of nets whose touch would not show, `unheard` the exchanges and
    strayed wires at contacts that are only read silent; `hidden` are all others.
    """

    counts: Mapping[str, tuple[int, int]]  # kind: modelled, found
    hidden: tuple[Mistake, ...]
    hidden_touches: NetPairs
    unheard: tuple[Unheard, ...]

    def as_dict(self) -> dict[str, Any]:
        """Counts by kind as plain data."""
        return {kind: {"modelled": m, "found": f} for kind, (m, f) in self.counts.items()}


def cover(drawn: Drawn, probes: Sequence[Probe]) -> Coverage:
    """Of every modelled mistake, wrong loads with them, whether a probe would show it."""
    return _Cover(drawn, probes).coverage()


class _Cover:
    """Counts what one plan finds."""

    def __init__(self, drawn: Drawn, probes: Sequence[Probe]) -> None:
        self.drawn = drawn
        self.finder = Finder(drawn, probes)
        quiet = frozenset(a for a in drawn.points if self.finder.is_quiet(a))
        self.classes = Classes(drawn, self.finder.through, quiet)
        self.quiet = Quiet(drawn, self.finder, self.classes.quiet)
        self.modelled: Counter[MistakeKind] = Counter()
        self.found: Counter[MistakeKind] = Counter()
        self.hidden: list[Mistake] = []
        self.unheard: list[Unheard] = []
        self._far: dict[tuple[int, int, str], bool] = {}

    def coverage(self) -> Coverage:
        """The counts, kind by kind in the order in which they are made."""
        self._make(one_by_one(self.drawn))
        self._swaps()
        touching = tuple(self._touches())
        self._moves()
        self._make(parts_wrong(self.drawn))
        self._make(loads_other(self.drawn))
        counts = {str(k): (n, self.found[k]) for k, n in self.modelled.items() if n}
        return Coverage(
            counts=counts,
            hidden=tuple(self.hidden),
            hidden_touches=touching,
            unheard=tuple(self.unheard),
        )

    def _make(self, mistakes: Iterator[Mistake]) -> None:
        for mistake in mistakes:
            self._count(mistake, shown=self.finder.finds(mistake))

    def _count(self, mistake: Mistake, *, shown: bool) -> None:
        self.modelled[mistake.kind] += 1
        if shown:
            self.found[mistake.kind] += 1
        else:
            self.hidden.append(mistake)

    def _sure(self, kind: MistakeKind, count: int) -> None:
        self.modelled[kind] += count
        self.found[kind] += count

    # -- by classes -------------------------------------------------------------------------------

    def _swaps(self) -> None:
        for seats in self.classes.seats():
            for kind, count in self.classes.exchanged(seats.joined, seats.alone).items():
                self._sure(kind, count)
            self._quiet_swaps(seats.quiet)
            for pair in seats.single():
                one, two = sorted(pair, key=self.drawn.rank.__getitem__)
                if not is_as_drawn(self.drawn, one, two):
                    self._swap(one, two)

    def _quiet_swaps(self, seats: Sequence[str]) -> None:
        """Quiet contacts of one end exchanged: all but the unheard ones show."""
        lone = frozenset(a for a in seats if self.classes.is_lone(a))
        joined = [a for a in seats if a not in lone]
        for kind, count in self.classes.exchanged(joined, tuple(lone)).items():
            self._sure(kind, count)
        for unheard in self.quiet.exchanged(seats):
            self.unheard.append(unheard)
            for other in unheard.seats:
                self.found[kind_of_swap(self.drawn, unheard.point, other)] -= 1

    def _swap(self, one: str, two: str) -> None:
        made = swap(self.drawn, one, two)
        poles = self.classes.poles
        plain = one not in poles and two not in poles
        nets = (self.drawn.net_of[one], self.drawn.net_of[two])
        surely = plain and (self._parts(one, nets[1]) or self._parts(two, nets[0]))
        self._count(made, shown=surely or self.finder.finds(made))

    def _moves(self) -> None:
        for wire, nets in strays(self.drawn):
            if wire in self.classes.free:
                self._sure(MistakeKind.MISPLACED, len(nets))
            elif wire in self.classes.quiet:
                self._quiet_moves(wire, nets)
            else:
                for net in nets:
                    self._move(wire, net)

    def _quiet_moves(self, wire: str, nets: Sequence[int]) -> None:
        """The wire of a quiet contact in each net; where parts are tied it is made."""
        tied = self.drawn.tied
        bare = [net for net in nets if net not in tied]
        unheard = self.quiet.laid(wire, bare)
        self.modelled[MistakeKind.MISPLACED] += len(bare)
        self.found[MistakeKind.MISPLACED] += len(bare) - len(unheard.nets)
        if unheard.nets:
            self.unheard.append(unheard)
        for net in nets:
            if net in tied:
                self._move(wire, net)

    def _move(self, wire: str, net: int) -> None:
        made = move(self.drawn, wire, net)
        surely = wire not in self.classes.poles and self._parts(wire, net)
        self._count(made, shown=surely or self.finder.finds(made))

    def _parts(self, point: str, net: int) -> bool:
        """Whether a contact that comes into another net surely no longer reads with its own.

        No tie may end at the contact, so that what joins the two nets is as drawn.
        """
        probe = self.finder.through.get(point)
        if probe is None:
            return False
        own = self.drawn.net_of[point]
        if net not in self.drawn.tied.get(own, ()):
            return True
        key = (min(own, net), max(own, net), probe.expect)
        if key not in self._far:
            between = self.drawn.sound.between({own}, {net})
            self._far[key] = misses(probe.expectation, between, self.drawn.beeper)
        return self._far[key]

    def _touches(self) -> Iterator[tuple[int, int]]:
        """The pairs of nets whose touch does not show."""
        finder = self.finder
        total = hidden = 0
        for one, two in combinations(self.drawn.members, 2):
            total += 1
            if not finder.shows_touch(one, two):
                hidden += 1
                yield one, two
        self.modelled[MistakeKind.BRIDGE] += total
        self.found[MistakeKind.BRIDGE] += total - hidden
