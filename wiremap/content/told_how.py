"""How each thing that was not judged comes to be known: by the survey, a name, or a look."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.named_first import named_first
from wiremap.content.read_here import points_told
from wiremap.sizing.unjudged import NotJudged


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldHow:
    """One thing that was not judged, its contacts by where the sheet has a place for the answer."""

    left: NotJudged
    survey: list[str]  # the survey's readings tell of them
    joint: list[str]  # a named person says it at their joint, before they are cut
    here: list[str]  # asked for on the first pages

    @property
    def ways(self) -> int:
        """How many of the three there are."""
        return sum(bool(points) for points in (self.survey, self.joint, self.here))


def told_how(given: Given) -> list[ToldHow]:
    """Everything that was not judged, as the verdict counts it."""
    jointed = set(named_first(given))
    found = []
    for left in given.not_judged:
        survey = points_told(given, left)
        joint = [point for point in left.subject if point in jointed]
        here = [point for point in left.subject if point not in (*survey, *joint)]
        found.append(ToldHow(left=left, survey=survey, joint=joint, here=here))
    return found
