"""Where the contacts of an adapter belong, by the papers of its faces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from wiremap.model import Address, Cavity, Pinout
from wiremap.propose import propose_map
from wiremap.propose.compare import offered

Group = Sequence[str]  # contacts that are one metal, as found


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """Contacts that the papers would join, and how sure that is."""

    points: tuple[str, ...]
    grade: str


def homes_of(pinouts: Mapping[str, Pinout]) -> list[Home]:
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
