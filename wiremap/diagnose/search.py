"""The fewest mistakes that fit the readings.

Failed readings that one mistake could explain together form an island (`singles.py`); for each
island every single mistake is tried, then pairs, then three (`sets.py`).  What leaves a reading or
two unexplained is kept in case nothing fits.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain, product

from wiremap.diagnose.explain import Explanation
from wiremap.diagnose.sets import PAIRS_TRIED, Found, Mistakes, Sets
from wiremap.diagnose.singles import Singles
from wiremap.diagnose.weigh import Evidence
from wiremap.evidence import is_short
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import made
from wiremap.ringout.masks import ones_of
from wiremap.ringout.taken import Taken

KEPT = 40  # explanations that the next probe is chosen to tell apart
SHARES = ((3, 4), (6, 2))  # up to so many islands so many explanations of each are put together
THREE_UP_TO = 12  # nets of an island for which three mistakes are tried
MANY = 4  # failed readings from which a whole face that explains them all is not doubted
ALONE_UP_TO = 3 * MANY  # failed readings up to which another single mistake is told beside a face
NETS_OF_TWO = 4  # that two mistakes concern at most, whole faces left aside


class Search:
    """Looks for sets of mistakes; `explain` gives the best.

    `variants` are all that fits the first island in question, the others at their best.
    """

    def __init__(self, drawn: Drawn, readings: Sequence[Taken]) -> None:
        self.drawn = drawn
        self.evidence = Evidence(drawn, readings)
        self.readings = self.evidence.readings
        self.single = Singles(drawn, self.evidence)
        self.sets = Sets(drawn, self.single)
        self.variants: list[Explanation] = []

    def explain(self) -> list[Explanation]:
        """The best explanations of all failed readings together."""
        failed = self.evidence.failing.bit_count()
        faces = self._whole_faces() if failed >= MANY else []
        if faces:
            return self._faces_and_others(faces, failed)
        parts = [self._of_island(island) for island in self.single.islands()]
        solved = [part for part in parts if part]
        combined = self._combined(solved)
        all_solved = len(solved) == len(parts)
        if all_solved and (len(parts) == 1 or not combined[0].unexplained):
            return combined
        if len(parts) > 1:  # what explains each island may not go together
            whole = self._explanations_of(self.sets.pairs(self.evidence.failing))
            fits = [each for each in whole if not each.unexplained]
            if fits:
                self.variants = []
                return sorted(fits, key=lambda each: each.cost)[:KEPT]
        nearly = [self.explanation_of(mistakes) for mistakes in self.sets.nearly]
        return sorted([*combined, *nearly], key=_fewest_left)[:KEPT]

    def rivals(self, best: Explanation) -> list[Explanation]:
        """Pairs of mistakes that fit as well as the one that was found, on the same readings."""
        if self._is_wide():
            return []
        found = self.sets.pairs(self.evidence.failing, PAIRS_TRIED // 4, nearly=0)
        own = best.build.signature()
        others = [pair for metal, pair in found.items() if metal != own]
        likeliest = sorted(others, key=lambda pair: self.evidence.cost_of(pair)[0])[:KEPT]
        return [self.explanation_of(pair) for pair in likeliest]

    def explanation_of(self, mistakes: Mistakes) -> Explanation:
        """A set of mistakes as an explanation."""
        build = made(self.drawn, mistakes)
        left = tuple(self.readings[k] for k in ones_of(self.evidence.all_left(build)))
        return Explanation(mistakes, left, self.evidence.cost_of(mistakes)[0], build)

    def _explanations_of(self, found: Found) -> list[Explanation]:
        return [self.explanation_of(mistakes) for mistakes in found.values()]

    def is_joined_as_drawn(self, index: int) -> bool:
        """Whether a reading shows two contacts of one net joined as drawn."""
        reading, net_of = self.readings[index], self.drawn.net_of
        return is_short(reading.entry) and net_of[reading.red[0]] == net_of[reading.black[0]]

    # -- whole faces ------------------------------------------------------------------------------

    def _whole_faces(self) -> list[Explanation]:
        """The whole-face mistakes that explain all readings by themselves, likeliest first."""
        found: Found = {}
        start = self.single.start
        for end in self.drawn.harness.job.ends:
            for face in self.single.suppose.faces(start, end):
                if not start.add(face, 0)[1]:
                    self.sets.keep(found, (face,))
        return sorted(self._explanations_of(found), key=lambda each: each.cost)

    def _faces_and_others(self, faces: list[Explanation], failed: int) -> list[Explanation]:
        """Whole faces, and where few readings failed single mistakes that explain them too."""
        self.variants = []
        alone = self.sets.singles(self.evidence.failing) if failed <= ALONE_UP_TO else {}
        known = {face.build.signature() for face in faces}
        others = [
            self.explanation_of(mistakes) for metal, mistakes in alone.items() if metal not in known
        ]
        return sorted([*faces, *others], key=_fewest_left)[:KEPT]

    # -- islands ----------------------------------------------------------------------------------

    def _of_island(self, island: int) -> list[Mistakes]:
        """The likeliest sets that explain an island: of one, else of two, else of three."""
        found = self.sets.singles(island) or self.sets.pairs(island)
        if not found and self._nets_of(island) <= THREE_UP_TO:
            found = self.sets.threes(island)
        return sorted(found.values(), key=self.evidence.cost_of)[:KEPT]

    def _nets_of(self, island: int) -> int:
        """How many nets the readings of an island concern."""
        points = chain.from_iterable(self.readings[k].points for k in ones_of(island))
        return len({self.drawn.net_of[a] for a in points})

    def _combined(self, parts: list[list[Mistakes]]) -> list[Explanation]:
        """The likeliest sets of all islands put together."""
        if not parts:
            return []
        self._note_variants(parts)
        share = _share(len(parts))
        combos = product(*(part[:share] for part in parts))
        together = (tuple(chain.from_iterable(combo)) for combo in combos)
        likeliest = sorted(together, key=self.evidence.cost_of)[:KEPT]
        return sorted((self.explanation_of(mistakes) for mistakes in likeliest), key=_fewest_left)

    def _note_variants(self, parts: list[list[Mistakes]]) -> None:
        """All sets of the first island that has several, with the likeliest of the others."""
        several = [place for place, part in enumerate(parts) if len(part) > 1]
        if not several:
            return
        first = several[0]
        others = [part[0] for place, part in enumerate(parts) if place != first]
        rest = tuple(chain.from_iterable(others))
        self.variants = [self.explanation_of((*mistakes, *rest)) for mistakes in parts[first]]

    def _is_wide(self) -> bool:
        """Whether more nets failed than any two mistakes other than a whole face concern."""
        met: set[int] = set()
        apart = 0
        for index in ones_of(self.evidence.failing):
            plain = self.evidence.plain[index]
            if plain is None:
                continue
            nets = {self.drawn.net_of[plain.a], self.drawn.net_of[plain.b]}
            if met.isdisjoint(nets):
                met |= nets
                apart += 1
        return apart > NETS_OF_TWO


def _fewest_left(explanation: Explanation) -> tuple[int, float]:
    """The order of explanations: the fewest readings unexplained, then the likeliest."""
    return len(explanation.unexplained), explanation.cost


def _share(islands: int) -> int:
    """How many explanations of each island are put together with those of the others.

    So many that at most 64 combinations are made.
    """
    if islands == 1:
        return KEPT
    return next((share for most, share in SHARES if islands <= most), 1)
