"""A build with one more mistake: only the readings that the mistake can change are weighed anew."""

from __future__ import annotations

from collections.abc import Collection
from functools import cached_property
from itertools import product

from wiremap.diagnose.weigh import NO_LIMIT, Evidence
from wiremap.mistakes.build import Build
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.touch import Touch
from wiremap.ringout.masks import EMPTY


class Base:
    """A build to which one more mistake is added, and what it leaves to explain."""

    def __init__(
        self, evidence: Evidence, mistakes: tuple[Mistake, ...], build: Build, left: int
    ) -> None:
        self.evidence, self.mistakes = evidence, mistakes
        self.build, self.left = build, left

    @cached_property
    def confirmed(self) -> frozenset[str]:
        """Points of which a beep was read that this build explains."""
        found: set[str] = set()
        for index, plain in enumerate(self.evidence.plain):
            if plain is not None and plain.short and not plain.open and not self.left >> index & 1:
                found.update((plain.a, plain.b))
        return frozenset(found)

    def add(
        self, mistake: Mistake, most: int = NO_LIMIT, doubtful: int = EMPTY
    ) -> tuple[Build, int]:
        """The build with this mistake too, and what it leaves unexplained, given up beyond `most`.

        What this build leaves, and the `doubtful` readings besides, are looked at first, as more of
        them may be left than `most`.
        """
        evidence, after = self.evidence, mistake.on(self.build)
        doubtful |= self.left
        if doubtful.bit_count() > most:
            left = evidence.check(after, self.left, doubtful, most)
            if left.bit_count() > most:
                return after, left
        points = mistake.changes(self.build)
        mask = self._between(points) if isinstance(mistake, Touch) else evidence.at(points)
        nets_of_parts = evidence.tied(after)
        if not self._concerns_parts(after, nets_of_parts, points):
            return after, self._check(after, points, mask, self.left, most)
        mask |= evidence.at(points)
        if self._joins_parts_alike(after):
            return after, self._check(after, points, mask, self.left, most)
        rest = self.at_nets_of_parts
        for net in nets_of_parts - self.nets_of_parts:
            rest |= evidence.at(self.build.members.get(net, ()))
        rest &= ~mask
        # the readings in `rest` are checked last, as they need ohms worked out
        left = self._check(after, points, mask, self.left & ~rest, most)
        if left.bit_count() > most:
            return after, left
        return after, evidence.check(after, left, rest, most)

    def _concerns_parts(
        self, after: Build, nets_of_parts: frozenset[int], points: Collection[str]
    ) -> bool:
        """Whether a change can show at a reading through parts."""
        if after.ties is not self.build.ties:
            return True
        if not self.nets_of_parts and not nets_of_parts:
            return False
        return any(
            self.build.net(point) in self.nets_of_parts or after.net(point) in nets_of_parts
            for point in points
        )

    def _joins_parts_alike(self, after: Build) -> bool:
        """Whether all parts lie between the same nets, so that nothing changes through them."""
        before = self.build
        same = after.ties is before.ties and after.changed_ties.number == before.changed_ties.number
        return same and tuple(after.diodes()) == tuple(before.diodes())

    def _check(self, after: Build, points: Collection[str], mask: int, left: int, most: int) -> int:
        """What a build leaves unexplained in which only these points changed their net.

        `mask` has all readings at those points.  Readings between points of nets that no part links
        are settled all at once: those within a net as built must fit a short, the others an open.
        """
        out = left & ~mask
        if out.bit_count() > most:
            return out
        evidence, changed, linked = self.evidence, frozenset(points), after.linked
        within, ohmic = self._at_changed(after, changed, linked)
        ohmic |= evidence.not_plain & ~evidence.bare_combs
        if mask & evidence.bare_combs:
            within |= self._still_shorted(changed)
            ohmic |= evidence.bare_combs & self._at_linked(linked)
        good = (within & evidence.short) | (~within & evidence.open)
        out |= mask & ~ohmic & ~good
        ohmic &= mask
        if not ohmic or out.bit_count() > most:
            return out
        return evidence.check(after, out, ohmic, most)

    def _at_changed(
        self, after: Build, changed: Collection[str], linked: Collection[int]
    ) -> tuple[int, int]:
        """The readings at changed points within one net as built now, and those at linked nets.

        Of the latter the ohms must be worked out.
        """
        evidence, members = self.evidence, self.build.members
        by_pair = evidence.by_pair
        nets: dict[int, list[str]] = {}
        for point in changed:
            nets.setdefault(after.net(point), []).append(point)
        within = ohmic = EMPTY
        for net, mine in nets.items():
            here = [other for other in members.get(net, ()) if other not in changed] + mine
            for point in mine:
                for other in here:
                    within |= by_pair[point, other]
            within |= evidence.between_combs(mine, here)
            if net in linked:
                ohmic |= evidence.at(mine)
        return within, ohmic

    @cached_property
    def shorted(self) -> dict[int, int]:
        """For each net of this build the bare combs that have it under both probes."""
        found: dict[int, int] = {}
        for net, points in self.build.members.items():
            mask = self.evidence.between_combs(points, points)
            if mask:
                found[net] = mask
        return found

    def _still_shorted(self, changed: Collection[str]) -> int:
        """The bare combs that have one net under both probes even without these points."""
        found, members = EMPTY, self.build.members
        lost = {self.build.net(a) for a in changed}
        for net, mask in self.shorted.items():
            if net not in lost:
                found |= mask
                continue
            rest = [a for a in members[net] if a not in changed]
            found |= self.evidence.between_combs(rest, rest)
        return found

    def _at_linked(self, linked: frozenset[int]) -> int:
        """The readings at the nets of this build that a part touches, and at these linked nets."""
        if not linked and not self.nets_of_parts:
            return EMPTY
        members = self.build.members
        return self.at_nets_of_parts | self.evidence.at(
            point for net in linked - self.nets_of_parts for point in members.get(net, ())
        )

    @cached_property
    def nets_of_parts(self) -> frozenset[int]:
        """The nets that a part touches."""
        return self.evidence.tied(self.build)

    @cached_property
    def at_nets_of_parts(self) -> int:
        """The readings at the nets that a part touches."""
        members = self.build.members
        return self.evidence.at(a for n in self.nets_of_parts for a in members.get(n, ()))

    def _between(self, points: Collection[str]) -> int:
        """The readings that two nets can change by touching: between them, combs with both."""
        nets: dict[int, list[str]] = {}
        for point in points:
            nets.setdefault(self.build.net(point), []).append(point)
        if len(nets) < 2:
            return EMPTY
        one, two = nets.values()
        mask = self.evidence.at(one) & self.evidence.at(two) & self.evidence.not_plain
        for pair in product(one, two):
            mask |= self.evidence.by_pair[pair]
        return mask
