"""`wiremap start`: write a commented blank to fill in."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterable, Sequence
from pathlib import Path, PurePath
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.cli.common import OK, emit_json, json_flag, say, unread
from wiremap.files import load_pinout
from wiremap.files.blanks import blank_job, blank_pinout
from wiremap.files.schemas import KINDS, VERSION, reference, schema_text
from wiremap.files.write import write_text

EXAMPLES = """examples:
  wiremap start pinout --cavities 14 --rows 2 -o old.yaml
  wiremap start pinout --cavities 20 --rows 2 --view mating --half wired -o new.yaml
  wiremap start job old.yaml new.yaml -o job.yaml
  wiremap start schemas -o .
"""


def add(subparsers: Any) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "start",
        help="write a commented blank to fill in",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    kinds = parser.add_subparsers(dest="kind", metavar="KIND", required=True)
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
    """Write the blank; 0 when written, 2 when the call or a file could not be read."""
    if args.kind == "schemas":
        return _schemas(args)
    text, faults = _pinout(args) if args.kind == "pinout" else _job(args)
    if faults:
        return _refused(faults, args.json)
    inputs = (args.old, args.new) if args.kind == "job" else ()
    return _deliver(args, text, inputs)


def _folder(args: argparse.Namespace) -> Path:
    return Path(args.output).parent if args.output else Path()


def _pinout(args: argparse.Namespace) -> tuple[str, Sequence[Finding]]:

    counts = []
    for name in ("cavities", "rows"):
        written = str(getattr(args, name))
        if not (written.isascii() and written.isdigit() and len(written) < 7):
            return "", (
                fault(
                    "call",
                    f"--{name} wants a whole number, not `{written[:40]}`",
                    fix=f"Write --{name} 14.",
                ),
            )
        counts.append(int(written))
    if bool(args.view) != bool(args.half):
        return "", (
            fault(
                "call",
                "--view and --half go together",
                fix="Give both, or neither and fill them in later.",
            ),
        )
    try:
        return blank_pinout(
            *counts,
            title=args.title,
            view=args.view,
            half=args.half,
            schema=reference("pinout", _folder(args)),
        ), ()
    except ValueError as wrong:
        return "", (
            fault("call", str(wrong), fix="Count the cavities again, empty ones included."),
        )


def _job(args: argparse.Namespace) -> tuple[str, Sequence[Finding]]:

    old, new = load_pinout(args.old), load_pinout(args.new)
    if old.value is None or new.value is None:
        return "", [found for found in dict.fromkeys((*old.findings, *new.findings)) if found.fault]
    folder = _folder(args)
    named = [_below(path, folder) for path in (args.old, args.new)]
    outside = [
        path for path, inside in zip((args.old, args.new), named, strict=True) if inside is None
    ]
    if outside:
        return "", [
            fault(
                "outside-folder",
                "this pinout lies outside the folder that the job is written to",
                Place(Path(path).as_posix()),
                fix="Write the job beside its pinouts (-o), or copy the pinout there.",
            )
            for path in outside
        ]
    return blank_job(
        old.value,
        new.value,
        named[0] or "",
        named[1] or "",
        title=args.title,
        schema=reference("job", folder),
    ), ()


def _below(path: str, folder: Path) -> str | None:
    try:
        inside = Path(path).resolve().is_relative_to(folder.resolve())
        return PurePath(os.path.relpath(path, folder)).as_posix() if inside else None
    except (OSError, ValueError):
        return None


def _deliver(args: argparse.Namespace, text: str, inputs: Iterable[str]) -> int:
    if not args.output:
        if args.json:
            emit_json("start", {"file": None, "text": text, "findings": []})
        else:
            say(text.rstrip("\n"))
        return OK

    refused = write_text(args.output, text, overwrite=args.force, inputs=inputs)
    if refused is not None:
        return _refused([refused], args.json)
    if args.json:
        emit_json("start", {"file": Path(args.output).as_posix(), "text": text, "findings": []})
    else:
        shown = Path(args.output).as_posix()
        say(f"wrote {shown}")
        say(
            "next: fill in its cavities, then `wiremap check " + shown + "`"
            if args.kind == "pinout"
            else f"next: join what belongs together, then `wiremap check {shown}`; or have it proposed: "
            f"`wiremap propose {args.old} {args.new}`"
        )
    return OK


def _schemas(args: argparse.Namespace) -> int:

    folder = Path(args.output) / "schemas"
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        return _refused(
            [
                fault(
                    "not-written",
                    f"the folder cannot be made: {(error.strerror or 'no such name').lower()}",
                    Place(folder.as_posix()),
                )
            ],
            args.json,
        )
    written = []
    for kind in KINDS:
        target = folder / f"{kind}-{VERSION}.json"
        refused = write_text(target, schema_text(kind), overwrite=args.force)
        if refused is not None:
            return _refused([refused], args.json)
        written.append(target.as_posix())
    if args.json:
        emit_json("start", {"files": written, "findings": []})
    else:
        for name in written:
            say(f"wrote {name}")
    return OK


def _refused(faults: Sequence[Finding], as_json: bool) -> int:
    return unread(
        as_json, "start", faults, empty={"file": None, "text": ""}, lead="wiremap start: "
    )
