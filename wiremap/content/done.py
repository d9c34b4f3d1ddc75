"""Deeds that were ticked: kept as entries of kind `done`, each under what it belongs to."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.model import Entry, EntryKind, Job

BETWEEN = ": "


def said(of: str, deed: str) -> str:
    """How a deed stands in the notebook: `joint spinner: tug`."""
    return f"{of}{BETWEEN}{deed}"


def entries_of(job: Job) -> list[Entry]:
    """Every entry of the job's notebooks in their order."""
    return list(job.entries)


def ticked(entries: Iterable[Entry], of: str) -> set[str]:
    """The deeds that were ticked under one heading."""
    lead = f"{of}{BETWEEN}"
    return {
        entry.what.removeprefix(lead)
        for entry in entries
        if entry.kind == EntryKind.DONE and entry.what.startswith(lead)
    }


def ticked_on(job: Job, of: str, day: str) -> set[str]:
    """The deeds that were ticked under one heading on one day."""
    return ticked((entry for entry in entries_of(job) if entry.date == day), of)
