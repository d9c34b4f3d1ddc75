"""`wiremap compare`: what differs between two revisions, and what it does."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import Any

from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, plural, say
from wiremap.cli.next_line import tell_next
from wiremap.cli.pack import refuse, told_built
from wiremap.cli.progress import working
from wiremap.content.next_step import after_compare
from wiremap.share.built import report
from wiremap.share.revisions import FEW_CIRCUITS, Compared, compare_paths


def add(subparsers: Any) -> None:
    """Register `compare`."""
    parser = subparsers.add_parser(
        "compare",
        help="tell two revisions apart by what they mean",
        epilog="exit codes: 0 they mean the same, 1 they differ, 2 one could not be read",
        description="Two jobs, two pinouts, two packs, or two folders with one job each. "
        "The order of rows, the names of ends and the spelling of colours count for nothing.",
    )
    parser.add_argument("old", metavar="A")
    parser.add_argument("new", metavar="B")
    parser.add_argument(
        "--full",
        action="store_true",
        help=f"count the harmful slips of jobs of more than {FEW_CIRCUITS} circuits too",
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Compare; 1 if they differ."""
    with working("comparing"):
        found = compare_paths(args.old, args.new, full=args.full)
    if found.findings:
        return refuse(args, "compare", found.findings)
    for line in found.withdrawn:
        note(f"WITHDRAWN: {line}")
    if args.json:
        emit_json("compare", _shape(found))
    else:
        _tell(args, found)
    return HOLDS if found.changes else OK


def _shape(found: Compared) -> dict[str, Any]:
    return {
        "same": not found.changes,
        "changes": [asdict(change) for change in found.changes],
        "verdict": list(found.verdict) or None,
        "harm": list(found.harm) or None,
        "withdrawn": list(found.withdrawn),
        "built": [[report(entry) for entry in entries] for entries in found.built] or None,
    }


def _tell(args: argparse.Namespace, found: Compared) -> None:
    for change in found.changes:
        say(f"{change.kind:14} {change.message}")
    if found.verdict:
        verdicts = " -> ".join(found.verdict)
        harm = " -> ".join(map(str, found.harm)) or "not counted for a job so large (--full does)"
        say(f"verdict: {verdicts}; slips that can do harm: {harm}")
    for path, entries in zip((args.old, args.new), found.built, strict=False):
        for entry in entries:
            say(f"{path}: {told_built(report(entry))}")
    if found.changes:
        say(plural(len(found.changes), "difference"))
    else:
        say("they mean the same")
    tell_next(after_compare(args.new, same=not found.changes))
