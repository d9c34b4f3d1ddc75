"""`wiremap start`: the first files of a job, by questions or as commented blanks."""

from __future__ import annotations

import argparse
import os
from pathlib import Path, PurePath
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.cli.common import OK, emit_json, json_flag, or_force, say, say_text, unread
from wiremap.cli.guided import guided
from wiremap.content.next_papers import shown_path
from wiremap.files import load_pinout
from wiremap.files.blanks import blank_job, blank_pinout
from wiremap.files.schemas import KINDS, VERSION, reference, schema_text
from wiremap.files.write import write_text
from wiremap.files.write_several import write_several

EXAMPLES = """examples:
  wiremap start
  wiremap start pinout --cavities 14 --rows 2 -o old.yaml
  wiremap start pinout --cavities 20 --rows 2 --view mating --half wired -o new.yaml
  wiremap start job old.yaml new.yaml -o job.yaml
  wiremap start schemas -o .
"""

MOST_DIGITS = 7  # a count with more is a slip of the finger


def add(subparsers: Any) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "start",
        help="begin a job: one question at a time, or a blank to fill in",
        epilog=EXAMPLES,
        description="By itself it asks for papers, shell, splice or adapter, volts, feeds and an "
        "in-line module, one question at a time, and proposes a job; stopped half way, it goes on "
        "where it was.",
    )
    parser.set_defaults(run=run)
    parser.add_argument(
        "--folder", default=".", metavar="DIR", help="where the questions write (default: here)"
    )
    kinds = parser.add_subparsers(dest="kind", metavar="KIND")
    pinout = kinds.add_parser("pinout", help="a blank for one connector")
    pinout.add_argument(
        "--cavities", required=True, metavar="N", help="how many cavities the connector has"
    )
    pinout.add_argument(
        "--rows", default="0", metavar="N", help="in how many rows they stand, counted row by row"
    )
    pinout.add_argument(
        "--view", choices=("mating", "wire-entry"), help="from which side the face is drawn"
    )
    pinout.add_argument(
        "--half", choices=("wired", "unit"), help="which half of the connector the face shows"
    )
    job = kinds.add_parser("job", help="a blank between two pinouts")
    job.add_argument("old", metavar="OLD", help="the machine's pinout")
    job.add_argument("new", metavar="NEW", help="the new unit's pinout")
    schemas = kinds.add_parser(
        "schemas", help="the schemas, so that an editor can help while you type"
    )
    for part in (pinout, job):
        part.add_argument("--title", default="", help="title of the connector or job")
        part.add_argument(
            "-o", "--output", metavar="FILE", help="write to this file instead of standard output"
        )
    schemas.add_argument(
        "-o",
        "--output",
        metavar="DIR",
        default=".",
        help="write into DIR/schemas (here: %(default)s)",
    )
    for part in (pinout, job, schemas):
        part.add_argument(
            "--force", action="store_true", help="write over a file that is there already"
        )
        json_flag(part)


def run(args: argparse.Namespace) -> int:
    """Ask, or write the blank; 0 when written, 2 when the call or a file could not be read."""
    if args.kind is None:
        return guided(args)
    try:
        if args.kind == "schemas":
            return _schemas(args)
        text = _pinout(args) if args.kind == "pinout" else _job(args)
        return _deliver(args, text)
    except Refused as refused:
        return unread(
            "start",
            refused.findings,
            as_json=args.json,
            empty={"file": None, "text": ""},
            lead="wiremap start: ",
        )


class Refused(Exception):
    """Carries why nothing is written."""

    def __init__(self, *findings: Finding) -> None:
        super().__init__()
        self.findings = findings


def _folder(args: argparse.Namespace) -> Path:
    """The folder that the blank is written to."""
    return Path(args.output).parent if args.output else Path()


def _pinout(args: argparse.Namespace) -> str:
    cavities, rows = _count(args, "cavities"), _count(args, "rows")
    if bool(args.view) != bool(args.half):
        words = "--view and --half go together"
        raise Refused(fault("call", words, fix="Give both, or neither and fill them in later."))
    schema = reference("pinout", _folder(args))
    try:
        return blank_pinout(
            cavities, rows, title=args.title, view=args.view, half=args.half, schema=schema
        )
    except ValueError as wrong:
        fix = "Count the cavities again, empty ones included."
        raise Refused(fault("call", str(wrong), fix=fix)) from None


def _count(args: argparse.Namespace, name: str) -> int:
    written = str(getattr(args, name))
    if not (written.isascii() and written.isdigit() and len(written) < MOST_DIGITS):
        words = f"--{name} wants a whole number, not `{written[:40]}`"
        raise Refused(fault("call", words, fix=f"Write --{name} 14."))
    return int(written)


def _job(args: argparse.Namespace) -> str:
    old, new = load_pinout(args.old), load_pinout(args.new)
    if old.value is None or new.value is None:
        findings = dict.fromkeys((*old.findings, *new.findings))
        raise Refused(*(found for found in findings if found.fault))
    folder = _folder(args)
    named = [_below(path, folder) for path in (args.old, args.new)]
    both = zip((args.old, args.new), named, strict=True)
    outside = [_outside(path) for path, inside in both if not inside]
    if outside:
        raise Refused(*outside)
    return blank_job(
        old.value, new.value, *named, title=args.title, schema=reference("job", folder)
    )


def _below(path: str, folder: Path) -> str:
    """A file's path from a folder; empty where it lies outside."""
    try:
        if Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder)):
            return PurePath(os.path.relpath(path, folder)).as_posix()
    except (OSError, ValueError):
        return ""
    return ""


def _outside(path: str) -> Finding:
    return fault(
        "outside-folder",
        "this pinout lies outside the folder that the job is written to",
        Place(Path(path).as_posix()),
        fix="Write the job beside its pinouts (-o), or copy the pinout there.",
    )


def _deliver(args: argparse.Namespace, text: str) -> int:
    """Write the text, or print it."""
    name = None
    if args.output:
        inputs = (args.old, args.new) if args.kind == "job" else ()
        wrong = write_text(args.output, text, overwrite=args.force, inputs=inputs)
        if wrong is not None:
            raise Refused(or_force(wrong))
        name = Path(args.output).as_posix()
    if args.json:
        emit_json("start", {"file": name, "text": text, "findings": []})
    elif name is None:
        say_text(text)
    else:
        say(f"wrote {name}")
        say(_next(args, name))
    return OK


def _next(args: argparse.Namespace, name: str) -> str:
    """What to do with the file."""
    if args.kind == "pinout":
        return f"next: fill in its cavities, then: wiremap check {shown_path(name)}"
    say(f"or have it proposed: wiremap propose {args.old} {args.new} -o proposed.yaml")
    return f"next: join what belongs together in it, then: wiremap check {shown_path(name)}"


def _schemas(args: argparse.Namespace) -> int:
    """Write the schemas, all of them or none."""
    above = Path(args.output)
    if not above.is_dir():
        words = "the folder cannot be made: the one above it is not there"
        raise Refused(fault("not-written", words, Place((above / "schemas").as_posix())))
    files = {}
    for kind in KINDS:
        files[above / "schemas" / f"{kind}-{VERSION}.json"] = schema_text(kind).encode()
    wrong = write_several(files, below=above, replace=files if args.force else ())
    if wrong is not None:
        raise Refused(or_force(wrong))
    written = [target.as_posix() for target in files]
    if args.json:
        emit_json("start", {"files": written, "findings": []})
    else:
        for name in written:
            say(f"wrote {name}")
    return OK
