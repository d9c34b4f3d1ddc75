"""Contacts that surely no longer read with their own circuit when exchanged or laid astray.

Of two circuits that no tie joins straight the ohms are at least those of all ties at the one side
by side, and on top those of all ties at the other: what lies between may be one metal (Rayleigh's
law: no resistance rises when another falls).  So contacts stand in a row by the siemens of their
ties, and one place in that row parts those that surely read apart from the others.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property, partial

from wiremap.evidence.meter import METER_OHMS, METER_SHARE
from wiremap.mistakes.bundles import inverse
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.ringout.masks import EMPTY, Masks, joined
from wiremap.ringout.probe import Probe

SURELY = 1 + 1e-6  # so much more than the limit, as sums of fractions are rounded
NO_LIMIT = math.inf


class Row:
    """Things in the order of their siemens, each with its bit."""

    def __init__(self, known: Iterable[tuple[float, int]]) -> None:
        ranked = sorted(known)
        self.siemens = [siemens for siemens, _ in ranked]
        self.first = [0]  # at place n the first n of them as a set
        for _, bit in ranked:
            self.first.append(self.first[-1] | bit)

    def up_to(self, holds: Callable[[float], bool]) -> int:
        """The things for which something holds that holds for all of fewer siemens too."""
        return self.first[bisect_left(self.siemens, True, key=lambda each: not holds(each))]


class Parting:
    """Tells which exchanges and strays a through-reading surely shows.

    `through` gives a through-reading of each contact that has one; sets of contacts are by their
    places among the points, sets of nets by their numbers.
    """

    def __init__(self, drawn: Drawn, through: Mapping[str, Probe]) -> None:
        self.drawn = drawn
        self.bits = Masks((point, 1 << place) for place, point in enumerate(drawn.points))
        self.limits = {a: self._limit(probe) for a, probe in through.items()}
        self.here: dict[str, float] = defaultdict(float)  # siemens of the ties at a point
        self.poles: dict[int, list[str]] = defaultdict(list)  # the points of a net with ties
        self.unsure: set[int] = set()  # nets that a tie joins with themselves, and those of bolts
        self._read_ties()

    def _limit(self, probe: Probe) -> float:
        """From these ohms on a through-reading surely shows that its contacts read apart."""
        if probe.expect == Shows.BEEP:
            return self.drawn.beeper.silent_ohms * SURELY
        assert probe.high is not None
        return (probe.high + METER_OHMS) / (1 - METER_SHARE) * SURELY

    def _read_ties(self) -> None:
        net_of = self.drawn.net_of
        for one, two in self.drawn.bolts:
            self.unsure |= {net_of[one], net_of[two]}
        for tie in self.drawn.ties:
            if tie.diode:
                continue
            if net_of[tie.a] == net_of[tie.b]:
                self.unsure.add(net_of[tie.a])
            for point in (tie.a, tie.b):
                if point not in self.here:
                    self.poles[net_of[point]].append(point)
                self.here[point] += inverse(tie.ohms.low)

    def _elsewhere(self, point: str) -> float:
        """The siemens of the ties at the other points of a contact's net."""
        poles = self.poles.get(self.drawn.net_of[point], ())
        return sum(self.here[a] for a in poles if a != point)

    # -- exchanges --------------------------------------------------------------------------------

    @cached_property
    def _rows(self) -> Mapping[float, tuple[Row, Row]]:
        """By the limit of their through-reading the contacts with all ties of their net at them, by
        the siemens of those, and the contacts with none at them, by the siemens of the others.
        """
        found: dict[float, tuple[list[tuple[float, int]], list[tuple[float, int]]]] = {}
        for point, bit in self.bits.items():
            if self.drawn.net_of[point] in self.unsure:
                continue
            limit = self.limits.get(point, NO_LIMIT)
            at, apart = found.setdefault(limit, ([], []))
            here, elsewhere = self.here[point], self._elsewhere(point)
            if not here:
                apart.append((elsewhere, bit))
            elif not elsewhere:
                at.append((here, bit))
        return {limit: (Row(at), Row(apart)) for limit, (at, apart) in found.items()}

    def exchanged(self, point: str) -> int:
        """The contacts whose exchange with this one surely shows."""
        net = self.drawn.net_of[point]
        if net in self.unsure:
            return EMPTY
        here, elsewhere = self.here[point], self._elsewhere(point)
        own, found = self.limits.get(point, NO_LIMIT), EMPTY
        for others, (at, apart) in self._rows.items():
            limit = min(own, others)
            if limit < NO_LIMIT:
                found |= at.up_to(partial(_reads_at, here, elsewhere, limit))
                found |= apart.up_to(partial(_reads_apart, here, elsewhere, limit))
        return found & ~self._points_beside(net)

    def _points_beside(self, net: int) -> int:
        """The contacts of a net, and of those that a tie joins straight with it."""
        nets = (net, *self.drawn.network.joined.get(net, ()))
        return joined(self.bits[a] for n in nets for a in self.drawn.members.get(n, ()))

    # -- strays -----------------------------------------------------------------------------------

    @cached_property
    def _nets(self) -> Row:
        sums = ((sum(self.here[a] for a in self.poles.get(n, ())), n) for n in self.drawn.members)
        return Row((siemens, 1 << net) for siemens, net in sums if net not in self.unsure)

    def laid(self, wire: str) -> int:
        """The nets into which this wire surely cannot be laid without showing."""
        net = self.drawn.net_of[wire]
        limit = self.limits.get(wire, NO_LIMIT)
        if net in self.unsure or limit == NO_LIMIT:
            return EMPTY
        here, elsewhere = self.here[wire], self._elsewhere(wire)
        found = self._nets.up_to(partial(_reads_apart, here, elsewhere, limit))
        return found & ~joined(1 << n for n in self.drawn.network.joined.get(net, ()))


def _reads_at(here: float, elsewhere: float, limit: float, siemens: float) -> bool:
    """Whether a contact exchanged with one that has all ties of its net reads so many ohms."""
    return _ohms(elsewhere + siemens, here) >= limit


def _reads_apart(here: float, elsewhere: float, limit: float, siemens: float) -> bool:
    """Whether a contact exchanged with one that has no ties reads so many ohms."""
    return _ohms(elsewhere, here + siemens) >= limit


def _ohms(one: float, other: float) -> float:
    """Two conductances one after the other, as ohms; infinite where either is none."""
    return inverse(one) + inverse(other)
