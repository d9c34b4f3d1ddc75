"""Two revisions told apart by what they mean, the dangerous differences first."""

from __future__ import annotations

from wiremap.model import Job, Pinout
from wiremap.share.changes import Change, ordered
from wiremap.share.compare_jobs import job_changes
from wiremap.share.compare_pinouts import pinout_changes


def compare_pinouts(old: Pinout, new: Pinout) -> list[Change]:
    """What differs between two tables of one connector."""
    return ordered(pinout_changes(old, new, ""))


def compare_jobs(old: Job, new: Job) -> list[Change]:
    """What differs between two jobs; names of ends and circuits and the order count for nothing."""
    return ordered(job_changes(old, new))
