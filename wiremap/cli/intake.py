"""`wiremap intake`: a table of pins or a from/to list becomes files of ours, and the way back."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from wiremap.base import fault
from wiremap.cli.common import OK, UNREAD, emit_json, json_flag, note, say
from wiremap.cli.pack import refuse
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.files import Reader
from wiremap.files.write import write_text
from wiremap.model import Job, Pinout
from wiremap.share.csv_out import job_csv, left_out, pinout_csv
from wiremap.share.intake import intake

EXAMPLES = """examples:
  wiremap intake table.csv                                  # print the pinout
  wiremap intake table.csv -o pinouts/                      # write it into a folder
  wiremap intake table.xlsx --columns cavity=2,signal=Name --letters german -o .
  wiremap intake --back pinout.yaml -o table.csv            # a pinout or job as CSV
"""


def add(subparsers: Any) -> None:
    """Register `intake`."""
    parser = subparsers.add_parser(
        "intake",
        help="read a table of pins or a from/to list",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "table", metavar="TABLE", help="CSV, TSV or workbook (with --back: a pinout or job)"
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
    if args.back:
        return _back(args)

    columns, bad = {}, ""
    for part in filter(None, args.columns.split(",")):
        key, sep, value = part.partition("=")
        columns[key.strip()] = value.strip()
        bad = bad or ("" if sep else part)
    if bad:
        note(f"wiremap intake: --columns wants FIELD=COLUMN, not {bad!r}")
        return UNREAD
    taken = intake(args.table, columns=columns, letters=args.letters, title=args.title)
    if taken.findings:
        return refuse(args, "intake", taken.findings)
    written = _write(args, taken.files) if args.output else []
    if written is None:
        return UNREAD
    if args.json:
        emit_json(
            "intake",
            {
                "kind": taken.kind,
                "files": written or dict(taken.files),
                "assumed": list(taken.assumed),
            },
        )
        return OK
    for assumed in taken.assumed:
        note(f"assumed: {assumed}")
    if args.output:
        say("\n".join(f"written: {name}" for name in written))
    else:
        several = len(taken.files) > 1
        say(
            "\n".join(
                (f"# ---- {name}\n{text}" if several else text).rstrip("\n")
                for name, text in taken.files.items()
            )
        )
    return OK


def _write(args: argparse.Namespace, files: Any) -> list[str] | None:

    folder = Path(args.output)
    if folder.exists() and not folder.is_dir():
        refuse(
            args, "intake", [_finding("output-exists", f"{folder} is a file; a folder is wanted")]
        )
        return None
    folder.mkdir(parents=True, exist_ok=True)
    taken = [name for name in files if (folder / name).exists()]
    if taken:
        refuse(
            args,
            "intake",
            [
                _finding(
                    "output-exists", f"{folder / taken[0]} is there already; nothing was written"
                )
            ],
        )
        return None
    for name, text in files.items():
        wrong = write_text(folder / name, text)
        if wrong is not None:
            refuse(args, "intake", [wrong])
            return None
    return [(folder / name).as_posix() for name in files]


def _finding(rule: str, message: str) -> Any:

    return fault(rule, message, fix="Name another folder, or move what is there.")


def _back(args: argparse.Namespace) -> int:

    loaded = Reader().any(args.table)
    if not isinstance(loaded.value, (Job, Pinout)):
        return refuse(
            args,
            "intake",
            loaded.findings or [_finding("wrong-kind", "a pinout or a job is wanted here")],
        )
    tell_withdrawn(loaded.value)
    text = pinout_csv(loaded.value) if isinstance(loaded.value, Pinout) else job_csv(loaded.value)
    for what in left_out(loaded.value) if isinstance(loaded.value, Pinout) else ():
        note(f"not in the table: {what}")
    if not args.output:
        say(text.replace("\r\n", "\n").rstrip("\n"))
        return OK
    wrong = write_text(args.output, text, inputs=[args.table])
    if wrong is not None:
        return refuse(args, "intake", [wrong])
    say(f"written: {args.output}")
    return OK
