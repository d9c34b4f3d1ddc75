"""How many slips of the hand can do harm in a job: one of the figures that two jobs are held to."""

from __future__ import annotations

from wiremap.graph import Harness
from wiremap.slips import slips

FEW_CIRCUITS = 60  # up to so many, counting every slip of the hand takes no time to speak of


def harmful_slips(harness: Harness, *, full: bool) -> int | None:
    """How many single slips can do harm; None where they are not counted.

    They are not for a job of more than FEW_CIRCUITS circuits unless `full`, nor where there are
    more slips than are told.
    """
    if len(harness.job.circuits) > FEW_CIRCUITS and not full:
        return None
    report = slips(harness)
    if report.refused is not None:
        return None
    return sum(slip.grade == "harm" for slip in report.slips)
