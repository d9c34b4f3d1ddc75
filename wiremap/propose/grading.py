"""Candidates weighed against each other: which are chosen, and with what grade."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import NamedTuple

from wiremap.model import Address, Grade
from wiremap.propose.comparison import Comparison
from wiremap.propose.doubt import Doubt
from wiremap.propose.matching import best_assignment
from wiremap.propose.result import Proposed
from wiremap.propose.sides import Edge

CLOSE = 60  # a second candidate within this weight is a close one
IDENTITY = 10_000_000  # above all weights of a proposal: no identical pair is given up for others
Comparisons = dict[Edge, Comparison]


class Graded(NamedTuple):
    """A grade and its reasons: what speaks for it, then what is open."""

    grade: Grade
    reasons: tuple[str, ...]
    doubts: tuple[Doubt, ...]


class Candidates:
    """Weighed edges, and which of them contend for the same contact.

    `called` names the group that stands behind the id in an edge between two pairs or loops.
    """

    def __init__(
        self,
        weighed: Mapping[Edge, Comparison],
        called: Mapping[Address, str] | None = None,
    ) -> None:
        self._weighed = {edge: found for edge, found in weighed.items() if not found.refused}
        self._called = called or {}
        self._at: dict[Address, list[Edge]] = defaultdict(list)
        for edge in self._weighed:
            self._at[edge.old].append(edge)
            self._at[edge.new].append(edge)

    def chosen(self) -> list[Edge]:
        """The edges of the best assignment, by address."""
        weights: dict[tuple[Address, Address], int] = {}
        for edge, comparison in self._weighed.items():
            weights[edge] = comparison.weight
            if comparison.identical:
                weights[edge] += IDENTITY
        return [Edge(*pair) for pair in sorted(best_assignment(weights).items())]

    def proposed(self) -> list[Proposed]:
        """The chosen edges as graded circuits."""
        return [Proposed(join=edge, **self.grade(edge)._asdict()) for edge in self.chosen()]

    def grade(self, edge: Edge) -> Graded:
        """The grade of an edge.

        `certain` leaves nothing open, `likely` one soft thing, everything else is a question; and
        where another candidate passes the same test, it is a question whichever scores better.
        """
        chosen = self._weighed[edge]
        soft = list(chosen.soft)
        hard = list(chosen.hard)
        rivals = self._rivals(edge)
        equals = sorted(rival for rival in rivals if self._as_good(rival, chosen))
        if equals and not hard:  # a hard doubt makes it a question as it is
            other = next(point for point in equals[0] if point not in edge)
            hard.append(Doubt(f"{self._called.get(other, other)} fits as well", rival=other))
        elif any(self._weighed[rival].weight >= chosen.weight - CLOSE for rival in rivals):
            soft.append(Doubt("another candidate is close"))
        return Graded(_grade(hard, soft), chosen.reasons, (*hard, *soft))

    def _rivals(self, edge: Edge) -> set[Edge]:
        return {*self._at[edge.old], *self._at[edge.new]} - {edge}

    def _as_good(self, rival: Edge, chosen: Comparison) -> bool:
        comparison = self._weighed[rival]
        return not comparison.hard and len(comparison.soft) <= len(chosen.soft)


def _grade(hard: list[Doubt], soft: list[Doubt]) -> Grade:
    if hard or len(soft) > 1:
        return Grade.ASK
    if soft:
        return Grade.LIKELY
    return Grade.CERTAIN
