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
    WORK = "at work"
    HANDING_OVER = "handing over"
    ANNEX = "annex"

    @property
    def lifts_hold(self) -> bool:
        """Whether its pages are printed for a held job, since they help to lift the hold."""
        return self in (Stage.JOB, Stage.LAY_OUT, Stage.SURVEY, Stage.ANNEX)


STAGES = tuple(Stage)


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page of the sheet: where it stands in the order of work, and what makes its data.

    `order` places it within its stage; `annex` is the word after `--annex` that it comes with, and
    empty for what every sheet has.  `make` gives None where a job has nothing for the page.
    """

    key: str
    stage: Stage
    make: Callable[[Given], Section | None]
    order: int = 0
    annex: str = ""

    @property
    def place(self) -> tuple[int, int, str]:
        """Sorts pages into the order of work."""
        return STAGES.index(self.stage), self.order, self.key
