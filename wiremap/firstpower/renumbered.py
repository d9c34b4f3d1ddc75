"""Which numbers of first power mean another step than when the last of the work was kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from wiremap.base import Finding, fault, numbers_told
from wiremap.evidence.settle import settle
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import PowerStep
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind, Job, Notebook

WORKED = frozenset({EntryKind.PROBE, EntryKind.POWER, EntryKind.DONE, EntryKind.STOP_PASSED})


def renumbered(
    filed: Job, own: str, steps: Sequence[PowerStep]
) -> Mapping[int, tuple[PowerStep, int | None]]:
    """The numbers of an older list that mean another step now, with that older step and its number
    in `steps`, None where it is gone.

    `filed` is the job as its files say it.  The list is older where something was answered or read
    behind the last of the work in the notebook `own`: a sheet in somebody's hand is of that time.
    """
    older = _as_worked(filed, own)
    if older is None:
        return {}
    now = {_identity(step): step.n for step in reversed(steps)}
    at = {step.n: _identity(step) for step in steps}
    return {
        step.n: (step, now.get(_identity(step)))
        for step in power_plan(Harness(settle(older)))
        if at.get(step.n) != _identity(step)
    }


def refused_numbers(moved: Mapping[int, tuple[PowerStep, int | None]]) -> Finding:
    """Why lines typed by an older list are asked back."""
    n, (step, now) = next(iter(moved.items()))
    told = f"{n} was “{step.do}”, which is {'gone' if now is None else f'{now} now'}"
    return fault(
        "renumbered",
        f"the list of first power has changed since the last of the work was kept: "
        f"{numbers_told(moved)} of a list or sheet of that time mean another step now ({told})",
        fix="print the list or the sheet anew, and type what it says with --renumbered",
    )


def _identity(step: PowerStep) -> tuple[object, ...]:
    """What is equal for one step in two lists, whatever its number."""
    return step.do, step.red, step.black, step.key, step.state


def _as_worked(filed: Job, own: str) -> Job | None:
    """The job as it stood when the last of the work was kept; None if nothing is behind that."""
    books = [_worked(book) if book.path == own else book for book in filed.notebooks]
    return None if tuple(books) == filed.notebooks else replace(filed, notebooks=tuple(books))


def _worked(book: Notebook) -> Notebook:
    """A notebook up to the last of the work in it; whole where there is none."""
    entries: Sequence[Entry] = book.entries
    last = max((i for i, entry in enumerate(entries) if entry.kind in WORKED), default=None)
    return book if last is None else replace(book, entries=tuple(entries[: last + 1]))
