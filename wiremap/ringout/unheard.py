"""What no reading of a plan would show, as sets: of thousands of circuits there are millions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wiremap.ringout.masks import ones_of


@dataclass(frozen=True, slots=True)
class Unheard:
    """A quiet contact, those that it may be exchanged with, by their places among the points, and
    the nets that its wire may lie in: sets of which none would show.
    """

    point: str
    seats: int = 0
    nets: int = 0


class NetPairs:
    """Pairs of nets, kept as a set of higher nets for each."""

    def __init__(self, rows: Mapping[int, int]) -> None:
        self.rows = rows

    def __len__(self) -> int:
        return sum(others.bit_count() for others in self.rows.values())

    def __iter__(self) -> Iterator[tuple[int, int]]:
        for one, others in self.rows.items():
            for other in ones_of(others):
                yield one, other
