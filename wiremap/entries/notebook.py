"""A notebook's entries: read from a file, held against those kept, appended so none is lost."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields, replace
from operator import attrgetter
from pathlib import Path
from typing import NamedTuple

from wiremap.base import Finding, only
from wiremap.entries.lines import text_of
from wiremap.entries.probe_lines import batch
from wiremap.files.adding import notebook_in, read_notebook, with_entries
from wiremap.files.head import head_in_bytes
from wiremap.files.write import update_text
from wiremap.model import Address, Entry, EntryKind, without_struck

Read = tuple[tuple[Entry, ...], tuple[Finding, ...]]  # the entries, and what could not be read
LineReader = Callable[[str, str, str, str], Read]  # of text, its name, by whom, when
CourseOpener = Callable[[Entry], frozenset[str]]  # gives where an entry begins a new course

Said = tuple[object, ...]  # what an entry says
_TOLD = [f.name for f in fields(Entry) if f.compare and f.name not in ("of", "place", "how")]
_SEEN = ("seen", "ohms", "volts", "amps", "by", "date", "answer")
_said: Callable[[Entry], Said] = attrgetter(*_TOLD)  # wherever it stands, however it was done
# where and in which state, without what was seen, by whom and when
_spot: Callable[[Entry], Said] = attrgetter(*(name for name in _TOLD if name not in _SEEN))


def readings_from(path: Path | str, by: str = "", date: str = "", read: LineReader = batch) -> Read:
    """The entries of a notebook, or of a file of lines, which `read` reads."""
    shown = Path(path).as_posix()
    text = text_of(path)
    if isinstance(text, Finding):
        return (), (text,)
    if not head_in_bytes(text.encode(), shown).is_ours:
        return read(text, shown, by, date)
    notebook, faults = notebook_in(text, shown)
    return (notebook.entries if notebook else ()), faults


def respelled(points: Iterable[str], entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Entries with their points as the job spells them, where only one is meant."""
    spelled = speller(points)
    return tuple(_with_points(entry, spelled) for entry in entries)


def speller(points: Iterable[str]) -> Callable[[Address], Address]:
    """What gives a point as the job spells it, where only one is meant by it."""
    known = tuple(points)
    exact = frozenset(known)
    small: dict[str, list[str]] = {}
    for point in known:
        small.setdefault(point.casefold(), []).append(point)

    def spelled(point: Address) -> Address:
        meant = only(small.get(point.casefold(), ()))
        return point if point in exact or meant is None else Address.read(meant)

    return spelled


def _with_points(entry: Entry, spelled: Callable[[Address], Address]) -> Entry:
    red, black = tuple(map(spelled, entry.red)), tuple(map(spelled, entry.black))
    if (red, black) == (entry.red, entry.black):
        return entry
    return replace(entry, red=red, black=black)


# -- what is new ----------------------------------------------------------------------------------


def opened_at(entry: Entry) -> frozenset[str]:
    """The points at which an entry begins a new course of readings: those that were mended."""
    return frozenset(entry.points) if entry.kind == EntryKind.MENDED else frozenset()


def added(
    known: Iterable[Entry], read: Iterable[Entry], opened: CourseOpener = opened_at
) -> tuple[Entry, ...]:
    """What was read and is not in the notebook yet: a file saved before is not measured twice.

    Point by point: the longest beginning of what the file says that is the end of what the notebook
    says was saved before.  So the last word of the file is always the last word of the notebook,
    and a reading that stands twice in the file and once in the notebook is added once.  Entries of
    the notebook before a new course at one of their points (`opened`) do not count.
    """
    new = tuple(read)
    in_notebook, in_file = _by_spot(_of_this_course(known, opened)), _by_spot(new)
    saved = {spot: _count_saved(in_notebook.get(spot, []), said) for spot, said in in_file.items()}
    skip = {spot: iter(range(count)) for spot, count in saved.items()}
    out = []
    for entry in new:
        if next(skip[_spot(entry)], None) is None:
            out.append(entry)
    return tuple(out)


def _of_this_course(known: Iterable[Entry], opened: CourseOpener) -> list[Entry]:
    """The entries at whose points no later one has begun a new course.

    First power begins anew with any repair.
    """
    past: set[str] = set()
    present: list[Entry] = []
    repaired = False
    for entry in reversed(list(known)):
        anew = repaired and entry.kind in (EntryKind.POWER, EntryKind.DONE)
        if not anew and past.isdisjoint((*entry.red, *entry.black)):
            present.append(entry)
        past |= opened(entry)
        repaired = repaired or entry.kind == EntryKind.MENDED
    return [*reversed(present)]


def _by_spot(entries: Iterable[Entry]) -> dict[Said, list[Said]]:
    found: dict[Said, list[Said]] = {}
    for entry in entries:
        found.setdefault(_spot(entry), []).append(_said(entry))
    return found


def _count_saved(in_notebook: list[Said], in_file: list[Said]) -> int:
    """How many of the file's first readings at one spot are the notebook's last ones there."""
    for count in range(min(len(in_notebook), len(in_file)), 0, -1):
        if in_notebook[-count:] == in_file[:count]:
            return count
    return 0


def numbered(entry: Entry, known: Iterable[Entry]) -> Entry:
    """The entry, numbered under `how` where another one says the same.

    So each of the two has a mark of its own and can be struck out by itself.
    """
    said = _said(entry)
    alike = sum(_said(each) == said for each in known)
    return replace(entry, how=f"reading {alike + 1}") if alike else entry


# -- keeping --------------------------------------------------------------------------------------


class Saved(NamedTuple):
    """What came of a saving: the fault that kept all out, or the entries that were added."""

    fault: Finding | None
    entries: tuple[Entry, ...] = ()


def append(path: Path | str, entries: Sequence[Entry]) -> Finding | None:
    """Add entries to a notebook file, atomically and under its lock; a missing file is begun.

    None when done.
    """
    return append_chosen(path, entries, lambda held: tuple(entries)).fault


def append_chosen(
    path: Path | str,
    entries: Sequence[Entry],
    chosen: Callable[[Sequence[Entry]], tuple[Entry, ...]],
) -> Saved:
    """Add those of the entries that `chosen` gives for what the file holds under its lock.

    So two who save the same readings at once add them once.
    """
    if not entries:
        return Saved(None)
    file = Path(path)
    kept: list[Entry] = []

    def change(text: str) -> str | Finding:
        known: tuple[Entry, ...] = ()
        if text.strip():
            read = read_notebook(text, file.as_posix())
            if isinstance(read, Finding):
                return replace(read, message=f"nothing was saved: {read.message}")
            known = without_struck((read,))[0].entries
        kept.extend(chosen(known))
        return with_entries(text, file, kept) if kept else text

    refused = update_text(file, change)
    return Saved(refused) if refused else Saved(None, tuple(kept))
