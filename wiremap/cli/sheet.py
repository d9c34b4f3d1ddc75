"""`wiremap sheet`: print the splice sheet of a job."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from wiremap.base import Finding, fault, plural
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, or_force, say, unread
from wiremap.cli.next_line import tell_next
from wiremap.cli.progress import working
from wiremap.cli.sheet_flags import add_flags, flags_file
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.content.gather import gather
from wiremap.content.given import Given
from wiremap.content.next_step import after_sheet
from wiremap.content.texts import texts
from wiremap.files.write_several import refusal, write_several
from wiremap.ringout.plan import Method, TooLarge
from wiremap.sheet import ANNEX_PARTS, PAPERS, Sheet, compose, lacking, pdf, picture_svg

MOST_STRANGE = 8  # letters that the typeface lacks, named


def add(subparsers: Any) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "sheet",
        help="print the splice sheet",
        description="Writes the splice sheet of a job as a PDF, in the order of work. "
        "Of a job on hold what lifts the hold is printed, with HOLD across every page (exit code "
        "1); its pages of work only with --print-held.",
        epilog="examples:\n  wiremap sheet job.yaml -o sheet.pdf\n"
        "  wiremap sheet job.yaml -o sheet.pdf --annex findings,sources --force\n"
        "  wiremap sheet job.yaml -o map.svg\n"
        "  wiremap sheet job.yaml -o sheet.pdf --flags flags.pdf --labels 3x8",
    )
    parser.add_argument("job", metavar="JOB", help="the job file")
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        required=True,
        help="the PDF to write; with .svg, map and faces as one drawing",
    )
    parser.add_argument(
        "--annex",
        metavar="PARTS",
        nargs="?",
        const="all",
        default="",
        help="add the annex: all of it, or parts with commas between: " + ", ".join(ANNEX_PARTS),
    )
    parser.add_argument(
        "--method",
        choices=[str(method) for method in Method],
        help="how the ring-out proves circuits apart (default: what the equipment told allows)",
    )
    parser.add_argument(
        "--paper",
        choices=tuple(PAPERS),
        default="a4",
        help="paper size (default a4); a3 sets two pages side by side",
    )
    parser.add_argument(
        "--print-held",
        action="store_true",
        help="of a job on hold print the pages of work too",
    )
    add_flags(parser)
    parser.add_argument(
        "--filled-in",
        action="store_true",
        help="print what the notebook holds as well: readings, deeds, names, the record",
    )
    parser.add_argument(
        "--force", action="store_true", help="replace an output that is already there"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the sheet; 1 if the job holds, 2 if it could not be read."""
    wanted = _annex_parts(args.annex)
    if isinstance(wanted, Finding):
        return _refuse(args, wanted)
    targets = [Path(path) for path in (args.output, args.flags) if path]
    wrong = _why_not_writable(args, targets)
    if wrong is not None:
        return _refuse(args, wrong)
    try:
        with working("gathering the sheet"):
            given, faults = gather(Path(args.job), args.method)
    except TooLarge as large:
        return _refuse(args, fault("ringout-too-large", str(large), fix=large.fix))
    if given is None:
        return _refuse(args, *faults)
    tell_withdrawn(given.harness.job)
    given = replace(given, filled_in=args.filled_in)
    with working("drawing the sheet"):
        sheet = compose(given, wanted, print_held=args.print_held)
        outputs = {Path(args.output): _drawn(args, given, sheet)}
    if args.flags:
        flags = flags_file(args, given)
        if isinstance(flags, Finding):
            return _refuse(args, flags)
        outputs[Path(args.flags)] = flags
    replaced = targets if args.force else ()
    wrong = write_several(outputs, replace=replaced, inputs=given.inputs)
    if wrong is not None:
        return _refuse(args, or_force(wrong))
    return _tell(args, given, sheet)


def _annex_parts(typed: str) -> list[str] | Finding:
    """The parts of the annex that are asked for; a fault for one that there is not."""
    wanted = [part.strip() for part in typed.split(",") if part.strip()]
    if wanted == ["all"]:
        return list(ANNEX_PARTS)
    unknown = [part for part in wanted if part not in ANNEX_PARTS]
    if not unknown:
        return wanted
    words = f"no part of the annex is called `{unknown[0]}`"
    return fault("annex-part", words, fix=f"The parts are {', '.join(ANNEX_PARTS)}.")


def _why_not_writable(args: argparse.Namespace, targets: Sequence[Path]) -> Finding | None:
    """Why the sheet could not be written in the end, before anything is worked out."""
    if args.flags and os.path.abspath(args.flags) == os.path.abspath(args.output):
        words = "the sheet and the flags cannot be one file"
        return fault("call", words, fix="Give --flags another name.")
    wrong = refusal(targets, replace=targets if args.force else (), inputs=(args.job,))
    return None if wrong is None else or_force(wrong)


def _drawn(args: argparse.Namespace, given: Given, sheet: Sheet) -> bytes:
    """The sheet, or map and faces as one drawing, by the ending of the file's name."""
    if Path(args.output).suffix.lower() == ".svg":
        return picture_svg(given)
    return pdf(sheet, args.paper)


def _tell(args: argparse.Namespace, given: Given, sheet: Sheet) -> int:
    if args.json:
        shape = {
            "file": args.output,
            "verdict": "hold" if given.held else "in-order",
            "sections": [section.key for section in sheet.sections],
            "boxes": {"surveyed": given.surveyed, "rung_out": given.rung_out},
            "cautions": len(given.cautions),
        }
        emit_json("sheet", shape)
    else:
        say(f"written: {args.output} ({sheet.head.stamp}, hash {sheet.head.digest})")
        if args.flags:
            say(f"written: {args.flags}")
        strange = lacking(texts(sheet))
        if strange:
            codes = ", ".join(f"U+{ord(c):04X}" for c in strange[:MOST_STRANGE])
            note(f"the typeface lacks {codes}: printed as code points; write them otherwise")
        if given.held:
            reasons = plural(len(given.stops), "reason")
            note(f"on hold for {reasons}")
        tell_next(after_sheet(given))
    return HOLDS if given.held or given.wrong_at_power else OK


def _refuse(args: argparse.Namespace, *found: Finding) -> int:
    empty = {"file": None, "verdict": "unread"}
    return unread("sheet", found, as_json=args.json, empty=empty, lead="wiremap sheet: ")
