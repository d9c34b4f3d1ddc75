"""`wiremap compare`: what differs between two revisions, and what it does."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import Any

from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, say
from wiremap.cli.pack import refuse, told_built
from wiremap.share.pack import report
from wiremap.share.revisions import compare_paths


def add(subparsers: Any) -> None:
    """Register `compare`."""
    parser = subparsers.add_parser(
        "compare",
        help="tell two revisions apart by what they mean",
        epilog="exit codes: 0 they mean the same, 1 they differ, 2 one could not be read",
        description="Two jobs, two pinouts, two packs, or two folders with one job each. The order of rows, "
        "the names of ends and the spelling of colours count for nothing.",
    )
    parser.add_argument("old", metavar="A")
    parser.add_argument("new", metavar="B")
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Compare; 1 if they differ."""

    found = compare_paths(args.old, args.new)
    if found.findings:
        return refuse(args, "compare", found.findings)
    for line in found.withdrawn:
        note(f"WITHDRAWN: {line}")
    if args.json:
        emit_json(
            "compare",
            {
                "same": not found.changes,
                "changes": [asdict(c) for c in found.changes],
                "verdict": list(found.verdict) or None,
                "harm": list(found.harm) or None,
                "withdrawn": list(found.withdrawn),
                "built": [[report(e) for e in entries] for entries in found.built] or None,
            },
        )
    else:
        for c in found.changes:
            say(f"{c.kind:14} {c.message}")
        if found.verdict:
            say(
                f"verdict: {found.verdict[0]} -> {found.verdict[1]}; slips that can do harm: {found.harm[0]} -> {found.harm[1]}"
            )
        for path, entries in zip((args.old, args.new), found.built, strict=False):
            for e in entries:
                say(f"{path}: {told_built(report(e))}")
        say(
            "they mean the same"
            if not found.changes
            else f"{len(found.changes)} difference{'s' * (len(found.changes) != 1)}"
        )
    return HOLDS if found.changes else OK
