"""The sizes of a job, worked out once for all rules that ask."""

from __future__ import annotations

from wiremap.rules.view import View
from wiremap.sizing.job import JobSizes, size_job

GUIDE = "common practice: what is not known is asked for"


def sizes(view: View) -> JobSizes:
    """Everything that could be sized of the job in view."""
    return view.once(_sizes)


def _sizes(view: View) -> JobSizes:
    return size_job(view.harness)
