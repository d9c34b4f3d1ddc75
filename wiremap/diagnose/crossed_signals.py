"""Signals that arrive at one another's places, by what the papers of both sides call them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wiremap.diagnose.homes import Group, Home, cavities_of, end_of, homes_of
from wiremap.model import Cavity, Pinout
from wiremap.propose import compare

LIKE_CIRCUITS = (
    "; like circuits: unplug one load or sensor and see which goes before a wire is moved"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """Contacts of the machine's side that arrive at one another's places on the unit's side.

    `arrives` pairs each with where it was found, `belongs` with where the papers want it.  Not
    `sure`: the papers' words alone do not tell like circuits apart.  `disputed` are contacts whose
    own sources disagree.
    """

    arrives: tuple[tuple[str, str], ...]
    belongs: tuple[tuple[str, str], ...]
    sure: bool
    disputed: tuple[str, ...]
    names: Mapping[str, str]

    @property
    def told(self) -> str:
        """The exchange in words, every side of it named."""
        found = ", ".join(
            f"{self._name(old)} arrives at {self._name(new)}" for old, new in self.arrives
        )
        wanted = " and ".join(f"{old} belongs at {new}" for old, new in self.belongs)
        lead = "exchanged" if self.sure else "may be exchanged"
        doubt = "" if self.sure else LIKE_CIRCUITS
        if self.disputed:
            doubt += (
                f"; the sources disagree on {', '.join(self.disputed)}: survey first, the paper may"
                " be what is exchanged"
            )
        return f"{lead}: {found}; by the papers {wanted}{doubt}"

    def _name(self, point: str) -> str:
        signal = self.names[point]
        return f"{point} ({signal})" if signal else point

    def as_dict(self) -> dict[str, Any]:
        """The exchange as plain data."""
        return {
            "arrives": [list(pair) for pair in self.arrives],
            "belongs": [list(pair) for pair in self.belongs],
            "sure": self.sure,
            "disputed": list(self.disputed),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """A contact of the machine's side that was found where another circuit belongs."""

    old: str
    new: str
    place_of: int  # the number of the circuit in whose place it arrives


def exchanges(pinouts: Mapping[str, Pinout], groups: Sequence[Group]) -> tuple[Exchange, ...]:
    """Every ring of circuits of which each ends where the papers want the next.

    The first pinout is the machine's side.
    """
    machine = next(iter(pinouts))
    homes = homes_of(pinouts)
    arrivals = _arrivals(groups, homes, machine)
    found = []
    for start in sorted(arrivals):
        ring = _ring(arrivals, start)
        if ring and start == min(ring):
            found.append(_exchange(pinouts, ring, arrivals, homes))
    return tuple(found)


def _arrivals(
    groups: Sequence[Group], homes: Sequence[Home], machine: str
) -> Mapping[int, Arrival]:
    """For each circuit of the papers that went astray, where it arrives."""
    number_of = {point: number for number, home in enumerate(homes) for point in home.points}
    arrivals: dict[int, Arrival] = {}
    for group in groups:
        known = [point for point in group if point in number_of]
        old = [point for point in known if end_of(point) == machine]
        new = [point for point in known if end_of(point) != machine]
        left = {number_of[point] for point in old}
        if not old or not new or not left.isdisjoint(number_of[point] for point in new):
            continue
        arrival = Arrival(old=old[0], new=new[0], place_of=number_of[new[0]])
        arrivals.setdefault(number_of[old[0]], arrival)
    return arrivals


def _ring(arrivals: Mapping[int, Arrival], start: int) -> list[int]:
    """The circuits met by going on from each to the one whose place it took; empty if no ring."""
    ring = [start]
    at = arrivals[start].place_of
    while at in arrivals and at not in ring:
        ring.append(at)
        at = arrivals[at].place_of
    return ring if at == start else []


def _exchange(
    pinouts: Mapping[str, Pinout],
    ring: Sequence[int],
    arrivals: Mapping[int, Arrival],
    homes: Sequence[Home],
) -> Exchange:
    machine = next(iter(pinouts))
    cavities = cavities_of(pinouts)
    arrives = []
    belongs = []
    for number in ring:
        arrival = arrivals[number]
        arrives.append((arrival.old, arrival.new))
        unit_side = [point for point in homes[number].points if end_of(point) != machine]
        belongs.append((arrival.old, "+".join(unit_side)))
    touched = [point for pair in arrives for point in pair]
    return Exchange(
        arrives=tuple(arrives),
        belongs=tuple(belongs),
        sure=all(compare(cavities[old], cavities[new]).refused for old, new in arrives),
        disputed=tuple(point for point in touched if _is_disputed(cavities[point])),
        names={point: cavities[point].signal for point in touched},
    )


def _is_disputed(cavity: Cavity) -> bool:
    """Whether the sources of a contact name different functions."""
    return any(claim.reading.function != cavity.function for claim in cavity.also)
