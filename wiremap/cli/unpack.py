"""`wiremap unpack`: verify a pack and lay it out."""

from __future__ import annotations

import argparse
from typing import Any

from wiremap.cli.common import OK, emit_json, json_flag, note, say
from wiremap.cli.next_line import tell_next
from wiremap.cli.pack import build_report_words, refuse
from wiremap.content.next_papers import shown_path
from wiremap.reports.text import said_of
from wiremap.share.opening import Opened
from wiremap.share.unpack import unpack


def add(subparsers: Any) -> None:
    """Register `unpack`."""
    parser = subparsers.add_parser(
        "unpack",
        help="verify a pack and lay it out",
        description="Everything is verified before anything is written; nothing is ever "
        "overwritten.",
    )
    parser.add_argument("pack", metavar="FILE")
    parser.add_argument("folder", metavar="DIR", help="a new or empty folder")
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Unpack; 2 if the pack is unfit or the folder in use."""
    opened = unpack(args.pack, args.folder)
    if opened.findings:
        return refuse(args, "unpack", opened.findings)
    if opened.manifest.get("withdrawn") is not None:
        note(f"WITHDRAWN: {opened.manifest['withdrawn']}")
    if args.json:
        emit_json("unpack", {"folder": args.folder, "manifest": opened.manifest})
    else:
        _tell(args.folder, opened)
    return OK


def _tell(folder: str, opened: Opened) -> None:
    stated = opened.manifest
    author = stated.get("author", "nobody named")
    date = stated.get("date", "no date")
    licence = stated.get("licence", "not stated")
    say(f"{folder}: {len(opened.files)} files from {author}, {date}, licence {licence}")
    for built in stated.get("built") or ():
        if isinstance(built, dict):
            say(f"  {build_report_words(built)}")
    verdict = stated.get("verdict")
    job = f"{folder}/{stated['job']}"
    say(f"the sender's check said: {said_of(verdict)}")
    tell_next(f"check it yourself: wiremap check {shown_path(job)}")
