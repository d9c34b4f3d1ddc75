"""The contacts of the two generations that face each other, by address."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import NamedTuple

from wiremap.model import Address, Cavity, Pinout

NamedPinouts = Sequence[tuple[str, Pinout]]  # the name of each end on one side, and its pinout
Contacts = Mapping[Address, Cavity]


class Edge(NamedTuple):
    """An old contact and a new one that might be joined; of groups their ids stand here."""

    old: Address
    new: Address


@dataclass(frozen=True, slots=True)
class Generations:
    """The contacts of both generations, in the order of their papers.

    `old` are the machine's, `new` those of the unit that is fitted.
    `denied` holds the contacts of which a named person has said that they are not one signal, and
    a sentence with who said it, when and how it was found.
    """

    old: Contacts
    new: Contacts
    denied: Mapping[frozenset[Address], str] = field(default_factory=lambda: MappingProxyType({}))

    @classmethod
    def of(cls, old: NamedPinouts, new: NamedPinouts) -> Generations:
        """Every contact of the named pinouts."""
        return cls(_contacts(old), _contacts(new))

    @property
    def points(self) -> tuple[Address, ...]:
        """Every address, the old ones first."""
        return (*self.old, *self.new)

    def mine(self, point: Address) -> Contacts:
        """The contacts of the side that a point belongs to."""
        return self.old if point in self.old else self.new

    def facing(self, point: Address) -> Contacts:
        """The contacts of the other side."""
        return self.new if point in self.old else self.old

    def edge(self, point: Address, facing: Address) -> Edge:
        """A point and one that faces it, the old one first."""
        if point in self.old:
            return Edge(point, facing)
        return Edge(facing, point)

    def cavities(self, edge: Edge) -> tuple[Cavity, Cavity]:
        """The contacts of an edge, the old one first."""
        return self.old[edge.old], self.new[edge.new]

    def edges(self) -> list[Edge]:
        """Every old contact with every new one."""
        return [Edge(old, new) for old in self.old for new in self.new]

    def where(self, keep: Callable[[Cavity], bool]) -> Generations:
        """The contacts that pass a test."""
        old = {point: cavity for point, cavity in self.old.items() if keep(cavity)}
        new = {point: cavity for point, cavity in self.new.items() if keep(cavity)}
        return replace(self, old=old, new=new)

    def without(self, points: Container[Address]) -> Generations:
        """The contacts that are none of these."""
        old = {point: cavity for point, cavity in self.old.items() if point not in points}
        new = {point: cavity for point, cavity in self.new.items() if point not in points}
        return replace(self, old=old, new=new)

    def denial(self, points: Iterable[Address]) -> str:
        """Why just these contacts are not one signal, where somebody has said so; else empty."""
        return self.denied.get(frozenset(points), "")


def _contacts(side: NamedPinouts) -> Contacts:
    contacts = {}
    for end, pinout in side:
        for name, cavity in pinout.cavities.items():
            contacts[Address(end, name)] = cavity
    return contacts
