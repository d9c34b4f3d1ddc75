"""Single mistakes that explain failed readings, and the readings that they tie together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

from wiremap.diagnose.candidates import Suppose
from wiremap.diagnose.one_more import Base
from wiremap.diagnose.weigh import NO_LIMIT, Evidence
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.face_read import FaceRead
from wiremap.mistakes.mistake import Mistake
from wiremap.ringout.masks import Masks, ones_of

ROUGH = 6  # good readings that one of several overlapping mistakes may break by itself
NET_PAIR = 2  # a reading of so many nets ties those that fail at them; a comb does not


class Singles:
    """Every single mistake that explains a failed reading of a harness as drawn."""

    def __init__(self, drawn: Drawn, evidence: Evidence) -> None:
        self.drawn, self.evidence = drawn, evidence
        self.failing = evidence.failing
        self.suppose = Suppose(evidence)
        self.start = Base(evidence, (), drawn.sound, evidence.failing)
        self._most = self.failing.bit_count() + ROUGH
        self.broken: Masks[Mistake] = Masks()  # good readings that each breaks, as far as is known

    @cached_property
    def left(self) -> Mapping[Mistake, int]:
        """Each of them, and the readings that it leaves unexplained, likeliest first."""
        found = self._supposed()
        self._add_behind_parts(found)
        self.broken = Masks((m, left & ~self.failing) for m, left in found.items())
        kept = {m: left for m, left in found.items() if self._is_kept(m, left)}
        order = sorted(kept, key=lambda m: (kept[m].bit_count(), self.evidence.cost(m)))
        return {m: kept[m] for m in order}

    def _supposed(self) -> dict[Mistake, int]:
        found: dict[Mistake, int] = {}
        for index in ones_of(self.failing):
            for mistake in self.suppose.candidates(self.start, index):
                if mistake not in found:
                    most = NO_LIMIT if isinstance(mistake, FaceRead) else self._most
                    found[mistake] = self.start.add(mistake, most)[1]
        return found

    def _add_behind_parts(self, found: dict[Mistake, int]) -> None:
        """What lies behind parts and loads, if it explains something and breaks nothing."""
        most = self.failing.bit_count() - 1
        for mistake in self.suppose.behind_parts(self.failing):
            if mistake in found:
                continue
            left = self.start.add(mistake, most)[1]
            if not left & ~self.failing:
                found[mistake] = left

    def _is_kept(self, mistake: Mistake, left: int) -> bool:
        if not self.failing & ~left:
            return False
        return isinstance(mistake, FaceRead) or left.bit_count() <= self._most

    # -- islands ----------------------------------------------------------------------------------

    def islands(self) -> list[int]:
        """Failed readings in groups that a mistake, or a net, ties together."""
        groups = [1 << k for k in ones_of(self.failing)]
        for mask in (*self._explained_together(), *self._at_one_net()):
            groups = _joined(groups, mask)
        return sorted(groups, key=_lowest)

    def _explained_together(self) -> Iterator[int]:
        """The failed readings that one mistake explains which breaks nothing.

        A whole face may break fewer than it explains.
        """
        for mistake, left in self.left.items():
            explained = self.failing & ~left
            harm = (left & ~self.failing).bit_count()
            of_face = isinstance(mistake, FaceRead) and harm < explained.bit_count()
            if not harm or of_face:
                yield explained

    def _at_one_net(self) -> Iterator[int]:
        """The failed readings at each net; combs apart."""
        found: Masks[int] = Masks()
        for index in ones_of(self.failing):
            reading = self.evidence.readings[index]
            nets = {self.drawn.net_of[a] for a in reading.points}
            if len(nets) > NET_PAIR:
                continue
            for net in nets:
                found[net] |= 1 << index
        yield from found.values()


def _joined(groups: list[int], mask: int) -> list[int]:
    """The groups with all that a mask meets made one."""
    met = [group for group in groups if group & mask]
    if len(met) < 2:
        return groups
    apart = [group for group in groups if not group & mask]
    return [*apart, sum(met)]


def _lowest(group: int) -> int:
    return group & -group
