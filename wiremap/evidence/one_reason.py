"""Words that are kept under several contacts though they tell of one of them alone."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import BETWEEN_POINTS
from wiremap.model import Job
from wiremap.naming import read_signal

NOT_TELLING = "index"  # a number may count anything: fuse 1, read 2 times


def tells_of_one(job: Job, things: Sequence[str], words: str) -> str:
    """Why one reason does not serve all of several circuits or contacts; empty where it does.

    `clicked left valve` says nothing of the right one.
    """
    said = dict(read_signal(words).qualifiers)
    said.pop(NOT_TELLING, None)
    for thing in things if len(things) > 1 else ():
        for point in thing.split(BETWEEN_POINTS):
            other = _denied(job, point, said)
            if other:
                return f"`{words}` does not tell of {point} ({other})"
    return ""


def _denied(job: Job, point: str, said: dict[str, str]) -> str:
    """The word of a contact's signal in whose place something else is said."""
    known = cavity_of(job, point) or cavity_of(job, point.rpartition(".")[0])
    if known is None:
        return ""
    own = dict(known.cavity.reading.qualifiers)
    return next((own[key] for key, told in said.items() if own.get(key, told) != told), "")
