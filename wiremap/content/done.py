"""Deeds that were ticked: kept as entries of kind `done`, each under what it belongs to."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.entries.deeds import deed_of
from wiremap.model import Entry, EntryKind, Job

ON_PAPER = "joints: ticked on the paper sheet"


def ticked(entries: Iterable[Entry], under: str) -> set[str]:
    """The deeds that were ticked under one heading."""
    deeds = (deed_of(entry, under) for entry in entries)
    return {deed for deed in deeds if deed is not None}


def ticked_on(job: Job, under: str, day: str) -> set[str]:
    """The deeds that were ticked under one heading on one day."""
    return ticked((entry for entry in job.entries if entry.date == day), under)


def made_on_paper(entries: Iterable[Entry]) -> bool:
    """Whether the joints are made though no card was ticked: somebody says that they were ticked
    on the paper sheet, or the ring-out, which comes after them, has begun.
    """
    return any(each.kind == EntryKind.PROBE or each.what == ON_PAPER for each in entries)
