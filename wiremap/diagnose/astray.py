"""Wires of a bought adapter that do not arrive where the papers of its faces want them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from wiremap.diagnose.adapter_nets import AdapterNets, Groups, one_face
from wiremap.diagnose.as_built import BARRED
from wiremap.diagnose.homes import Home, cavities_of, end_of, homes_of
from wiremap.diagnose.plain_contacts import group_numbers

MOST = 6  # contacts to sweep that are named in one line


@dataclass(frozen=True, slots=True, kw_only=True)
class Astray:
    """A contact of the machine's side that was found apart from where it belongs.

    `home` is where the papers want it, `arrives` where it was found instead, `sweep` what it was
    not read against yet.  Not `sure`: the papers only suppose that it belongs there.
    """

    old: str
    home: tuple[str, ...]
    arrives: tuple[str, ...]
    sweep: tuple[str, ...]
    sure: bool

    @property
    def told(self) -> str:
        """Where it belongs and where it is, in words."""
        belongs = "belongs" if self.sure else "may belong"
        wanted = f"{self.old} {belongs} at {'+'.join(self.home)}"
        if self.arrives:
            return f"misplaced: {wanted} and arrives at {'+'.join(self.arrives)}"
        if not self.sweep:
            return f"missing: {wanted} and arrives nowhere"
        named = ", ".join(self.sweep[:MOST])
        more = f" and {len(self.sweep) - MOST} more" if len(self.sweep) > MOST else ""
        return f"missing: {wanted}; sweep {named}{more}"

    def as_dict(self) -> dict[str, Any]:
        """The wire as plain data."""
        return {
            "contact": self.old,
            "belongs": list(self.home),
            "arrives": list(self.arrives),
            "sweep": list(self.sweep),
            "sure": self.sure,
        }


def astray(nets: AdapterNets, groups: Groups) -> Iterator[Astray]:
    """Every contact of the machine's side that is proven not to be where it belongs."""
    return _Seeker(nets, groups).all()


class _Seeker:
    """Looks for wires in the nets of an adapter as they were read."""

    def __init__(self, nets: AdapterNets, groups: Groups) -> None:
        self.nets = nets
        self.groups = groups
        self.net = group_numbers(groups)
        self.cavities = cavities_of(nets.pinouts)
        self.proven_apart = nets.readings.apart(groups)

    def all(self) -> Iterator[Astray]:
        """The wires that went astray, in the order of the papers' circuits."""
        for home in homes_of(self.nets.pinouts):
            here = [point for point in home.points if end_of(point) == self.nets.machine]
            there = tuple(point for point in home.points if end_of(point) != self.nets.machine)
            for old in here:
                if there and self._is_away(old, there) and self._is_free(there):
                    yield self._astray(old, there, home)

    def _is_away(self, old: str, home: Sequence[str]) -> bool:
        """Whether a contact is proven apart from every place where it belongs."""
        return all(self._is_apart(old, point) for point in home)

    def _is_free(self, home: Sequence[str]) -> bool:
        """Whether nothing arrives at one of the contacts where a wire belongs."""
        return any(one_face(self.groups[self.net[point]]) for point in home)

    def _is_apart(self, one: str, other: str) -> bool:
        return frozenset((self.net[one], self.net[other])) in self.proven_apart

    def _astray(self, old: str, home: tuple[str, ...], wanted: Home) -> Astray:
        arrives = tuple(p for p in self.groups[self.net[old]] if end_of(p) != self.nets.machine)
        return Astray(
            old=old,
            home=home,
            arrives=arrives,
            sweep=() if arrives else tuple(self._unread(old)),
            sure=wanted.grade != "ask" and not self._is_of_one_function(home, arrives),
        )

    def _is_of_one_function(self, home: Sequence[str], arrives: Sequence[str]) -> bool:
        """Whether a contact where a wire arrives is of the function of one where it belongs."""
        wanted = {self.cavities[point].function for point in home}
        return any(self.cavities[point].function in wanted for point in arrives)

    def _unread(self, old: str) -> Iterator[str]:
        """The contacts across that join nothing and were not read against one, unused ones too."""
        for group in self.groups:
            across = end_of(group[0]) != self.nets.machine
            barred = any(self.nets.why_spared[point] == BARRED for point in group)
            if across and one_face(group) and not barred and not self._is_apart(old, group[0]):
                yield group[0]
