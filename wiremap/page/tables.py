"""A pin table typed or pasted: what each wording is read as, and its saving as a new file."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from wiremap.base import Finding
from wiremap.content.read_as import ReadAs, read_as
from wiremap.files.write_several import write_several
from wiremap.share.intake import intake
from wiremap.share.names import file_stem
from wiremap.share.taking import Intake
from wiremap.trade.colours import SYSTEMS, Letters

WITHOUT_HEADINGS = (  # what its columns are by their numbers, where they are no more than these
    {"cavity": "1", "signal": "2", "wire": "3"},
    {"cavity": "1", "signal": "2"},
)
NO_COLUMNS = "no-cavity-column"  # the rule of its fault
MOST_STEM = 100  # characters of a file's name
A_LIST = (
    "this is a list of joins, not a table of pins: take it in with `wiremap intake`, which writes "
    "a job from it"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PastedTable:
    """What a pasted table came to: its rows as read, what was assumed, what is wrong."""

    title: str
    name: str = ""  # of the file to write
    text: str = ""
    rows: tuple[ReadAs, ...] = ()
    assumed: tuple[str, ...] = ()
    wrong: tuple[str, ...] = ()


def read_pasted(text: str, title: str, letters: str) -> PastedTable:
    """Read a table as `intake` reads a file."""
    named = " ".join(title.split()) or "pin table"
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / f"{file_stem(named)[:MOST_STEM]}.tsv"
        path.write_text(text, encoding="utf-8", errors="replace", newline="")
        taken = _taken_in(path, named, next((each for each in SYSTEMS if each == letters), None))
    if taken.findings:
        return PastedTable(
            title=named, assumed=taken.assumed, wrong=tuple(map(_sentence, taken.findings))
        )
    if taken.pinout is None:
        return PastedTable(title=named, wrong=(A_LIST,))
    name, written = next(iter(taken.files.items()))
    return PastedTable(
        title=named, name=name, text=written, rows=read_as(taken.pinout), assumed=taken.assumed
    )


def save_table(table: PastedTable, folder: Path) -> Finding | None:
    """Write it beside the job, never over a file that is there; the fault if it was not."""
    return write_several({folder / table.name: table.text.encode()})


def _taken_in(path: Path, title: str, letters: Letters | None) -> Intake:
    """The table taken in by its headings; one without them by the order of its columns."""
    taken = intake(path, letters=letters, title=title, in_talk=True)
    if not any(found.rule == NO_COLUMNS for found in taken.findings):
        return taken
    for columns in WITHOUT_HEADINGS:
        again = intake(path, columns=columns, letters=letters, title=title, in_talk=True)
        if not again.findings:
            return again
    return taken


def _sentence(finding: Finding) -> str:
    return f"{finding.message} {finding.fix}".strip()
