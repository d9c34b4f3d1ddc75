"""Contacts that stay alone: why, and which candidate came nearest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

from wiremap.evidence.left_out import NO_PARTNER, NONE_CARRIES, NONE_THERE, NOT_KNOWN
from wiremap.model import Address, Cavity
from wiremap.propose.comparison import Comparison
from wiremap.propose.grading import Comparisons
from wiremap.propose.result import NoHome
from wiremap.propose.sides import Generations
from wiremap.propose.weighing import weigh
from wiremap.trade.functions import FUNCTIONS, called

# Nearness ranks the candidates for a contact that stays alone: any that could be joined goes before
# all that are refused, and those are ranked by what they have in common with the contact.
POSSIBLE = 1000  # a candidate that is not refused; its weight is added
SAME_CLASS = 300
SAME_FUNCTION = 100
SHARED_WORD = 50


class _Candidate(NamedTuple):
    nearness: int
    point: Address
    why_not: str


def no_home(
    point: Address,
    free: Generations,
    compared: Comparisons,
    not_merged: str,
    partner_of: Mapping[Address, str],
) -> NoHome:
    """Why a contact stays alone, with the candidate that came nearest.

    `compared` holds what was compared already, `not_merged` says why it was not merged if that was
    tried, `partner_of` whom each joined contact went to.  Why a named person has said that it is
    not one signal with another contact is told behind.
    """
    nearest = _nearest(point, free, compared, not_merged, partner_of)
    denials = [denial for points, denial in free.denied.items() if point in points]
    untold = [denial for denial in dict.fromkeys(denials) if denial not in nearest.why]
    return replace(nearest, why="; ".join((nearest.why, *untold)))


def _nearest(
    point: Address,
    free: Generations,
    compared: Comparisons,
    not_merged: str,
    partner_of: Mapping[Address, str],
) -> NoHome:
    """Why a contact stays alone, but for what a person has said of it."""
    mine = free.mine(point)[point]
    candidates = []
    for other, cavity in free.facing(point).items():
        edge = free.edge(point, other)
        comparison = compared.get(edge) or weigh(free, edge)
        why_not = comparison.refused or f"it went to {partner_of.get(other, 'a better candidate')}"
        candidates.append(_Candidate(_nearness(mine, cavity, comparison), other, why_not))
    if not candidates:
        return NoHome(point=point, why=not_merged or NONE_THERE)
    best = min(candidates, key=lambda candidate: (-candidate.nearness, candidate.point))
    if not best.nearness and mine.function == "unknown":
        return NoHome(point=point, why=not_merged or NOT_KNOWN)
    if not best.nearness:
        return NoHome(point=point, why=not_merged or f"{NONE_CARRIES}{called(mine.function)}")
    why = not_merged or f"{NO_PARTNER}{best.point}, but {best.why_not}"
    return NoHome(point=point, why=why, nearest=best.point)


def _nearness(one: Cavity, two: Cavity, comparison: Comparison) -> int:
    if not comparison.refused:
        return POSSIBLE + comparison.weight
    shared = set(one.reading.unexplained) & set(two.reading.unexplained)
    nearness = SHARED_WORD * len(shared)
    if FUNCTIONS[one.function].electrical == FUNCTIONS[two.function].electrical:
        nearness += SAME_CLASS
    if one.function == two.function:
        nearness += SAME_FUNCTION
    return nearness
