"""Deeds in the notebook: an entry of kind `done` says what a deed belongs to, then its words."""

from __future__ import annotations

from wiremap.model import Entry, EntryKind

_BETWEEN = ": "


def kept_deed(owner: str, deed: str) -> str:
    """How a deed stands in the notebook: `joint spinner: tug`, of the owner `joint spinner`."""
    return f"{owner}{_BETWEEN}{deed}"


def deed_of(entry: Entry, owner: str) -> str | None:
    """The words of a deed that belongs to this owner; None for any other entry."""
    lead = kept_deed(owner, "")
    if entry.kind != EntryKind.DONE or not entry.what.startswith(lead):
        return None
    return entry.what.removeprefix(lead)


def belongs(entry: Entry, *owners: str) -> bool:
    """Whether an entry is a deed that belongs to one of these."""
    return any(deed_of(entry, owner) is not None for owner in owners)


def deed_alone(entry: Entry) -> str:
    """The words of a deed without what it belongs to; empty where it belongs to nothing."""
    return entry.what.partition(_BETWEEN)[2]
