"""The order of the hands: stages of the work, and the page that belongs to one of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from wiremap.content.given import Given
from wiremap.content.pieces import Section


class Stage(StrEnum):
    """A stage of the work; the members stand in the order in which hands come to them."""

    JOB = "what this job is"
    LAY_OUT = "lay out"
    SURVEY = "before the cut"
    PLACES = "map, faces, lengths"
    CUT = "the cut"
    JOINTS = "joints"
    RING_OUT = "ring-out"
    SLEEVES = "sleeves"
    POWER = "first power"
    MATING = "mating"
    IN_USE = "at work"
    HANDING_OVER = "handing over"
    ANNEX = "annex"

    @property
    def lifts_hold(self) -> bool:
        """Whether its pages are printed while stops hold the job: they show what is wrong with it,
        ask what is not known and take the readings that settle it.
        """
        return self in (Stage.JOB, Stage.LAY_OUT, Stage.SURVEY, Stage.ANNEX)


FIRST = 0  # of the pages of its stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page of the sheet: where it stands in the order of work, and what makes its data.

    `order` places it within its stage.  `make` gives None where a job has nothing for the page.  A
    page of the annex is printed only where `--annex` names its key.
    """

    key: str
    stage: Stage
    make: Callable[[Given], Section | None]
    order: int = FIRST

    @property
    def place(self) -> tuple[int, int, str]:
        """Sorts pages into the order of work."""
        return list(Stage).index(self.stage), self.order, self.key
