"""Which ground is a supply's own: by what papers say, by where wires come from, by their names."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from itertools import product

from wiremap.model import Address, Cavity, Job
from wiremap.propose.returns import served

_WORD = re.compile(r"[^\W_]+")
PLAIN = frozenset({"supply", "feed", "power", "battery", "ground", "earth", "plus", "minus", "v"})


class Told(IntEnum):
    """What is told of a ground and a supply; the greater, the surer that it is its own."""

    OTHERS = 0  # a paper names others that the ground serves
    NOTHING = 1
    ONE_PLUG = 2  # both come out of one plug of the machine
    NAMED = 3  # a paper says that the ground serves this supply


@dataclass(frozen=True, slots=True, order=True)
class Belonging:
    """How surely a ground is a supply's own: the greater, the surer."""

    told: Told
    words: int  # how many words their names have in common


class OwnGrounds:
    """The grounds of a job's contacts, across its circuits.

    A contact stands for all that its circuits join it with: a feed of the machine comes back by the
    ground that its unit's contact uses.
    """

    def __init__(self, job: Job) -> None:
        self.job = job
        self.contacts: Mapping[Address, Cavity] = {
            Address(end.name, cavity.name): cavity
            for end in job.ends.values()
            for cavity in end.pinout.cavities.values()
        }

    def own(self, supply: Address, grounds: Sequence[Address]) -> list[Address]:
        """Those of some grounds that are most surely a supply's own; all where nothing tells."""
        found = [self.belongs(supply, ground) for ground in grounds]
        return [g for g, each in zip(grounds, found, strict=True) if each == max(found)]

    def belongs(self, supply: Address, ground: Address) -> Belonging:
        """How surely a ground is a supply's own.

        Both out of one plug of the machine, as a unit's feed and its minus are, say more than
        nothing (common practice); of equals the one whose name has most words of the supply's.
        """
        pairs = [
            (one, two)
            for one, two in product(self._joined(supply), self._joined(ground))
            if one.end == two.end
        ]
        words = sum(len(self._words(one) & self._words(two)) for one, two in pairs)
        return Belonging(self._told(pairs), words)

    def _told(self, pairs: Sequence[tuple[Address, Address]]) -> Told:
        served_by = [(one, served(two, self.contacts)) for one, two in pairs]
        said = [one in serves for one, serves in served_by if serves is not None]
        if said:
            return Told.NAMED if any(said) else Told.OTHERS
        plugs = (self.job.ends[one.end].is_machine for one, _ in pairs)
        return Told.ONE_PLUG if any(plugs) else Told.NOTHING

    def _joined(self, address: Address) -> list[Address]:
        """A contact and those of other ends that circuits of the job join it with."""
        found = {address: None}
        for circuit in self.job.circuits:
            if address in circuit.join:
                others = (p for p in circuit.join if p in self.contacts and p.end != address.end)
                found |= dict.fromkeys(others)
        return list(found)

    def _words(self, address: Address) -> set[str]:
        """What a contact's name says of it beyond what every supply or ground may be called."""
        words = _WORD.findall(self.contacts[address].signal.casefold())
        return {word for word in words if word not in PLAIN}
