"""What is typed for a notebook: by whom, on which day, from which file; and its saving."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable, Sequence
from datetime import date

from wiremap.base import Finding, Place, fault, plural
from wiremap.cli import common
from wiremap.cli.common import note
from wiremap.entries.lines import text_of
from wiremap.entries.notebook import Saved
from wiremap.evidence import opened as opened_job
from wiremap.evidence.opened import OpenJob
from wiremap.model import Entry

STDIN = "-"
NAME_VARIABLE = "WIREMAP_BY"
SHOWN_STDIN = "standard input"
MOST_TYPED = 2**20  # bytes of a batch or of readings
READ_TYPED = MOST_TYPED + 1  # one more tells that there is more
BYTE_ORDER_MARK = "\ufeff"  # some editors put it first


def notebook_options(parser: argparse.ArgumentParser) -> None:
    """Add who writes, when, and where the entries go."""
    parser.add_argument(
        "--by",
        default=os.environ.get(NAME_VARIABLE, ""),
        metavar="NAME",
        help=f"whose hand it is (default: {NAME_VARIABLE})",
    )
    parser.add_argument("--date", default="", metavar="DAY", help="as 2026-03-02 (default: today)")
    parser.add_argument(
        "--notebook",
        metavar="FILE",
        help="the notebook (default: the job's, or one beside it)",
    )


def entry_date(args: argparse.Namespace) -> str:
    """The day that entries are dated with."""
    return str(args.date) or date.today().isoformat()


def future_date(args: argparse.Namespace) -> Finding | None:
    """A fault for a `--date` that is still to come: nobody has seen anything on it."""
    stated = args.date.strip()
    today = date.today()
    try:
        ahead = date.fromisoformat(stated) > today
    except ValueError:
        return None
    if not ahead:
        return None
    return fault(
        "future-date",
        f"the date {stated} is later than today ({today.isoformat()}); nothing was saved",
        fix="give the day on which it was seen, or leave --date out for today",
    )


def stdin_text() -> str | Finding:
    """Standard input as text, without the mark that some editors put first; or what is wrong."""
    place = Place(SHOWN_STDIN)
    if sys.stdin is None:
        return fault("no-such-file", "it is closed, so nothing can be read from it", place)
    buffer = getattr(sys.stdin, "buffer", None)
    data = sys.stdin.read(READ_TYPED).encode() if buffer is None else buffer.read(READ_TYPED)
    if len(data) > MOST_TYPED:
        words = f"it gives more than {MOST_TYPED // 2**20} MiB and is not read on"
        return fault("over-limit", words, place, fix="Give the lines of one sitting at a time.")
    try:
        return str(data, "utf-8").removeprefix(BYTE_ORDER_MARK)
    except UnicodeDecodeError:
        return fault("no-such-file", "it is not UTF-8 text", place, fix="Save it as plain text.")


def shown_name(path: str) -> str:
    """The name under which a file of lines, or standard input (`-`), is shown."""
    return SHOWN_STDIN if path == STDIN else path


def text_typed(path: str) -> str | Finding:
    """The text of a file of lines, or of standard input (`-`)."""
    return stdin_text() if path == STDIN else text_of(path)


def typed_lines(path: str) -> list[tuple[Place, str]] | Finding:
    """The lines of such a text with their places; empty ones and remarks (`#`) are left out."""
    text = text_typed(path)
    if isinstance(text, Finding):
        return text
    name = shown_name(path)
    return [
        (Place(name, number), line)
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]


def tell_unread(args: argparse.Namespace, command: str, findings: Iterable[Finding]) -> int:
    """Tell what could not be read, in words and, if asked for, as JSON; exit code 2."""
    listed = list(findings)
    faults = [each for each in listed if each.fault]
    return common.unread(command, faults or listed, as_json=args.json)


def save(opened: OpenJob, entries: Sequence[Entry]) -> Finding | None:
    """Append entries to the notebook, and say where, if the job does not name that file."""
    wrong = opened_job.save(opened, entries)
    if wrong is None:
        _tell_where(opened)
    return wrong


def _tell_where(opened: OpenJob) -> None:
    if not opened.named:
        note(f"saved in {opened.notebook.as_posix()}; {opened.name_it(opened.notebook)}")


def save_readings(
    opened: OpenJob, read: Sequence[Entry], fresh: Sequence[Entry], *, anew: bool
) -> Finding | None:
    """Save those of the readings that were not there already, and say how many were.

    What another saver has added meanwhile counts as there, unless all was measured `anew`.
    """
    if anew:
        saved = Saved(opened_job.save(opened, fresh), tuple(fresh))
    else:
        saved = opened_job.save_new(opened, read)
    if saved.fault is not None:
        return saved.fault
    _tell_where(opened)
    known = len(read) - len(saved.entries)
    words = f"{plural(len(saved.entries), 'reading')} saved in {opened.notebook.as_posix()}"
    if known:
        words += f"; {known} {'was' if known == 1 else 'were'} there already"
        words += " (what was measured anew counts by --readings -)"
    note(words)
    return None
