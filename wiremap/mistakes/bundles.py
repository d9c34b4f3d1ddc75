"""What leads from the many nets under one probe to one other net, as one tie."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from typing import Any, NamedTuple

from wiremap.model import Span

Edge = tuple[int, int, Span]  # two nets and the ohms between them
MOST_KNOWN = 64  # combs whose bundles are kept


class Lead(NamedTuple):
    """The one net that all ties of a net lead to, and their siemens from low and from high ohms."""

    hub: int
    low: float
    high: float


class Bundle(NamedTuple):
    """What leads from a comb to one hub: one of its nets, how many lead there, their siemens."""

    net: int
    nets: int
    low: float
    high: float

    def without(self, leads: Sequence[Lead]) -> Span | None:
        """The ohms of the others side by side; None if no others lead there."""
        if len(leads) == self.nets:
            return None
        least = _ohms(self.low - sum(lead.low for lead in leads))
        return Span(least, max(least, _ohms(self.high - sum(lead.high for lead in leads))))


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
        self.leads = {
            net: Lead(hub, sum(1 / s.low for s in spans[net]), sum(1 / s.high for s in spans[net]))
            for net, hub in hubs.items()
            if all(s.low for s in spans[net])
        }
        self._linked: dict[frozenset[int], frozenset[int]] = {}
        self._known: dict[frozenset[int], tuple[Mapping[int, Bundle], Sequence[int]]] = {}

    def linked(self, comb: frozenset[int]) -> frozenset[int]:
        """Those of a comb's nets at which a tie ends."""
        if comb not in self._linked:
            _make_room(self._linked)
            self._linked[comb] = self.tied & comb
        return self._linked[comb]

    def of(self, comb: frozenset[int]) -> Mapping[int, Bundle]:
        """For each hub what leads there from a comb."""
        return self._sorted(comb)[0]

    def others(self, comb: frozenset[int]) -> Sequence[int]:
        """The nets of a comb that lead to more than one net, or to none, or at 0 ohm."""
        return self._sorted(comb)[1]

    def _sorted(self, comb: frozenset[int]) -> tuple[Mapping[int, Bundle], Sequence[int]]:
        if comb not in self._known:
            _make_room(self._known)
            found: dict[int, Bundle] = {}
            for net in sorted(comb & self.leads.keys()):
                hub, low, high = self.leads[net]
                _, count, lows, highs = found.get(hub, (net, 0, 0.0, 0.0))
                found[hub] = Bundle(net, count + 1, lows + low, highs + high)
            self._known[comb] = found, sorted(comb - self.leads.keys())
        return self._known[comb]

    def unchanged(self, comb: frozenset[int], ends: AbstractSet[int]) -> Iterator[Edge]:
        """What leads from a comb to each hub, without what leads there from certain nets."""
        gone = [self.leads[net] for net in ends & comb if net in self.leads]
        for hub, bundle in self.of(comb).items():
            ohms = bundle.without([lead for lead in gone if lead.hub == hub])
            if ohms is not None:
                yield bundle.net, hub, ohms


def _ohms(siemens: float) -> float:
    return 1 / siemens if siemens > 0 else math.inf


def _make_room(known: dict[frozenset[int], Any]) -> None:
    if len(known) > MOST_KNOWN:
        known.clear()
