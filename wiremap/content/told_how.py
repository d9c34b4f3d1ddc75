"""How each thing that nobody states comes to be known: by the survey, by a name, by a look."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.named_first import named_first
from wiremap.content.read_here import points_told
from wiremap.sizing.unjudged import NotJudged


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldHow:
    """One of them, its contacts parted by where the sheet has a place for what is found."""

    left: NotJudged
    survey: list[str]
    joint: list[str]  # said by name there, before it is cut
    here: list[str]  # on the first pages

    @property
    def ways(self) -> int:
        """How many of the three there are."""
        return sum(bool(points) for points in (self.survey, self.joint, self.here))


def told_how(given: Given) -> list[ToldHow]:
    """Every one, as the verdict counts them."""
    jointed = set(named_first(given))
    found = []
    for left in given.not_judged:
        survey = points_told(given, left)
        joint = [point for point in left.subject if point in jointed]
        here = [point for point in left.subject if point not in (*survey, *joint)]
        found.append(ToldHow(left=left, survey=survey, joint=joint, here=here))
    return found
