"""The cavity of an address, and the one that an entry of a notebook speaks of."""

from __future__ import annotations

from typing import NamedTuple

from wiremap.base import Place
from wiremap.model import Address, Cavity, Claim, End, Entry, EntryKind, Job, split


class PlacedCavity(NamedTuple):
    """A cavity and the end that it belongs to."""

    end: End
    cavity: Cavity


def cavity_of(job: Job, address: str) -> PlacedCavity | None:
    """The end and cavity of an address, if the job has them."""
    owner, rest = split(address)
    end = job.ends.get(owner)
    cavity = end.pinout.cavities.get(rest) if end else None
    return PlacedCavity(end, cavity) if end and cavity else None


def spoken_of(job: Job, entry: Entry) -> str:
    """The address of the cavity that an answer or survey reading speaks of; empty if of none."""
    owner, rest = split(about_of(entry))
    end = job.ends.get(owner)
    if end is None:
        return ""
    before_key, _, _ = rest.partition(".")
    for name in (rest, before_key):
        if name in end.pinout.cavities:
            return Address(owner, name)
    return ""


def about_of(entry: Entry) -> str:
    """The address that an answer is about, or the first red point of a reading; empty if none."""
    if entry.kind == EntryKind.ANSWER:
        return entry.about
    return next(iter(entry.red), "")


def claim_of(end: End, cavity: Cavity, place: Place | None = None) -> Claim:
    """What a cavity itself states, as one claim among others."""
    return Claim(
        reading=cavity.reading,
        basis=cavity.basis,
        source=cavity.source,
        place=cavity.place or place or Place(end.pinout.path),
        signal=cavity.signal,
    )
