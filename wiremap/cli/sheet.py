"""`wiremap sheet`: print the splice sheet of a job."""

from __future__ import annotations

import argparse
import os
import tempfile
from pathlib import Path
from typing import Any

from wiremap.base import Finding, fault
from wiremap.cli.common import HOLDS, OK, UNREAD, emit_json, json_flag, note, say


def add(subparsers: Any) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "sheet", help="print the splice sheet",
        description="Writes the splice sheet of a job as a PDF: bench pages, and the annex on wish. A job on hold is printed too, with HOLD "
                    "on every page (exit code 1).",
        epilog="examples:\n  wiremap sheet job.yaml -o sheet.pdf\n  wiremap sheet job.yaml -o sheet.pdf --annex lengths,flags --force",
        formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("job", metavar="JOB", help="the job file")
    parser.add_argument("-o", "--output", metavar="FILE", required=True, help="the PDF to write")
    parser.add_argument("--annex", metavar="PARTS", nargs="?", const="all", default="",
                        help="add the annex: all of it, or parts with commas between: survey, lengths, fuses, feed, parts, flags, findings, sources")
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default a4)")
    parser.add_argument("--flags", metavar="FILE", help="also write the wire flags as CSV for a label printer")
    parser.add_argument("--force", action="store_true", help="replace an output that is already there")
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the sheet; 1 if the job holds, 2 if it could not be read."""
    from wiremap.sheet import ANNEX_PARTS

    asked = [part.strip() for part in str(args.annex).split(",") if part.strip()]
    wanted = list(ANNEX_PARTS) if asked == ["all"] else asked
    if unknown := [part for part in wanted if part not in ANNEX_PARTS]:
        return _refuse(args, fault("annex-part", f"no part of the annex is called `{unknown[0]}`",
                                   fix=f"The parts are {', '.join(ANNEX_PARTS)}."))
    outputs = [Path(name) for name in (args.output, args.flags) if name]
    for target in outputs:
        if (wrong := _in_the_way(target, args.force)) is not None:
            return _refuse(args, wrong)
    return _made(args, wanted, outputs)


def _made(args: argparse.Namespace, wanted: list[str], outputs: list[Path]) -> int:
    from wiremap.sheet import compose, pdf
    from wiremap.sheet.gather import gather

    given, faults = gather(Path(args.job))
    if given is None:
        return _refuse(args, *faults)
    inputs = {Path(place).resolve() for place in given.inputs}
    if touched := [t for t in outputs if t.resolve() in inputs]:
        return _refuse(args, fault("output-is-input", f"{touched[0]} is an input of this job and is not written over", fix="Name another file with -o."))
    sheet = compose(given, wanted)
    try:
        _write(outputs[0], pdf(sheet, args.paper))
        if args.flags:
            from wiremap.sheet.flags import flags_csv
            _write(outputs[1], flags_csv(given).encode("utf-8-sig"))
    except OSError as reason:
        return _refuse(args, fault("cannot-write", f"{reason.filename or outputs[0]} cannot be written: {reason.strerror}",
                                   fix="Name a folder that is there and may be written to."))
    verdict = "hold" if given.held else "in-order"
    if args.json:
        emit_json("sheet", {"file": str(outputs[0]), "verdict": verdict, "sections": [s.key for s in sheet.sections],
                            "boxes": {"surveyed": given.surveyed, "rung_out": given.rung_out}, "cautions": len(given.cautions)})
    else:
        say(f"{outputs[0]}: {sheet.head.stamp}")
        if given.held:
            note(f"on hold for {len(given.stops)} reason{'s' * (len(given.stops) != 1)}; see: wiremap check {args.job}")
    return HOLDS if given.held else OK


def _in_the_way(target: Path, force: bool) -> Finding | None:
    if target.is_symlink():
        return fault("output-is-link", f"{target} is a link and is not followed", fix="Name a plain file with -o.")
    if target.is_dir():
        return fault("output-is-folder", f"{target} is a folder", fix="Name a file with -o.")
    if target.exists() and not force:
        return fault("output-exists", f"{target} is already there and is not written over", fix="Name another file, or add --force to replace it.")
    return None


def _refuse(args: argparse.Namespace, *found: Finding) -> int:
    if args.json:
        emit_json("sheet", {"file": None, "verdict": "unread", "findings": [
            {"rule": f.rule, "severity": f.severity.value, "subject": list(f.subject), "file": f.place.path if f.place else None,
             "line": f.place.line if f.place else None, "column": f.place.col if f.place else None, "message": f.message, "why": f.why,
             "fix": f.fix, "accepted": None} for f in found]})
    for f in found:
        note(f"{f.place}: {f.message}" if f.place else f"wiremap sheet: {f.message}")
        if f.fix:
            note(f"  {f.fix}")
    return UNREAD


def _write(target: Path, data: bytes) -> None:
    """All or nothing: a fresh file beside the target, then one move."""
    handle, name = tempfile.mkstemp(prefix=".wiremap-", suffix=target.suffix, dir=target.parent or Path("."))
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, target)
    except BaseException:
        os.unlink(name)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
