"""Contacts that stay alone: why, and which candidate came nearest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

from wiremap.evidence.left_out import NO_PARTNER, NONE_CARRIES, NONE_THERE, NOT_KNOWN
from wiremap.model import Address, Cavity
from wiremap.propose.compare import Comparison
from wiremap.propose.grading import Table
from wiremap.propose.result import NoHome
from wiremap.propose.sides import Generations
from wiremap.propose.weighing import weigh
from wiremap.trade.functions import FUNCTIONS, called

POSSIBLE = 1000  # nearness of a candidate that is not refused, its weight added
SAME_CLASS = 300  # of a refused one, for what it has in common with the contact
SAME_FUNCTION = 100
SHARED_WORD = 50


class _Candidate(NamedTuple):
    nearness: int
    point: Address
    why_not: str


def no_home(
    point: Address, free: Generations, table: Table, not_merged: str, given: Mapping[Address, str]
) -> NoHome:
    """Why a contact stays alone, with the candidate that came nearest.

    `table` holds what was compared already, `not_merged` says why it was not merged if that was
    tried, `given` whom each joined contact went to.  A person's own no is told as well.
    """
    found = _nearest(point, free, table, not_merged, given)
    said = [denial for points, denial in free.denials.items() if point in points]
    told = [denial for denial in dict.fromkeys(said) if denial not in found.why]
    return replace(found, why="; ".join((found.why, *told)))


def _nearest(
    point: Address, free: Generations, table: Table, not_merged: str, given: Mapping[Address, str]
) -> NoHome:
    """Why a contact stays alone, but for what a person has said of it."""
    mine = free.mine(point)[point]
    candidates = []
    for other, cavity in free.facing(point).items():
        edge = free.edge(point, other)
        found = table.get(edge) or weigh(free, edge)
        why_not = found.refused or f"it went to {given.get(other, 'a better candidate')}"
        candidates.append(_Candidate(_nearness(mine, cavity, found), other, why_not))
    if not candidates:
        return NoHome(point=point, why=not_merged or NONE_THERE)
    best = min(candidates, key=lambda candidate: (-candidate.nearness, candidate.point))
    if best.nearness <= 0 and mine.function == "unknown":
        return NoHome(point=point, why=not_merged or NOT_KNOWN)
    if best.nearness <= 0:
        return NoHome(point=point, why=not_merged or f"{NONE_CARRIES}{called(mine.function)}")
    why = not_merged or f"{NO_PARTNER}{best.point}, but {best.why_not}"
    return NoHome(point=point, why=why, nearest=best.point)


def _nearness(one: Cavity, two: Cavity, found: Comparison) -> int:
    if not found.refused:
        return POSSIBLE + found.weight
    shared = set(one.reading.unexplained) & set(two.reading.unexplained)
    nearness = SHARED_WORD * len(shared)
    if FUNCTIONS[one.function].electrical == FUNCTIONS[two.function].electrical:
        nearness += SAME_CLASS
    if one.function == two.function:
        nearness += SAME_FUNCTION
    return nearness
