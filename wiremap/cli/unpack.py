"""`wiremap unpack`: verify a pack and lay it out."""

from __future__ import annotations

import argparse
from typing import Any

from wiremap.cli.common import OK, emit_json, json_flag, say
from wiremap.cli.pack import refuse


def add(subparsers: Any) -> None:
    """Register `unpack`."""
    parser = subparsers.add_parser(
        "unpack",
        help="verify a pack and lay it out",
        description="Everything is verified before anything is written; nothing is ever overwritten.",
    )
    parser.add_argument("pack", metavar="FILE")
    parser.add_argument("folder", metavar="DIR", help="a new or empty folder")
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Unpack; 2 if the pack is unfit or the folder in use."""
    from wiremap.share.unpack import unpack

    opened = unpack(args.pack, args.folder)
    if opened.findings:
        return refuse(args, "unpack", opened.findings)
    told = opened.manifest
    if args.json:
        emit_json("unpack", {"folder": args.folder, "manifest": told})
        return OK
    say(
        f"{args.folder}: {len(opened.files)} files from {told.get('author', 'nobody named')}, {told.get('date', 'no date')}, "
        f"licence {told.get('licence', 'not stated')}"
    )
    if told.get("withdrawn"):
        say(f"  WITHDRAWN: {told['withdrawn']}")
    for built in told.get("built") or ():
        if isinstance(built, dict):
            count, revision = built.get("pieces") or "some", built.get("revision") or "?"
            how = f"{built.get('how') or 'nothing said'} ({built.get('by')}, {built.get('date')})"
            say(f"  built {count} of revision {revision}: {how}")
    say(f"the sender's check said: {told.get('verdict')}; check it yourself: wiremap check {args.folder}/{told['job']}")
    return OK
