"""Returns are told apart by what they serve.

A restricted return goes where its circuits went, or nowhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from wiremap.model import Address, Cavity
from wiremap.propose.comparison import Comparison, refusal
from wiremap.propose.doubt import Doubt, DoubtKind
from wiremap.propose.sides import Contacts, Edge, Generations
from wiremap.propose.weighing import weigh
from wiremap.trade.functions import FUNCTIONS

RETURNS = frozenset(slug for slug, known in FUNCTIONS.items() if known.electrical == "ground")
RETURNS |= {"sensor-return", "shield"}
FOLLOWS = 100  # weight of a served contact whose partner the other return serves
MOST_COUNTED = 5  # such contacts that are weighed
MOST_SERVED_COUNTED = 20  # of equals the return that serves more goes first, up to so many
MOST_NAMED = 4  # contacts told by address in a reason
CLASSES_MEANT = MappingProxyType(
    {"lighting": frozenset({"lamp"}), "data": frozenset({"bus", "data"})}
)  # what a return serves where its paper says so by a word and not by numbers
_RANGE = re.compile(r"(\d+)-(\d+)")


def served(address: Address, contacts: Contacts) -> frozenset[Address] | None:
    """The contacts that a return names as its own; None where it serves its whole connector."""
    cavity = contacts[address]
    meant = CLASSES_MEANT.get(cavity.reading.qualifier("serves") or "")
    if meant and not cavity.serves:
        return frozenset(_of_classes(address.end, contacts, meant))
    names = _names(cavity)
    if not names:
        return None
    points = {Address(address.end, name) for name in names}
    return frozenset(point for point in points if point in contacts and point != address)


def _of_classes(end: str, contacts: Contacts, classes: frozenset[str]) -> Iterator[Address]:
    for point, cavity in contacts.items():
        if point.end == end and FUNCTIONS[cavity.function].electrical in classes:
            yield point


def _names(cavity: Cavity) -> list[str]:
    serves = cavity.reading.qualifier("serves")
    if cavity.serves or not serves:
        return list(cavity.serves)
    names: list[str] = []
    for part in serves.split(","):
        run = _RANGE.fullmatch(part.strip())
        if run is None:
            names.append(part.strip())
        else:
            names += map(str, range(int(run[1]), int(run[2]) + 1))
    return names


@dataclass(frozen=True, slots=True)
class PartnersSoFar:
    """The partner of each old and each new contact that have found each other so far."""

    sides: Generations
    of_old: Mapping[Address, Address]
    of_new: Mapping[Address, Address]

    def weigh(self, edge: Edge) -> Comparison:
        """Compare two returns, by what they serve where a paper tells it."""
        comparison = weigh(self.sides, edge)
        old = served(edge.old, self.sides.old)
        new = served(edge.new, self.sides.new)
        if comparison.refused or (old is None and new is None):
            return comparison
        carried = self._carried(edge, old, new)
        if not carried:
            which = edge.new if old is None else edge.old
            return refusal(f"{which} serves circuits of its own, and none of them goes there")
        width = max(len(old or ()), len(new or ()))
        weight = FOLLOWS * min(len(carried), MOST_COUNTED) + min(width, MOST_SERVED_COUNTED)
        reasons = (*comparison.reasons, _serves_words(carried))
        comparison = replace(comparison, weight=comparison.weight + weight, reasons=reasons)
        return self._restricted(edge, comparison)

    def _restricted(self, edge: Edge, comparison: Comparison) -> Comparison:
        """No clash of functions for a return that one paper calls restricted, one a power ground.

        That both serve the same circuits has settled it.
        """
        functions = {cavity.function for cavity in self.sides.cavities(edge)}
        if functions != {"power-ground", "restricted-ground"}:
            return comparison
        hard = tuple(doubt for doubt in comparison.hard if doubt.kind != DoubtKind.FUNCTION)
        soft = (*comparison.soft, Doubt("one paper restricts what it serves"))
        return replace(comparison, hard=hard, soft=soft)

    def _carried(
        self, edge: Edge, old: frozenset[Address] | None, new: frozenset[Address] | None
    ) -> list[Address]:
        """The contacts that one return serves whose partners the other serves.

        `old` and `new` are what each serves; where it is None, its whole connector.
        """
        if new is None:
            return sorted(point for point in old or () if self._goes_to_end(point, edge.new.end))
        carried = []
        for point in sorted(new):
            came = self.of_new.get(point)
            if came is None:
                continue
            serves = came in old if old is not None else came.end == edge.old.end
            if serves:
                carried.append(point)
        return carried

    def _goes_to_end(self, point: Address, end: str) -> bool:
        return point in self.of_old and self.of_old[point].end == end


def _serves_words(carried: list[Address]) -> str:
    named = ", ".join(carried[:MOST_NAMED])
    if len(carried) > MOST_NAMED:
        named += " and more"
    return f"it serves {named}, which go there"
