"""`wiremap intake`: a table of pins or a from/to list becomes files of ours, and the way back."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from wiremap.base import Finding, fault, only
from wiremap.cli.common import OK, UNREAD, emit_json, json_flag, note, say, say_text
from wiremap.cli.pack import refuse
from wiremap.cli.progress import working
from wiremap.cli.saving import STDIN, stdin_text
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.content.next_papers import after_intake
from wiremap.files import Files
from wiremap.files.write import write_text
from wiremap.files.write_several import write_several
from wiremap.model import Job, Pinout
from wiremap.share.csv_out import job_csv, not_carried, pinout_csv
from wiremap.share.intake import ToldOfTable, intake, intake_pasted
from wiremap.share.taking import Intake

EXAMPLES = """examples:
  wiremap intake table.csv                                  # print the pinout
  wiremap intake table.csv -o pinouts/                      # write it into a folder
  wiremap intake plug-a.csv plug-b.csv new.csv -o pinouts/  # several at once
  wiremap intake table.xlsx --columns cavity=2,signal=Name --letters german -o .
  wiremap intake - -o pinouts/                              # paste a table
  wiremap intake --back pinout.yaml -o table.csv            # a pinout or job as CSV
"""


def add(subparsers: Any) -> None:
    """Register `intake`."""
    parser = subparsers.add_parser(
        "intake",
        help="read a table of pins or a from/to list",
        epilog=EXAMPLES,
    )
    parser.add_argument(
        "tables",
        nargs="+",
        metavar="TABLE",
        help="CSV, TSV, workbook, or - to paste; several with -o",
    )
    parser.add_argument(
        "-o", "--output", metavar="DIR", help="folder for the files (with --back: the CSV to write)"
    )
    parser.add_argument(
        "--columns",
        metavar="FIELD=COLUMN,...",
        default="",
        help="which column holds what, by heading or number",
    )
    parser.add_argument(
        "--letters",
        choices=("iec", "german", "japanese"),
        help="the colour letters that the table uses",
    )
    parser.add_argument("--title", help="title of the pinout")
    parser.add_argument(
        "--back", action="store_true", help="the other way: write a pinout or job as CSV"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Take the table in; 2 if it could not be read."""
    if only(args.tables) is None and (args.back or args.json or not args.output):
        fix = "Give one table; several are written at once with -o DIR."
        return refuse(args, "intake", [fault("call", "one table at a time", fix=fix)])
    if args.back:
        return _give_back(args)
    columns = _columns(args)
    if columns is None:
        return UNREAD
    all_taken = []
    for table in args.tables:
        taken = _intake(args, table, columns)
        if isinstance(taken, Finding):
            return refuse(args, "intake", [taken])
        if taken.findings:
            return refuse(args, "intake", taken.findings)
        all_taken.append(taken)
    if args.output:
        wrong = _write(Path(args.output), all_taken)
        if wrong is not None:
            return refuse(args, "intake", [wrong])
    return _tell(args, all_taken)


def _columns(args: argparse.Namespace) -> dict[str, str] | None:
    """Which column holds what, as typed; None, and said, where it cannot be read."""
    columns = {}
    for part in filter(None, args.columns.split(",")):
        field, sep, column = part.partition("=")
        if not sep:
            note(f"wiremap intake: --columns wants FIELD=COLUMN, not {part!r}")
            return None
        columns[field.strip()] = column.strip()
    return columns


def _intake(args: argparse.Namespace, table: str, columns: Mapping[str, str]) -> Intake | Finding:
    """What the file comes to, or the table that is pasted into standard input."""
    if table != STDIN:
        with working("taking the table in"):
            return intake(table, columns=columns, letters=args.letters, title=args.title)
    if sys.stdin is not None and sys.stdin.isatty():
        note("paste the table, then end it: Ctrl-D, on Windows Ctrl-Z and Enter")
    text = stdin_text()
    if isinstance(text, Finding):
        return text
    told_of_table = ToldOfTable(columns=columns, letters=args.letters, title=args.title)
    return intake_pasted(text, told_of_table)


def _tell(args: argparse.Namespace, all_taken: Sequence[Intake]) -> int:
    """Say what was assumed and written; the texts themselves where nothing was."""
    written = []
    if args.output:
        folder = Path(args.output)
        written = [(folder / name).as_posix() for taken in all_taken for name in taken.files]
    taken, *_ = all_taken
    if args.json:
        files = written or dict(taken.files)
        emit_json("intake", {"kind": taken.kind, "files": files, "assumed": list(taken.assumed)})
        return OK
    for assumed in dict.fromkeys(_assumed(all_taken)):
        note(f"assumed: {assumed}")
    for name in written:
        say(f"written: {name}")
    if not written:
        _print(taken.files)
    note(f"next: {after_intake(written)}")
    return OK


def _assumed(all_taken: Sequence[Intake]) -> Iterator[str]:
    """What was assumed; of several tables with the file that it was assumed of, but for all."""
    for taken in all_taken:
        name = next(iter(taken.files), "")
        for each in taken.assumed:
            of_all = all(each in other.assumed for other in all_taken)
            yield each if of_all or not name else f"{name}: {each}"


def _print(files: Mapping[str, str]) -> None:
    for name, text in files.items():
        lead = f"# ---- {name}\n" if len(files) > 1 else ""
        say_text(f"{lead}{text}")


def _write(folder: Path, all_taken: Sequence[Intake]) -> Finding | None:
    """Write all files into a folder that holds none of their names; why not, if not."""
    files = {name: text for taken in all_taken for name, text in taken.files.items()}
    if len(files) < sum(len(taken.files) for taken in all_taken):
        fix = "Take them in one at a time, into folders of their own."
        return fault("call", "two tables bear one name", fix=fix)
    if folder.exists() and not folder.is_dir():
        words = f"{folder} is a file; a folder is wanted"
        fix = "Name another folder, or move what is there."
        return fault("output-exists", words, fix=fix)
    texts = {folder / name: text.encode() for name, text in files.items()}
    return write_several(texts, below=folder)


def _give_back(args: argparse.Namespace) -> int:
    """A pinout or job as CSV."""
    (table,) = args.tables
    loaded = Files().any(table)
    paper = loaded.value
    if not isinstance(paper, Job | Pinout):
        kind = fault(
            "wrong-kind",
            "a pinout or a job is wanted here",
            fix="Name a file that begins with `wiremap: pinout/1` or `wiremap: job/1`.",
        )
        return refuse(args, "intake", loaded.findings or [kind])
    tell_withdrawn(paper)
    if isinstance(paper, Pinout):
        text = pinout_csv(paper)
        for what in not_carried(paper):
            note(f"not in the table: {what}")
    else:
        text = job_csv(paper)
    if not args.output:
        say_text(text.replace("\r\n", "\n"))
        return OK
    wrong = write_text(args.output, text, inputs=args.tables)
    if wrong is not None:
        return refuse(args, "intake", [wrong])
    say(f"written: {args.output}")
    return OK
