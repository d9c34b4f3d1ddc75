"""What the notebooks of a job say of pieces that were built to it."""

from __future__ import annotations

from typing import Any

from wiremap.model import Entry, Job


def build_reports(job: Job) -> tuple[Entry, ...]:
    """The build reports in the order written."""
    return tuple(entry for entry in job.entries if entry.kind == "built")


def build_report_dict(entry: Entry) -> dict[str, Any]:
    """A build report as manifests and results carry it."""
    return {
        "pieces": entry.pieces,
        "revision": entry.revision,
        "by": entry.by,
        "date": entry.date,
        "how": entry.how,
    }
