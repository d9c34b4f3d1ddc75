"""What leads from the many nets under one probe to one other net, reckoned as one tie.

A hub is a net to which others lead that have no other tie: the chassis, for a hundred loads.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from typing import Any, NamedTuple

from wiremap.model import Span

Edge = tuple[int, int, Span]  # two nets and the ohms between them
MOST_KNOWN = 64  # combs whose bundles are kept
LEAST = 4  # nets that lead to one other and are bundled


class Bundle(NamedTuple):
    """What leads from a comb to one hub: one of its nets, how many lead there, their siemens."""

    net: int
    nets: int
    low: float  # siemens by the low ends of the bands of ohms, so the more of both
    high: float


class Bundles:
    """The bundles of combs as drawn, each comb once.

    `tied` are the nets at which a tie ends; `spans` are for each net that leads to one other net
    alone the ohms of its ties.
    """

    def __init__(
        self,
        tied: frozenset[int],
        hubs: Mapping[int, int],
        spans: Mapping[int, Sequence[Span]],
    ) -> None:
        self.tied = tied
        leading: dict[int, list[int]] = defaultdict(list)
        for net, hub in hubs.items():
            if all(span.low for span in spans[net]):
                leading[hub].append(net)
        self._leading = {hub: frozenset(of) for hub, of in leading.items() if len(of) >= LEAST}
        bundled = [net for of in self._leading.values() for net in of]
        self._low = {net: sum(inverse(span.low) for span in spans[net]) for net in bundled}
        self._high = {net: sum(inverse(span.high) for span in spans[net]) for net in bundled}
        self._linked: dict[frozenset[int], frozenset[int]] = {}
        self._known: dict[frozenset[int], Mapping[int, Bundle]] = {}

    def linked(self, comb: frozenset[int]) -> frozenset[int]:
        """Those of a comb's nets at which a tie ends."""
        if comb not in self._linked:
            _make_room(self._linked)
            self._linked[comb] = self.tied & comb
        return self._linked[comb]

    def others(self, comb: frozenset[int]) -> frozenset[int]:
        """The nets of a comb that are in no bundle."""
        return comb - self._low.keys()

    def of(self, comb: frozenset[int]) -> Mapping[int, Bundle]:
        """For each hub what leads there from a comb."""
        if comb not in self._known:
            _make_room(self._known)
            here = {hub: sorted(comb & of) for hub, of in self._leading.items()}
            self._known[comb] = {hub: self._bundle(nets) for hub, nets in here.items() if nets}
        return self._known[comb]

    def _bundle(self, nets: Sequence[int]) -> Bundle:
        low, high = (sum(map(of.__getitem__, nets)) for of in (self._low, self._high))
        return Bundle(nets[0], len(nets), low, high)

    def unchanged(self, comb: frozenset[int], ends: AbstractSet[int]) -> Iterator[Edge]:
        """What leads from a comb to each hub, without what leads there from certain nets."""
        gone = sorted(ends & comb & self._low.keys())
        for hub, bundle in self.of(comb).items():
            away = [net for net in gone if net in self._leading[hub]]
            if len(away) < bundle.nets:
                low = bundle.low - sum(map(self._low.__getitem__, away))
                high = bundle.high - sum(map(self._high.__getitem__, away))
                # rounding may leave the high end below the low one
                yield bundle.net, hub, Span(_ohms(low), max(_ohms(low), _ohms(high)))


def inverse(ohms: float) -> float:
    """Siemens of ohms, and ohms of siemens."""
    return 1 / ohms if ohms else math.inf


def _ohms(siemens: float) -> float:
    """The ohms of what is left of a sum of siemens, which rounding may leave below nothing."""
    return inverse(siemens) if siemens > 0 else math.inf


def _make_room(known: dict[frozenset[int], Any]) -> None:
    if len(known) > MOST_KNOWN:
        known.clear()
