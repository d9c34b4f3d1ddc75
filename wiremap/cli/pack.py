"""`wiremap pack`: a job and all it names in one file."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping
from typing import Any

from wiremap.base import Finding
from wiremap.check import check_job
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, or_force, say, unread
from wiremap.cli.next_line import tell_next
from wiremap.cli.progress import working
from wiremap.content.next_begun import after_pack
from wiremap.files import load_job
from wiremap.files.source import DIGITS
from wiremap.files.write import write_bytes
from wiremap.reports.text import said_of
from wiremap.share.members import SHEET
from wiremap.share.pack import Packed, pack
from wiremap.share.references import references

EXAMPLE = (
    'example:\n  wiremap pack job.yaml -o spreader.zip --author "RK" --licence CC-BY-4.0 '
    "--date 2026-03-02\n\n"
    "The same input gives the same bytes. Photos and makers' drawings are not packed: share only "
    "what you may."
)


def add(subparsers: Any) -> None:
    """Register `pack`."""
    parser = subparsers.add_parser(
        "pack",
        help="put a job and all it names into one file",
        epilog=EXAMPLE,
    )
    parser.add_argument("job", metavar="JOB")
    parser.add_argument("-o", "--output", metavar="FILE", required=True, help="the zip to write")
    parser.add_argument("--author", required=True, help="person or workshop that gives it away")
    parser.add_argument(
        "--licence", required=True, help="SPDX licence id of the mapping, for example CC-BY-4.0"
    )
    parser.add_argument("--date", required=True, help="date of the pack, as 2026-03-02")
    parser.add_argument("--sheet", action="store_true", help="put the splice sheet in as well")
    parser.add_argument(
        "--gather", action="store_true", help="copy in files from outside the job's folder"
    )
    parser.add_argument(
        "--force", action="store_true", help="replace an output that is already there"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Pack; 1 if the job holds (it is packed all the same, and says so), 2 if it is unread."""
    with working("packing"):
        packed = pack(
            args.job,
            author=args.author,
            licence=args.licence,
            date=args.date,
            gather=args.gather,
            beside=_sheet(args.job) if args.sheet else {},
        )
    if packed.data is None:
        return refuse(args, "pack", packed.findings)
    inputs = [args.job, *(reference.text for reference in references(args.job))]
    wrong = write_bytes(args.output, packed.data, overwrite=args.force, inputs=inputs)
    if wrong is not None:
        return refuse(args, "pack", [or_force(wrong)])
    return _tell(args, packed)


def _tell(args: argparse.Namespace, packed: Packed) -> int:
    manifest = packed.manifest
    if manifest["withdrawn"] is not None:
        note(f"WITHDRAWN: {manifest['withdrawn']}")
    if args.json:
        emit_json("pack", {"file": args.output, "manifest": manifest})
    else:
        count = len(manifest["files"])
        content = manifest["content"][:DIGITS]
        verdict = said_of(manifest["verdict"])
        say(f"{args.output}: {count} files, {verdict}, content {content}")
        tell_next(after_pack(args.job, args.output, held=manifest["verdict"] == "hold"))
    return HOLDS if manifest["verdict"] == "hold" else OK


def _sheet(job: str) -> dict[str, bytes]:
    """The splice sheet of a job that can be read."""
    loaded = load_job(job)
    if loaded.value is None:
        return {}
    from wiremap.sheet import sheet_pdf  # the drawing costs more than all the rest

    return {SHEET: sheet_pdf(check_job(loaded.value, read=loaded.findings))}


def build_report_words(report: Mapping[str, Any]) -> str:
    """A build report in one line."""
    count = report.get("pieces") or "some"
    revision = report.get("revision") or "?"
    how = report.get("how") or "nothing said"
    return f"built {count} of revision {revision}: {how} ({report.get('by')}, {report.get('date')})"


def refuse(args: argparse.Namespace, command: str, findings: Iterable[Finding]) -> int:
    """Say why nothing was done; the exit code of unread input."""
    return unread(
        command,
        findings,
        as_json=args.json,
        empty={"file": None},
        lead=f"wiremap {command}: ",
        mend="mend: ",
    )
