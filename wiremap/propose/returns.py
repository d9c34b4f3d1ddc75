"""Returns are told apart by what they serve.

A restricted return goes where its circuits went, or nowhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from wiremap.model import Address, Cavity
from wiremap.propose.compare import Comparison, refusal
from wiremap.propose.doubt import Doubt, DoubtKind
from wiremap.propose.sides import Contacts, Generations, PossibleJoint
from wiremap.propose.weighing import weigh
from wiremap.trade.functions import FUNCTIONS

RETURNS = frozenset(slug for slug, known in FUNCTIONS.items() if known.electrical == "ground")
RETURNS |= {"sensor-return", "shield"}
FOLLOWS = 100  # weight of a served circuit that goes the same way, up to MOST of them
MOST = 5
WIDEST = 20  # of equals the return that serves more goes first, up to so many
NAMED = 4  # circuits told by address
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
    said = cavity.reading.qualifier("serves")
    if cavity.serves or not said:
        return list(cavity.serves)
    names: list[str] = []
    for part in said.split(","):
        run = _RANGE.fullmatch(part.strip())
        if run is None:
            names.append(part.strip())
        else:
            names += map(str, range(int(run[1]), int(run[2]) + 1))
    return names


@dataclass(frozen=True, slots=True)
class Course:
    """The circuits found so far: where each old contact goes, and each new one comes from."""

    sides: Generations
    to: Mapping[Address, Address]
    back: Mapping[Address, Address]

    def weigh(self, edge: PossibleJoint) -> Comparison:
        """Compare two returns, by what they serve where a paper tells it."""
        found = weigh(self.sides, edge)
        old = served(edge.old, self.sides.old)
        new = served(edge.new, self.sides.new)
        if found.refused or (old is None and new is None):
            return found
        carried = self._carried(edge, old, new)
        if not carried:
            which = edge.new if old is None else edge.old
            return refusal(f"{which} serves circuits of its own, and none of them goes there")
        width = max(len(old or ()), len(new or ()))
        weight = FOLLOWS * min(len(carried), MOST) + min(width, WIDEST)
        reasons = (*found.reasons, _told(carried))
        found = replace(found, weight=found.weight + weight, reasons=reasons)
        return self._restricted(edge, found)

    def _restricted(self, edge: PossibleJoint, found: Comparison) -> Comparison:
        """What the served circuits settle: a return restricted on one paper only is no clash."""
        functions = {cavity.function for cavity in self.sides.cavities(edge)}
        if functions != {"power-ground", "restricted-ground"}:
            return found
        hard = tuple(doubt for doubt in found.hard if doubt.kind != DoubtKind.FUNCTION)
        soft = (*found.soft, Doubt("one paper restricts what it serves"))
        return replace(found, hard=hard, soft=soft)

    def _carried(
        self, edge: PossibleJoint, old: frozenset[Address] | None, new: frozenset[Address] | None
    ) -> list[Address]:
        """Contacts that it serves whose partners the other return serves."""
        if new is None:
            return sorted(point for point in old or () if self._goes_to(point, edge.new.end))
        carried = []
        for point in sorted(new):
            came = self.back.get(point)
            if came is None:
                continue
            serves = came in old if old is not None else came.end == edge.old.end
            if serves:
                carried.append(point)
        return carried

    def _goes_to(self, point: Address, end: str) -> bool:
        return point in self.to and self.to[point].end == end


def _told(carried: list[Address]) -> str:
    named = ", ".join(carried[:NAMED])
    if len(carried) > NAMED:
        named += " and more"
    return f"it serves {named}, which go there"
