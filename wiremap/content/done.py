"""Deeds that were ticked: kept as entries of kind `done`, each under what it belongs to."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.entries.deeds import deed_of
from wiremap.model import Entry, EntryKind, Job

ON_PAPER = "joints: ticked on the paper sheet"


def entries_of(job: Job) -> list[Entry]:
    """Every entry of the job's notebooks in their order."""
    return list(job.entries)


def ticked(entries: Iterable[Entry], of: str) -> set[str]:
    """The deeds that were ticked under one heading."""
    found = (deed_of(entry, of) for entry in entries)
    return {deed for deed in found if deed is not None}


def ticked_on(job: Job, of: str, day: str) -> set[str]:
    """The deeds that were ticked under one heading on one day."""
    return ticked((entry for entry in entries_of(job) if entry.date == day), of)


def are_made(entries: Iterable[Entry]) -> bool:
    """Whether the joints were made elsewhere: ticked on paper, or read behind already."""
    return any(each.kind == EntryKind.PROBE or each.what == ON_PAPER for each in entries)
