"""Signals that arrive at one another's places, by what the papers of both sides call them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from wiremap.mistakes.face import whole_face
from wiremap.model import Address, Cavity, Pinout
from wiremap.propose import compare, propose_map
from wiremap.propose.compare import offered
from wiremap.rules.faces import LEAST_MORE, LEAST_TOLD, WORDS

LIKE_CIRCUITS = (
    "; like circuits: unplug one load or sensor and see which goes before a wire is moved"
)
Group = Sequence[str]  # contacts that are one metal, as found


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """Contacts that the papers would join, and how sure that is."""

    points: tuple[str, ...]
    grade: str


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
    homes = partners(pinouts)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class MisreadFace:
    """A whole face that seems to have been read wrongly.

    Of the joints `found`, `read_so` are the papers' if the face was read `how`, `as_written` as
    they stand.
    """

    end: str
    how: str
    read_so: int
    as_written: int
    found: int

    @property
    def told(self) -> str:
        """The face in words."""
        return (
            f"the face of {self.end} may have been read {self.how}: so read, the papers want "
            f"{self.read_so} of the {self.found} joints that were found, as written "
            f"{self.as_written}; look at its moulded digits before a wire is moved"
        )

    def as_dict(self) -> dict[str, Any]:
        """The face as plain data."""
        return {
            "face": self.end,
            "how": self.how,
            "read_so": self.read_so,
            "as_written": self.as_written,
            "found": self.found,
        }


def misread_faces(
    pinouts: Mapping[str, Pinout], groups: Sequence[Group]
) -> tuple[MisreadFace, ...]:
    """The misreadings of one face that explain the joints far better than the papers, the best."""
    found = _across_all(groups)
    homes = [home.points for home in partners(pinouts)]
    written = len(found & _across_all(homes))
    misread = []
    for end, pinout in pinouts.items():
        face = pinout.connector.face
        if face is None:
            continue
        for kind, places in whole_face(face).items():
            read = [_reseated(points, end, places) for points in homes]
            fits = len(found & _across_all(read))
            if fits >= max(LEAST_TOLD, written + LEAST_MORE):
                misread.append(
                    MisreadFace(
                        end=end,
                        how=WORDS[kind.rstrip("+-1")],
                        read_so=fits,
                        as_written=written,
                        found=len(found),
                    )
                )
    best = max((face.read_so for face in misread), default=0)
    return tuple(face for face in misread if face.read_so == best)


def _reseated(points: Group, end: str, places: Mapping[str, str | None]) -> list[str]:
    """Contacts as they lie if the face of an end was read wrongly."""
    hole_of = {wire: hole for hole, wire in places.items() if wire is not None}
    moved = []
    for point in points:
        address = Address.read(point)
        if address.end == end and address.cavity in hole_of:
            moved.append(f"{end}.{hole_of[address.cavity]}")
        else:
            moved.append(point)
    return moved


def _across_all(groups: Iterable[Group]) -> set[frozenset[str]]:
    """The pairs of points of different faces within each group."""
    pairs = set()
    for group in groups:
        for one, two in combinations(group, 2):
            if end_of(one) != end_of(two):
                pairs.add(frozenset((one, two)))
    return pairs


def partners(pinouts: Mapping[str, Pinout]) -> list[Home]:
    """What the papers would join: by proposal, and what that leaves of one function and alone.

    Two contacts that are left may be unlike in what a splice cannot mend, such as a bit rate, and
    yet be where a wire was laid.
    """
    machine, *units = pinouts.items()
    proposal = propose_map([machine], units)
    homes = [Home(points=tuple(made.join), grade=made.grade) for made in proposal.circuits]
    placed = {point for home in homes for point in home.points}
    return [*homes, *_left_over(pinouts, placed)]


def _left_over(pinouts: Mapping[str, Pinout], placed: set[str]) -> Iterator[Home]:
    """The only two contacts of a function that are left, one on each side."""
    machine = next(iter(pinouts))
    old: dict[str, list[str]] = {}
    new: dict[str, list[str]] = {}
    for point, cavity in cavities_of(pinouts).items():
        if point in placed or not offered(cavity):
            continue
        side = old if end_of(point) == machine else new
        other = new if side is old else old
        side.setdefault(cavity.function, []).append(point)
        other.setdefault(cavity.function, [])
    for function, mine in old.items():
        if len(mine) == len(new[function]) == 1:
            yield Home(points=(*mine, *new[function]), grade="ask")


def cavities_of(pinouts: Mapping[str, Pinout]) -> dict[str, Cavity]:
    """Every cavity of some pinouts by its address."""
    return {
        f"{end}.{name}": cavity
        for end, pinout in pinouts.items()
        for name, cavity in pinout.cavities.items()
    }


def end_of(point: str) -> str:
    """The end that a point belongs to."""
    return Address.read(point).end
