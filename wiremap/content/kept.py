"""The entries of a job's notebooks as lines: each with the mark by which it can be struck out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from wiremap.model import Entry, EntryKind, Job
from wiremap.model.quantities import read_ohms


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLine:
    """One entry: its mark, whether it was struck out, and what it says in a line."""

    mark: str
    struck: bool
    words: str
    by: str
    date: str
    time: str

    def as_dict(self) -> dict[str, Any]:
        """The line as plain data."""
        return {
            "mark": self.mark,
            "struck": self.struck,
            "says": self.words,
            "by": self.by,
            "date": self.date,
        }


def kept_lines(job: Job) -> Iterator[KeptLine]:
    """Every entry of every notebook in the order of the files, those struck out among them."""
    for notebook in job.notebooks:
        struck = {id(entry) for entry in notebook.struck}
        every = (*notebook.entries, *notebook.struck, *notebook.waiting)
        for entry in sorted(every, key=line_of):
            yield KeptLine(
                mark=entry.own_mark,
                struck=id(entry) in struck,
                words=entry_words(entry),
                by=entry.by,
                date=entry.date,
                time=entry.time,
            )


def line_of(entry: Entry) -> int:
    """The line of its file on which an entry begins."""
    return entry.place.line if entry.place else 0


def entry_words(entry: Entry) -> str:
    """What an entry says, in one line."""
    words = [str(entry.kind)]
    if entry.kind == EntryKind.ANSWER:
        words.append(f"{entry.about}: {entry.answer}")
    elif entry.kind == EntryKind.ACCEPT:
        words.append(f"{entry.rule} at {', '.join(entry.subject)}: {entry.why}")
        words.append(f"(licence: {entry.licensed})" if entry.licensed else "")
    elif entry.kind in (EntryKind.STRUCK_OUT, EntryKind.ADOPTED):
        words.append(entry.mark)
    elif entry.kind == EntryKind.STOP_PASSED:
        words.append(f"{entry.stop}, {entry.second or 'alone'}")
        words.append(f"(unread: {entry.why})" if entry.why else "")
    elif entry.kind == EntryKind.MENDED:
        words.append(f"at {', '.join(entry.points)}")
        words.append(f"({entry.what})" if entry.what else "")
    elif entry.kind == EntryKind.DONE:
        words.append(entry.what)
        words.append(", ".join(entry.points))
    else:
        words.append(reading_words(entry))
    return " ".join(word for word in words if word)


def reading_words(entry: Entry) -> str:
    """Where the probes were and what the meter showed."""
    where = "+".join(entry.red)
    if entry.black:
        where += f" to {'+'.join(entry.black)}"
    shown = [str(entry.seen)] if entry.seen is not None else []
    if entry.volts is not None:
        shown.append(f"{entry.volts:g} V")
    if entry.amps is not None:
        shown.append(f"{entry.amps:g} A")
    if entry.ohms is not None:
        shown.append(read_ohms(entry.ohms))
    if entry.key is not None:
        shown.append(f"ignition {entry.key}")
    if entry.state:
        shown.append(entry.state)
    return f"{where}: {', '.join(shown)}" if shown else where
