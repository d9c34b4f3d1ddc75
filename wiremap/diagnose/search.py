"""The fewest mistakes that fit the readings.
Failed readings that one mistake could explain together form an island; for each island every single
mistake is tried, then pairs, then three.  The second mistake is supposed on the build that the
first one made, so that it may lie under it.  Sets that give the same metal count as one.  What
leaves a reading or two unexplained is kept in case nothing fits.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from wiremap.diagnose.candidates import Suppose
from wiremap.diagnose.explain import Explanation
from wiremap.diagnose.weigh import Base, Evidence, bits
from wiremap.evidence import is_short
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.face_read import FaceRead
from wiremap.mistakes.mistake import Mistake, made
from wiremap.ringout.readings import Taken

KEPT = 40  # explanations that the next probe is chosen to tell apart
PAIRS_TRIED = 12_000  # pairs of mistakes looked at for one island
FIRSTS = 250  # first mistakes on which a second is supposed
THREES_TRIED = 12_000
THREE_UP_TO = 12  # nets of an island for which three mistakes are tried
ROUGH = 6  # good readings that one of several overlapping mistakes may break by itself
MANY = 4  # failed readings from which a whole face that explains them all is not doubted
OF_TWO = 4  # nets that two mistakes concern at most, whole faces apart
NEARLY = 2  # readings left over up to which a set is worth telling when nothing fits

Found = dict[frozenset[frozenset[str]], tuple[Mistake, ...]]


class Search:
    """Looks for sets of mistakes; `explain` gives the best."""

    def __init__(self, drawn: Drawn, readings: Sequence[Taken]) -> None:
        self.drawn = drawn
        self.evidence = Evidence(drawn, readings)
        self.readings = self.evidence.readings
        self.suppose = Suppose(self.evidence)
        self.start = Base(self.evidence, (), drawn.sound, self.evidence.failing)
        self.variants: list[
            Explanation
        ] = []  # all that fits the first island in question, the others at their best
        self.nearly: dict[tuple[Mistake, ...], int] = {}
        self._pool: dict[Mistake, int] | None = None

    # -- single mistakes --------------------------------------------------------------------------

    def pool(self) -> dict[Mistake, int]:
        """Every mistake that explains a failed reading, and what it leaves, likeliest first."""
        if self._pool is None:
            failing = self.evidence.failing
            found: dict[Mistake, int] = {}
            most = failing.bit_count() + ROUGH
            for k in bits(failing):
                for fault in self.suppose.candidates(self.start, k):
                    if fault not in found:
                        found[fault] = self.start.add(
                            fault, 10_000 if isinstance(fault, FaceRead) else most
                        )[1]
            for fault in self.suppose.behind_parts(failing):
                if (
                    fault not in found
                    and not (left := self.start.add(fault, failing.bit_count() - 1)[1]) & ~failing
                ):
                    found[fault] = left
            kept = {
                f: left
                for f, left in found.items()
                if failing & ~left and (isinstance(f, FaceRead) or left.bit_count() <= most)
            }
            order = sorted(kept, key=lambda f: (kept[f].bit_count(), self.evidence.cost(f)))
            self._pool = {f: kept[f] for f in order}
        return self._pool

    def islands(self) -> list[int]:
        """Failed readings in groups that a mistake, or a net, ties together."""
        failing = self.evidence.failing
        groups: list[int] = [1 << k for k in bits(failing)]

        def tie(mask: int) -> None:
            met = [g for g in groups if g & mask]
            if len(met) > 1:
                groups[:] = [g for g in groups if not g & mask]
                groups.append(sum(met))

        for fault, left in self.pool().items():
            harm = (left & ~failing).bit_count()
            if not harm or (isinstance(fault, FaceRead) and harm < (failing & ~left).bit_count()):
                tie(failing & ~left)
        nets: dict[int, int] = {}
        for k in bits(failing):
            t = self.evidence.readings[k]
            here = {self.drawn.net_of[a] for a in (*t.red, *t.black)}
            for n in here if len(here) <= 2 else ():
                nets[n] = nets.get(n, 0) | 1 << k
        for mask in nets.values():
            tie(mask)
        return sorted(groups, key=lambda g: g & -g)

    # -- sets -------------------------------------------------------------------------------------

    def whole_faces(self) -> list[Explanation]:
        """The whole-face mistakes that explain all readings by themselves.

        Of many failed readings the likeliest cause.
        """
        found: Found = {}
        for end in self.drawn.harness.job.ends:
            for fault in self.suppose.faces(self.start, end):
                if not self.start.add(fault, 0)[1]:
                    self._keep(found, (fault,))
        return sorted((self.told(s) for s in found.values()), key=lambda e: e.cost)

    def singles(self, island: int) -> Found:
        """The single mistakes that explain an island and break nothing."""
        others = self.evidence.failing & ~island
        found: Found = {}
        for fault, left in self.pool().items():
            if not left & ~others and island & ~left:
                self._keep(found, (fault,))
            elif (left & ~others).bit_count() <= NEARLY:
                self.nearly.setdefault((fault,), left)
        return found

    def pairs(self, island: int, tried: int = PAIRS_TRIED) -> Found:
        """The pairs of mistakes that explain an island and break nothing."""
        found: Found = {}
        others = self.evidence.failing & ~island
        solved = self.evidence.solved + tried
        for base in self._firsts(island):
            for fault, left in self._seconds(base, island, NEARLY + others.bit_count()):
                tried -= 1
                if not left & ~others:
                    self._keep(found, (*base.mistakes, fault))
                elif (left & ~others).bit_count() <= NEARLY and len(self.nearly) < 4 * KEPT:
                    self.nearly.setdefault((*base.mistakes, fault), left)
            if tried <= 0 or self.evidence.solved > solved:
                break
        return found

    def threes(self, island: int) -> Found:
        """Three mistakes for a small island for which no pair was found."""
        found: Found = {}
        tried, others = THREES_TRIED, self.evidence.failing & ~island
        solved = self.evidence.solved + THREES_TRIED
        best: list[tuple[int, float, int, tuple[Mistake, ...], int]] = []
        for base in self._firsts(island):
            for fault, left in self._seconds(base, island, base.left.bit_count()):
                tried -= 1
                if (left & ~others).bit_count() < (base.left & ~others).bit_count():
                    both = (*base.mistakes, fault)
                    best.append(
                        (
                            (left & ~others).bit_count(),
                            self.evidence.cost_of(both)[0],
                            len(best),
                            both,
                            left,
                        )
                    )
            if tried <= 0 or self.evidence.solved > solved:
                break
        tried = THREES_TRIED
        for *_, both, left in sorted(best)[: FIRSTS // 2]:
            base = Base(self.evidence, both, made(self.drawn, both), left)
            for fault, rest in self._seconds(base, island, others.bit_count()):
                tried -= 1
                if not rest & ~others:
                    self._keep(found, (*both, fault))
            if tried <= 0:
                break
        return found

    def _firsts(self, island: int) -> Iterator[Base]:
        """First mistakes that explain a part of an island, each as a build of its own.

        The most telling first.
        """
        failing, count = self.evidence.failing, 0
        for fault, left in self.pool().items():
            harm = (left & ~failing).bit_count()
            fixed = (island & ~left).bit_count()
            if (
                fixed
                and (harm <= ROUGH or (isinstance(fault, FaceRead) and harm <= fixed))
                and left & ~(failing & ~island)
            ):
                count += 1
                if count > FIRSTS:
                    return
                yield Base(self.evidence, (fault,), self.start.add(fault)[0], left)

    def _seconds(self, base: Base, island: int, most: int) -> Iterator[tuple[Mistake, int]]:
        """One more mistake on a build, for the reading that leaves the fewest to choose from."""
        mine = base.left & ~(self.evidence.failing & ~island)
        for k in sorted(bits(mine), key=lambda k: self._choice(base, k)):
            seen: set[Mistake] = set()
            for fault in self.suppose.candidates(base, k):
                if fault not in seen:
                    seen.add(fault)
                    yield fault, base.add(fault, most)[1]
            if seen:
                return

    def _choice(self, base: Base, k: int) -> tuple[int, int]:
        """How many mistakes could explain a reading, roughly.

        A strange beep fewer than a silence, a comb the most.
        """
        t = self.evidence.readings[k]
        apart = base.build.net(t.red[0]) != base.build.net(t.black[0])
        return (len(t.red) * len(t.black) - 1) * 4 + (0 if apart and is_short(t.entry) else 1), k

    def _keep(self, found: Found, trial: tuple[Mistake, ...]) -> None:
        metal = made(self.drawn, trial).signature()
        if metal not in found or self.evidence.cost_of(trial) < self.evidence.cost_of(found[metal]):
            found[metal] = trial

    # -- all together -----------------------------------------------------------------------------

    def explain(self, *, deep: bool = True) -> list[Explanation]:
        """The best explanations of all failed readings together.

        Without `deep` single mistakes for each island only.
        """
        if self.evidence.failing.bit_count() >= MANY and (faces := self.whole_faces()):
            self.variants = []
            alone = (
                self.singles(self.evidence.failing)
                if self.evidence.failing.bit_count() <= 3 * MANY
                else {}
            )
            return self._merged(faces, alone)
        parts = []
        for island in self.islands():
            found = self.singles(island)
            if not found and deep:
                found = self.pairs(island)
            if not found and deep and self._nets(island) <= THREE_UP_TO:
                found = self.threes(island)
            parts.append(sorted(found.values(), key=self.evidence.cost_of)[:KEPT])
        solved = [p for p in parts if p]
        combined = self._combined(solved)
        if len(solved) == len(parts) and (
            len(parts) == 1 or not deep or not combined[0].unexplained
        ):
            return combined
        if len(parts) > 1 and deep:  # what explains each island may not go together
            whole = [self.told(s) for s in self.pairs(self.evidence.failing).values()]
            if fits := [e for e in whole if not e.unexplained]:
                self.variants = []
                return sorted(fits, key=lambda e: e.cost)[:KEPT]
        told = [self.told(s) for s in self.nearly]
        return sorted([*combined, *told], key=lambda e: (len(e.unexplained), e.cost))[:KEPT]

    def _merged(self, faces: list[Explanation], found: Found) -> list[Explanation]:
        """Whole faces, and what else explains as much: few readings may fail by either."""
        known = {e.build.signature() for e in faces}
        told = [self.told(s) for metal, s in found.items() if metal not in known]
        return sorted([*faces, *told], key=lambda e: (len(e.unexplained), e.cost))[:KEPT]

    def rivals(self, best: Explanation) -> list[Explanation]:
        """Pairs of mistakes that fit as well as the one that was found, on the same readings."""
        if self._is_wide():
            return []
        found = self.pairs(self.evidence.failing, PAIRS_TRIED // 4)
        own = best.build.signature()
        others = [pair for metal, pair in found.items() if metal != own]
        likeliest = sorted(others, key=lambda pair: self.evidence.cost_of(pair)[0])[:KEPT]
        return [self.told(pair) for pair in likeliest]

    def _is_wide(self) -> bool:
        """Whether more nets failed than any two mistakes other than a whole face concern."""
        met: set[int] = set()
        apart = 0
        for k in bits(self.evidence.failing):
            plain = self.evidence.plain[k]
            if plain is None:
                continue
            nets = {self.drawn.net_of[plain.a], self.drawn.net_of[plain.b]}
            if met.isdisjoint(nets):
                met |= nets
                apart += 1
        return apart > OF_TWO

    def _nets(self, island: int) -> int:
        readings = [self.evidence.readings[k] for k in bits(island)]
        return len({self.drawn.net_of[a] for t in readings for a in (*t.red, *t.black)})

    def _combined(self, parts: list[list[tuple[Mistake, ...]]]) -> list[Explanation]:
        if not parts:
            return []
        share = _share(len(parts))
        sets = sorted(
            (tuple(f for s in combo for f in s) for combo in product(*(p[:share] for p in parts))),
            key=self.evidence.cost_of,
        )[:KEPT]
        first = next((i for i, p in enumerate(parts) if len(p) > 1), None)
        if first is not None:
            rest = tuple(f for i, p in enumerate(parts) if i != first for f in p[0])
            self.variants = [self.told((*s, *rest)) for s in parts[first]]
        return sorted((self.told(s) for s in sets), key=lambda e: (len(e.unexplained), e.cost))

    def is_home(self, k: int) -> bool:
        """Whether a reading shows two contacts of one net joined as drawn."""
        t, group = self.readings[k], self.drawn.net_of
        return is_short(t.entry) and group[t.red[0]] == group[t.black[0]]

    def told(self, faults: tuple[Mistake, ...]) -> Explanation:
        """A set of mistakes as an explanation."""
        build = made(self.drawn, faults)
        left = tuple(self.evidence.readings[k] for k in bits(self.evidence.all_left(build)))
        return Explanation(faults, left, self.evidence.cost_of(faults)[0], build)


def _share(islands: int) -> int:
    """How many explanations of each island are put together with those of the others."""
    if islands == 1:
        return KEPT
    if islands <= 3:
        return 4
    return 2 if islands <= 6 else 1
