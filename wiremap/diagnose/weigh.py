"""Builds weighed against the readings: which a build leaves unexplained, how unlikely it is.

Sets of readings are numbers, bit k standing for reading k, and of a build with one more mistake
only the readings that the mistake can change are looked at: a diagnosis weighs some ten thousand
builds within a third of a second.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import cached_property
from itertools import product

from wiremap.diagnose.weighable import CombRead, Plain, comb_read, plain_of
from wiremap.evidence import is_silent
from wiremap.mistakes.build import AS_USUAL, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import Mistake
from wiremap.model import State
from wiremap.ringout.judging import consistent
from wiremap.ringout.masks import EMPTY, Masks, joined
from wiremap.ringout.taken import Taken

NO_LIMIT = 10_000  # more readings than any ring-out has
Pair = frozenset[str]


class Evidence:
    """The readings of one ring-out, in the order in which they were first taken."""

    def __init__(self, drawn: Drawn, readings: Sequence[Taken]) -> None:
        self.drawn, self.readings = drawn, list(readings)
        self.failing = EMPTY
        self.not_plain = EMPTY  # of combs, of fuses, in diode range
        self.bare_combs = EMPTY  # of combs, in no state and not in diode range
        self.red_at: Masks[str] = Masks()  # of a point the bare combs with it under the red probe
        self.black_at: Masks[str] = Masks()
        self.short = self.open = (
            EMPTY  # the plain ones and bare combs that a short, an open would fit
        )
        self.at_point: Masks[str] = Masks()
        self.by_pair: Masks[tuple[str, str]] = Masks()  # the plain ones, either way round
        self.plain = [plain_of(t, drawn.beeper) for t in self.readings]
        self.combs = [comb_read(t, drawn) for t in self.readings]
        # of each reading the true ohms that it may have come from; None: any
        self.said = [drawn.beeper.says(t.entry) for t in self.readings]
        self.solved = 0  # readings for which ohms were worked out, the dear part of the work
        for index, taken in enumerate(self.readings):
            self._note(1 << index, taken)
            self._note_plain(1 << index, self.plain[index])
            self._note_comb(1 << index, self.combs[index])

    def _note(self, bit: int, taken: Taken) -> None:
        if taken.agrees is False:
            self.failing |= bit
        for point in (*taken.points, *self.drawn.legs_of(taken.state)):
            self.at_point[point] |= bit

    def _note_plain(self, bit: int, plain: Plain | None) -> None:
        if plain is None:
            self.not_plain |= bit
            return
        self.by_pair[plain.a, plain.b] |= bit
        self.by_pair[plain.b, plain.a] = self.by_pair[plain.a, plain.b]
        self._note_fit(bit, plain)

    def _note_comb(self, bit: int, comb: CombRead | None) -> None:
        if comb is None:
            return
        self.bare_combs |= bit
        for point in comb.red:
            self.red_at[point] |= bit
        for point in comb.black.drawn:
            self.black_at[point] |= bit
        self._note_fit(bit, comb)

    def _note_fit(self, bit: int, read: Plain | CombRead) -> None:
        if read.short:
            self.short |= bit
        if read.open:
            self.open |= bit

    def between_combs(self, points: Iterable[str], others: Iterable[str]) -> int:
        """The bare combs with one of these points under one probe and of the others under the
        other.
        """
        red, black = _any(self.red_at, points), _any(self.black_at, points)
        return red & _any(self.black_at, others) | black & _any(self.red_at, others)

    # -- what was read ----------------------------------------------------------------------------

    @cached_property
    def _read(self) -> dict[tuple[Pair, State], bool]:
        """For each two points read against each other alone, whether reading them again would tell
        nothing more.
        """
        return {
            (frozenset((taken.red[0], taken.black[0])), taken.state): _exhausted(taken)
            for taken in self.readings
            if taken.is_alone
        }

    @cached_property
    def _sides(self) -> frozenset[tuple[Pair, Pair]]:
        """The two sides of every reading, either way round."""
        sides = [(frozenset(t.red), frozenset(t.black)) for t in self.readings]
        return frozenset((*sides, *((black, red) for red, black in sides)))

    def asked(self, red: Iterable[str], black: Iterable[str]) -> bool:
        """Whether these combs were read against each other, whatever came of it."""
        return (frozenset(red), frozenset(black)) in self._sides

    def read_alone(self, one: str, other: str, state: State = AS_USUAL) -> bool:
        """Whether two points were read against each other alone."""
        return (frozenset((one, other)), state) in self._read

    def settled(self, one: str, other: str, state: State, unit: Shows) -> bool:
        """Whether another reading of two points in this unit tells nothing new.

        After a beep or a silence ohms still do.
        """
        exhausted = self._read.get((frozenset((one, other)), state))
        return exhausted is not None and (exhausted or unit == Shows.BEEP)

    @cached_property
    def silent(self) -> frozenset[Pair]:
        """The pairs of points between which nothing was heard, in combs too."""
        usual = [t for t in self.readings if not t.state and not t.diode_range]
        return frozenset(p for t in usual if is_silent(t.entry) for p in _pairs(t))

    @cached_property
    def _unsure(self) -> frozenset[Pair]:
        return frozenset(p for t in self.readings if t.entry.seen == "unsure" for p in _pairs(t))

    def tried(self, one: str, other: str) -> bool:
        """Whether two points were read alone, were silent in a comb, or nobody was sure of them."""
        pair = frozenset((one, other))
        return pair in self.silent or pair in self._unsure or self.read_alone(one, other)

    def at(self, points: Iterable[str]) -> int:
        """The readings at these points."""
        return _any(self.at_point, points)

    # -- a build against the readings -------------------------------------------------------------

    def check(self, build: Build, left: int, mask: int, most: int = NO_LIMIT) -> int:
        """The readings that a build leaves unexplained: of `left` those outside `mask`, and in
        `mask` those that do not fit it; given up beyond `most`.

        The innermost loop: `Build.net` is written out, as a call for each reading is a third of the
        time of a diagnosis.
        """
        moved, merged = build.moved, build.merged
        net_of, linked, plains = self.drawn.net_of, build.linked, self.plain
        out = left & ~mask
        count = out.bit_count()
        not_plain = mask & self.not_plain
        mask ^= not_plain
        while mask and count <= most:
            low = mask & -mask
            mask ^= low
            index = low.bit_length() - 1
            plain = plains[index]
            assert plain is not None
            red, black, short, open_ = plain
            one = moved[red] if red in moved else net_of[red]
            other = moved[black] if black in moved else net_of[black]
            if merged:
                one, other = merged.get(one, one), merged.get(other, other)
            if one == other:
                fit = short
            elif one not in linked or other not in linked:
                fit = open_
            else:
                fit = self._fits(build, index, one, other)
            if not fit:
                out |= low
                count += 1
        return self._check_crowded(build, out, not_plain, most)

    def _check_crowded(self, build: Build, out: int, mask: int, most: int) -> int:
        """Of these readings of combs, fuses and diodes too what a build leaves unexplained."""
        count = out.bit_count()
        while mask and count <= most:
            low = mask & -mask
            mask ^= low
            if not self._fits_crowded(build, low.bit_length() - 1):
                out |= low
                count += 1
        return out

    def _fits_crowded(self, build: Build, index: int) -> bool:
        """Whether a reading of a comb, through a fuse or in diode range may come from a build."""
        comb = self.combs[index]
        if comb is None:
            return consistent(build, self.readings[index])
        reds, blacks = {build.net(a) for a in comb.red}, comb.nets(build)
        if not reds.isdisjoint(blacks):
            return comb.short
        linked = build.linked
        if reds.isdisjoint(linked) or linked.isdisjoint(blacks):
            return comb.open
        said = self.said[index]
        return said is None or said.overlaps(build.between(reds, blacks))

    def _fits(self, build: Build, index: int, one: int, other: int) -> bool:
        self.solved += 1
        said = self.said[index]
        return said is None or said.overlaps(build.between({one}, {other}))

    def tied(self, build: Build) -> frozenset[int]:
        """The nets that a part touches."""
        if not self._poles:
            return build.linked
        return build.linked | {build.net(x) for x in self._poles}

    @cached_property
    def _poles(self) -> tuple[str, ...]:
        return tuple(x for t in self.drawn.ties if t.diode for x in (t.a, t.b))

    def all_left(self, build: Build) -> int:
        """The readings that a build leaves unexplained, each looked at."""
        return self.check(build, 0, (1 << len(self.readings)) - 1)

    def cost(self, mistake: Mistake) -> float:
        """How unlikely a mistake is, given how many readings failed."""
        return mistake.cost(self.drawn, self.failing.bit_count())

    def cost_of(self, mistakes: Collection[Mistake]) -> tuple[float, tuple[str, ...]]:
        """A set of mistakes by likelihood, then by name."""
        cost = sum(self.cost(m) for m in mistakes)
        return round(cost, 6), tuple(s for m in mistakes for s in m.subject)


def _any(masks: Masks[str], points: Iterable[str]) -> int:
    """All that the masks of these points have together."""
    return joined(masks[a] for a in points)


def _exhausted(taken: Taken) -> bool:
    return taken.entry.ohms is not None or taken.entry.seen == "unsure" or taken.times > 2


def _pairs(taken: Taken) -> Iterator[Pair]:
    return (frozenset(pair) for pair in product(taken.red, taken.black))
