"""Two revisions told apart by what they mean, the dangerous differences first."""

from __future__ import annotations

from wiremap.model import Job, Pinout
from wiremap.share.changes import KINDS, Change, ordered
from wiremap.share.compare_jobs import jobs
from wiremap.share.compare_pinouts import pinouts

__all__ = ["KINDS", "Change", "compare_jobs", "compare_pinouts"]


def compare_pinouts(a: Pinout, b: Pinout) -> list[Change]:
    """What differs between two tables of one connector."""
    return ordered(pinouts(a, b, ""))


def compare_jobs(a: Job, b: Job) -> list[Change]:
    """What differs between two jobs; the names of ends and circuits and the order of both count for nothing."""
    return ordered(jobs(a, b))
