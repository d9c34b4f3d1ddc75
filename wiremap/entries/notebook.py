"""A notebook's entries: read from a file, held against those kept, appended so none is lost."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from wiremap.base import Finding, Place
from wiremap.entries.lines import text_of
from wiremap.entries.probe_lines import batch
from wiremap.files import load_notebook
from wiremap.files.dump import dump_entry
from wiremap.files.schemas import first_lines
from wiremap.files.write import update_text
from wiremap.model import Address, Entry

Read = tuple[tuple[Entry, ...], tuple[Finding, ...]]
Lines = Callable[[str, str, str, str], Read]  # of text, its name, by whom, when

_OURS = re.compile(r"^wiremap\s*:", re.MULTILINE)
_TOP = re.compile(r"entries\s*:")
_NONE_YET = re.compile(r"entries\s*:\s*\[\s*\]\s*(#.*)?")
_NEXT_KEY = re.compile(r"[^\s#-]")
_DASH = re.compile(r"(\s*)-\s")


def readings_from(path: Path | str, by: str = "", date: str = "", read: Lines = batch) -> Read:
    """The entries of a notebook or of a file of lines, and what could not be read.

    `read` reads the lines.
    """
    text = text_of(path)
    if isinstance(text, Finding):
        return (), (text,)
    if not _OURS.search(text):
        return read(text, Path(path).as_posix(), by, date)
    loaded = load_notebook(path)
    return (loaded.value.entries if loaded.value else ()), loaded.findings


def respelled(points: Iterable[str], entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Entries with their points as the job spells them, where only one is meant."""
    known = tuple(points)
    small: dict[str, list[str]] = {}
    for point in known:
        small.setdefault(point.casefold(), []).append(point)

    def spelled(point: Address) -> Address:
        meant = small.get(point.casefold(), [])
        if point in known or len(meant) != 1:
            return point
        return Address.read(meant[0])

    return tuple(
        replace(e, red=tuple(map(spelled, e.red)), black=tuple(map(spelled, e.black)))
        for e in entries
    )


# -- what is new ----------------------------------------------------------------------------------


def added(known: Iterable[Entry], read: Iterable[Entry]) -> tuple[Entry, ...]:
    """What was read and is not in the notebook yet: a file saved before is not measured twice.

    Point by point: the longest beginning of what the file says that is the end of what the notebook
    says was saved before.  So the last word of the file is always the last word of the notebook,
    and a reading that stands twice in the file and once in the notebook is added once.
    """
    new = tuple(read)
    there, here = _by_spot(known), _by_spot(new)
    skip = {spot: _saved(there.get(spot, []), said) for spot, said in here.items()}
    out = []
    for entry in new:
        spot = _spot(entry)
        skip[spot] -= 1
        if skip[spot] < 0:
            out.append(entry)
    return tuple(out)


def _by_spot(entries: Iterable[Entry]) -> dict[Entry, list[Entry]]:
    found: dict[Entry, list[Entry]] = {}
    for entry in entries:
        found.setdefault(_spot(entry), []).append(_same(entry))
    return found


def _saved(there: list[Entry], here: list[Entry]) -> int:
    """How many of the file's readings at one spot end the notebook's there."""
    for n in range(min(len(there), len(here)), 0, -1):
        if there[-n:] == here[:n]:
            return n
    return 0


def _spot(entry: Entry) -> Entry:
    """An entry without what was seen, by whom and when: where and in which state."""
    return replace(
        _same(entry), seen=None, ohms=None, volts=None, amps=None, by="", date="", answer=""
    )


def _same(entry: Entry) -> Entry:
    return replace(entry, of=None, place=None, how="")


# -- keeping --------------------------------------------------------------------------------------


def append(path: Path | str, entries: Sequence[Entry]) -> Finding | None:
    """Add entries to a notebook file, atomically and under its lock; a missing file is begun.

    None when done.
    """
    lines = [dump_entry(entry) for entry in entries]
    if not lines:
        return None
    return _unreadable(lines, path) or update_text(path, lambda text: _with(text, lines))


def _unreadable(lines: Iterable[str], path: Path | str) -> Finding | None:
    """Why entries could not be read back (no such day, say): that would lock the job."""
    with tempfile.TemporaryDirectory() as folder:
        trial = Path(folder) / "notebook.yaml"
        trial.write_text(_with("", lines), encoding="utf-8")
        found = next((f for f in load_notebook(trial).findings if f.fault), None)
    if found is None:
        return None
    message = f"nothing was saved: {found.message}"
    return replace(found, place=Place(Path(path).as_posix()), message=message)


def _with(text: str, entries: Iterable[str]) -> str:
    """The text of a notebook with entries behind those that it has."""
    if not text.strip():
        text = "\n".join(first_lines("notebook")) + "\nwiremap: notebook/1\nentries:\n"
    lines = text.splitlines()
    top = next((i for i, line in enumerate(lines) if _TOP.match(line)), None)
    if top is None:
        lines.append("entries:")
        top = len(lines) - 1
    if _NONE_YET.fullmatch(lines[top]):
        lines[top] = "entries:"
    end, indent = _end_of_list(lines, top)
    new = [f"{indent}- {entry}" for entry in entries]
    return "\n".join([*lines[: end + 1], *new, *lines[end + 1 :]]) + "\n"


def _end_of_list(lines: Sequence[str], top: int) -> tuple[int, str]:
    """The last line of the entries that begin below `top`, and how far they stand in."""
    end, indent = top, "  "
    for i in range(top + 1, len(lines)):
        line = lines[i]
        if _NEXT_KEY.match(line):
            break
        if line.strip() and not line.startswith("#"):
            end = i
        dash = _DASH.match(line)
        if dash is not None:
            indent = dash[1]
    return end, indent
