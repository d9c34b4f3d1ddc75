"""Papers that have been withdrawn are named wherever they are used."""

from __future__ import annotations

from wiremap.cli.common import note
from wiremap.model import Job, Pinout, withdrawals


def tell_withdrawn(*papers: Job | Pinout) -> None:
    """Say on stderr what of the papers, or of what they rest on, has been withdrawn, and why."""
    for paper in papers:
        for each in withdrawals(paper):
            note(f"WITHDRAWN: {each.path}: {each.withdrawn or 'no reason given'}")
