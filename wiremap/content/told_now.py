"""The end of the survey: what was not judged before, and its readings tell."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.cautions import closed_by_survey
from wiremap.content.given import Given
from wiremap.content.read_here import points_told
from wiremap.content.steps import Step
from wiremap.content.words import few, listed

TOLD = "told by these readings, if no box above this line, carried ones too, is wrong or open"


def told_now(given: Given) -> Iterator[Step]:
    """A tick for each thing not judged that these readings tell, if none is wrong or left open,
    with the numbers of the cautions that it closes.
    """
    closed = closed_by_survey(given)
    for left in given.not_judged:
        points = points_told(given, left)
        if points:
            named = listed(*(name for name, lefts in closed.items() if left in lefts))
            cautions = f" ({named})" if named else ""
            yield Step(text=f"{few(points)}{cautions}: {left.why}: {TOLD}")  # at no face
