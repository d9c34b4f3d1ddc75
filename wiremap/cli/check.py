"""`wiremap check`: jobs and pinouts against the rule book."""

from __future__ import annotations

import argparse
import os
import sys
import time
from typing import Any

from wiremap import reports
from wiremap.check import Report, check
from wiremap.cli.common import coloured, emit_json, json_flag, say
from wiremap.share.folder import check_many

EXAMPLES = """examples:
  wiremap check job.yaml
  wiremap check adapters/ --json
  wiremap check job.yaml --sarif > job.sarif

exit codes: 0 nothing holds, 1 something holds, 2 something could not be read or nothing was there to check
"""

MANY = 48


def add(subparsers: Any) -> None:
    """Register `check`."""
    parser = subparsers.add_parser(
        "check",
        help="check jobs and pinouts against the rule book",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "files", nargs="+", metavar="FILE", help="jobs, pinouts, notebooks, or folders of them"
    )
    parser.add_argument(
        "--sarif", action="store_true", help="print SARIF 2.1.0 for editors and code hosts"
    )
    parser.add_argument("--quiet", action="store_true", help="verdicts only")
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check and print; the report knows the exit code."""
    report = _report(args.files)
    if args.json:
        emit_json("check", report.as_dict())
    elif args.sarif:
        say(reports.sarif_text(report))
    else:
        print(
            reports.text(report, colour=coloured(sys.stdout), quiet=args.quiet)
        )  # cleaned there: colour must pass
    return report.exit_code


def _report(files: list[str]) -> Report:
    """A few files are checked here and now; folders by every core, with progress on a terminal."""
    if len(files) < MANY and not any(os.path.isdir(f) for f in files):
        return check(files)

    progress = Progress() if sys.stderr.isatty() else None
    report = check_many(files, progress=progress)
    if progress is not None:
        progress.gone()
    return report


class Progress:
    """One line on a terminal that says how far the work is, after the first second."""

    def __init__(self) -> None:
        self.began, self.width = time.monotonic(), 0

    def __call__(self, done: int, of: int) -> None:
        """Show how many are done."""
        if time.monotonic() - self.began < 1:
            return
        text = f"checked {done} of {of} files"
        self.width = max(self.width, len(text))
        print(f"\r{text:<{self.width}}", end="", file=sys.stderr, flush=True)

    def gone(self) -> None:
        """Leave the line empty."""
        if self.width:
            print("\r" + " " * self.width + "\r", end="", file=sys.stderr, flush=True)
