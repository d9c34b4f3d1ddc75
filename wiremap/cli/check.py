"""`wiremap check`: jobs and pinouts against the rule book."""

from __future__ import annotations

import argparse
import os
import sys
from typing import Any

from wiremap.check import Report, check
from wiremap.cli.common import coloured, emit_json, json_flag, say_text
from wiremap.cli.progress import Progress, working
from wiremap.content.read_as import as_dicts
from wiremap.reports.brief import brief
from wiremap.reports.sarif import sarif_text
from wiremap.reports.text import text
from wiremap.share.limits import FEW_FILES

EXAMPLES = """examples:
  wiremap check job.yaml
  wiremap check adapters/ --json
  wiremap check job.yaml --sarif > job.sarif

exit codes: 0 nothing holds, 1 something holds, 2 something could not be read or nothing was there
"""


def add(subparsers: Any) -> None:
    """Register `check`."""
    parser = subparsers.add_parser(
        "check",
        help="check jobs and pinouts against the rule book",
        epilog=EXAMPLES,
    )
    parser.add_argument(
        "files", nargs="+", metavar="FILE", help="jobs, pinouts, notebooks, or folders of them"
    )
    parser.add_argument(
        "--sarif", action="store_true", help="print SARIF 2.1.0 for editors and code hosts"
    )
    parser.add_argument("--quiet", action="store_true", help="verdicts only")
    parser.add_argument(
        "--full", action="store_true", help="every finding with its place, reason and cure"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check and print; the report knows the exit code."""
    report = _report(args.files)
    if args.json:
        emit_json("check", {**report.as_dict(), "wordings": as_dicts(report.papers)})
    elif args.sarif:
        say_text(sarif_text(report))
    else:  # cleaned where it is made: colour must pass
        colour = coloured(sys.stdout)
        if args.full or args.quiet:
            print(text(report, colour=colour, quiet=args.quiet))
        else:
            print(brief(report, colour=colour))
    return report.exit_code


def _report(files: list[str]) -> Report:
    """A few files are checked here and now; folders by every core, with progress on a terminal."""
    if len(files) < FEW_FILES and not any(os.path.isdir(each) for each in files):
        with working("checking"):
            return check(files)
    from wiremap.share.folder import check_many  # its worker processes cost a tenth of the start

    with Progress("checked {done} of {of} files") as progress:
        return check_many(files, progress=progress)
