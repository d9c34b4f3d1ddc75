"""Sets of one, two or three mistakes that explain an island of failed readings and break nothing.

The second mistake is supposed on the build that the first one made, so that it may lie under it.
Sets that give the same metal count as one.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import NamedTuple

from wiremap.diagnose.one_more import Base
from wiremap.diagnose.singles import ROUGH, Singles
from wiremap.diagnose.weigh import Evidence
from wiremap.evidence import is_short
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.face_read import FaceRead
from wiremap.mistakes.mistake import Mistake, made
from wiremap.ringout.masks import ones_of

PAIRS_TRIED = 12_000  # pairs of mistakes looked at for one island
FIRSTS = 250  # first mistakes on which a second is supposed
THREES_TRIED = 12_000
THIRDS = FIRSTS // 2  # pairs on which a third is supposed
NEARLY = 2  # readings left over up to which a set is worth telling when nothing fits
MOST_NEARLY = 160  # such sets

Mistakes = tuple[Mistake, ...]
Found = dict[frozenset[frozenset[str]], Mistakes]  # by the metal that they make


class Nearer(NamedTuple):
    """A pair that leaves less to explain than its first mistake; the best comes first."""

    readings: int
    cost: float
    place: int
    mistakes: Mistakes
    left: int


class Budget:
    """How many sets may still be looked at, and how often ohms be worked out for them."""

    def __init__(self, evidence: Evidence, sets: int) -> None:
        self.evidence, self.sets_left = evidence, sets
        self._most_solved = evidence.solved + sets  # as many, since ohms are the dear part

    @property
    def is_spent(self) -> bool:
        """Whether no more is tried."""
        return self.sets_left <= 0 or self.evidence.solved > self._most_solved


class Sets:
    """Looks for sets of mistakes; `nearly` are those that leave a reading or two."""

    def __init__(self, drawn: Drawn, singles: Singles) -> None:
        self.drawn, self.known = drawn, singles
        self.evidence = singles.evidence
        self.nearly: dict[Mistakes, None] = {}

    def _others(self, island: int) -> int:
        """The failed readings outside an island."""
        return self.evidence.failing & ~island

    def keep(self, found: Found, mistakes: Mistakes) -> None:
        """Enter a set, unless a likelier one makes the same metal."""
        metal = made(self.drawn, mistakes).signature()
        cost_of = self.evidence.cost_of
        if metal not in found or cost_of(mistakes) < cost_of(found[metal]):
            found[metal] = mistakes

    # -- one --------------------------------------------------------------------------------------

    def singles(self, island: int) -> Found:
        """The single mistakes that explain an island and break nothing."""
        found: Found = {}
        others = self._others(island)
        for mistake, left in self.known.left.items():
            rest = left & ~others
            if not rest and island & ~left:
                self.keep(found, (mistake,))
            elif rest.bit_count() <= NEARLY:
                self.nearly.setdefault((mistake,))
        return found

    # -- two --------------------------------------------------------------------------------------

    def pairs(self, island: int, most_tried: int = PAIRS_TRIED, nearly: int = NEARLY) -> Found:
        """The pairs of mistakes that explain an island and break nothing.

        Those that leave up to `nearly` readings are remembered in `self.nearly`.
        """
        found: Found = {}
        others = self._others(island)
        budget = Budget(self.evidence, most_tried)
        most = nearly + others.bit_count()
        for base in self._firsts(island):
            for mistake, left in self._seconds(base, island, most):
                budget.sets_left -= 1
                self._sort_pair(found, (*base.mistakes, mistake), left & ~others)
            if budget.is_spent:
                break
        return found

    def _sort_pair(self, found: Found, pair: Mistakes, rest: int) -> None:
        """Enter a pair by what it leaves of its island."""
        if not rest:
            self.keep(found, pair)
        elif rest.bit_count() <= NEARLY and len(self.nearly) < MOST_NEARLY:
            self.nearly.setdefault(pair)

    def _firsts(self, island: int) -> Iterator[Base]:
        """First mistakes that explain a part of an island, each as a build of its own.

        The most telling first.
        """
        evidence, start = self.evidence, self.known.start
        known = self.known.left.items()
        firsts = ((m, left) for m, left in known if self._is_first(m, left, island))
        for mistake, left in islice(firsts, FIRSTS):
            yield Base(evidence, (mistake,), start.add(mistake)[0], left)

    def _is_first(self, mistake: Mistake, left: int, island: int) -> bool:
        """Whether a mistake explains a part of an island and breaks no more than another mends."""
        harm = (left & ~self.evidence.failing).bit_count()
        mended = (island & ~left).bit_count()
        bearable = harm <= ROUGH or (isinstance(mistake, FaceRead) and harm <= mended)
        return bool(mended and bearable and left & ~self._others(island))

    def _seconds(self, base: Base, island: int, most: int) -> Iterator[tuple[Mistake, int]]:
        """One more mistake on a build, for the reading that leaves the fewest to choose from."""
        open_ = base.left & ~self._others(island)
        for index in sorted(ones_of(open_), key=lambda index: self._choice(base, index)):
            supposed = dict.fromkeys(self.known.suppose.candidates(base, index))
            for mistake in supposed:
                broken = self.known.broken[mistake]
                yield mistake, base.add(mistake, most, broken)[1]
            if supposed:
                return  # a second mistake must explain this reading, so no other need be looked at

    def _choice(self, base: Base, index: int) -> tuple[int, bool, int]:
        """The order of readings by how many mistakes could explain each, roughly; the fewest first.

        A beep where none is drawn has fewer than a silence, a comb the most.
        """
        reading = self.evidence.readings[index]
        more = len(reading.red) * len(reading.black) - 1
        apart = base.build.net(reading.red[0]) != base.build.net(reading.black[0])
        strange_beep = apart and is_short(reading.entry)
        return (more, not strange_beep, index)

    # -- three ------------------------------------------------------------------------------------

    def threes(self, island: int) -> Found:
        """Three mistakes for a small island for which no pair was found."""
        found: Found = {}
        others = self._others(island)
        sets_left = THREES_TRIED
        for pair in sorted(self._nearer(island))[:THIRDS]:
            base = Base(self.evidence, pair.mistakes, made(self.drawn, pair.mistakes), pair.left)
            for mistake, left in self._seconds(base, island, others.bit_count()):
                sets_left -= 1
                if not left & ~others:
                    self.keep(found, (*pair.mistakes, mistake))
            if sets_left <= 0:
                break
        return found

    def _nearer(self, island: int) -> list[Nearer]:
        """The pairs of which the second explains more than the first alone."""
        others = self._others(island)
        budget = Budget(self.evidence, THREES_TRIED)
        found: list[Nearer] = []
        for base in self._firsts(island):
            before = (base.left & ~others).bit_count()
            for mistake, left in self._seconds(base, island, base.left.bit_count()):
                budget.sets_left -= 1
                count = (left & ~others).bit_count()
                if count < before:
                    pair = (*base.mistakes, mistake)
                    cost, _ = self.evidence.cost_of(pair)
                    found.append(Nearer(count, cost, len(found), pair, left))
            if budget.is_spent:
                break
        return found
