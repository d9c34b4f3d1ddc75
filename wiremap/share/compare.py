"""Two revisions told apart by what they mean, the dangerous differences first."""

from __future__ import annotations

from wiremap.model import Job, Pinout
from wiremap.share.changes import Change, ordered
from wiremap.share.compare_jobs import jobs
from wiremap.share.compare_pinouts import pinouts


def compare_pinouts(old: Pinout, new: Pinout) -> list[Change]:
    """What differs between two tables of one connector."""
    return ordered(pinouts(old, new, ""))


def compare_jobs(old: Job, new: Job) -> list[Change]:
    """What differs between two jobs; names of ends and circuits and the order count for nothing."""
    return ordered(jobs(old, new))
