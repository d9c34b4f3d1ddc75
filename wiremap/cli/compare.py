"""`wiremap compare`: what differs between two revisions, and what it does."""

from __future__ import annotations

import argparse
import math
from dataclasses import asdict
from typing import Any

from wiremap.base import Finding, fault, plural, visible
from wiremap.check import PaperVerdict
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, say
from wiremap.cli.next_line import tell_next
from wiremap.cli.pack import build_report_words, refuse
from wiremap.cli.progress import working
from wiremap.content.next_begun import after_compare, after_ways
from wiremap.reports.screen import ONE_LINE, lines_up_to
from wiremap.reports.text import VERDICTS
from wiremap.reports.ways import ways_text
from wiremap.share.build_reports import build_report_dict
from wiremap.share.harm import FEW_CIRCUITS
from wiremap.share.revisions import Compared, compare_paths
from wiremap.share.way import Minutes
from wiremap.share.ways import Ways, compare_ways

EXAMPLES = """examples:
  wiremap compare spreader-r2.zip spreader-r3.zip
  wiremap compare --ways splice.yaml adapter.yaml
  wiremap compare --ways splice.yaml adapter.yaml --minutes-a-joint 8 --minutes-a-contact 3

exit codes: 0 they mean the same, 1 they differ (--ways: one holds), 2 one was not read"""
TIMED = ("joint", "contact", "reading")
MOST_MINUTES = 600
MOST_TOLD = 30  # differences, a line each


def add(subparsers: Any) -> None:
    """Register `compare`."""
    parser = subparsers.add_parser(
        "compare",
        help="tell two revisions apart by what they mean",
        epilog=EXAMPLES,
        description="Two jobs, two pinouts, two packs, or two folders with one job each. "
        "The order of rows, the names of ends and the spelling of colours count for nothing.",
    )
    parser.add_argument("old", metavar="A")
    parser.add_argument("new", metavar="B")
    parser.add_argument(
        "--full",
        action="store_true",
        help="tell every difference whole, and count the harmful slips of jobs of more than "
        f"{FEW_CIRCUITS} circuits too",
    )
    parser.add_argument(
        "--ways",
        action="store_true",
        help="two ways to fit one unit, a splice and an adapter: what each takes",
    )
    for name in TIMED:
        parser.add_argument(
            f"--minutes-a-{name}", metavar="M", help=f"with --ways: how long you take for a {name}"
        )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Compare; 1 if they differ, with `--ways` if one of them holds."""
    if args.ways:
        return _ways(args)
    with working("comparing"):
        compared = compare_paths(args.old, args.new, full=args.full)
    if compared.findings:
        return refuse(args, "compare", compared.findings)
    for line in compared.withdrawn:
        note(f"WITHDRAWN: {line}")
    if args.json:
        emit_json("compare", _as_dict(compared))
    else:
        _tell(args, compared)
    return HOLDS if compared.changes else OK


def _ways(args: argparse.Namespace) -> int:
    """A splice and an adapter for one unit, by what each takes."""
    minutes = _minutes(args)
    if isinstance(minutes, Finding):
        return refuse(args, "compare", [minutes])
    with working("comparing"):
        ways = compare_ways((args.old, args.new), minutes, full=args.full)
    if not isinstance(ways, Ways):
        return refuse(args, "compare", ways)
    for line in ways.withdrawn:
        note(f"WITHDRAWN: {line}")
    if args.json:
        emit_json("compare", ways.as_dict())
    else:
        for line in ways_text(ways):
            say(line)
        tell_next(after_ways(ways))
    return HOLDS if ways.holds else OK


def _minutes(args: argparse.Namespace) -> Minutes | Finding:
    """What was typed as minutes; a fault for what is no such figure."""
    minutes_by_name = {}
    for name in TIMED:
        text = getattr(args, f"minutes_a_{name}")
        if text is None:
            continue
        try:
            minutes = float(text.replace(",", "."))
        except ValueError:
            minutes = math.nan
        if not 0 <= minutes <= MOST_MINUTES:
            words = f"--minutes-a-{name} wants minutes from 0 to {MOST_MINUTES}, not `{text[:40]}`"
            return fault("call", words, fix=f"Write --minutes-a-{name} 6.")
        minutes_by_name[name] = minutes
    return Minutes(**minutes_by_name)


def _as_dict(compared: Compared) -> dict[str, Any]:
    return {
        "same": not compared.changes,
        "changes": [asdict(change) for change in compared.changes],
        "verdict": list(compared.verdict) or None,
        "harm": list(compared.harm) or None,
        "withdrawn": list(compared.withdrawn),
        "built": [[build_report_dict(entry) for entry in entries] for entries in compared.built]
        or None,
    }


def _tell(args: argparse.Namespace, compared: Compared) -> None:
    if compared.changes:
        say(plural(len(compared.changes), "difference"))
    else:
        say("they mean the same")
    if compared.verdict:
        verdicts = " -> ".join(VERDICTS[PaperVerdict(each)] for each in compared.verdict)
        harm = (
            " -> ".join(map(str, compared.harm)) or "not counted for a job so large (--full does)"
        )
        say(f"verdict: {verdicts}; slips that can do harm: {harm}")
    for path, entries in zip((args.old, args.new), compared.built, strict=False):
        for entry in entries:
            say(f"{path}: {build_report_words(build_report_dict(entry))}")
    lines = [f"{change.kind:14} {change.message}" for change in compared.changes]
    if args.full:
        for line in lines:
            say(line)
    else:
        for line in lines_up_to([visible(line) for line in lines], MOST_TOLD, each=ONE_LINE):
            say(line)
    tell_next(after_compare(args.new, same=not compared.changes))
