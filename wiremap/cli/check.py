"""`wiremap check`: jobs and pinouts against the rule book."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from wiremap.cli.common import coloured, emit_json, json_flag, say

EXAMPLES = """examples:
  wiremap check job.yaml
  wiremap check adapters/ --json
  wiremap check job.yaml --sarif > job.sarif

exit codes: 0 nothing holds, 1 something holds, 2 something could not be read or nothing was there to check
"""


def add(subparsers: Any) -> None:
    """Register `check`."""
    parser = subparsers.add_parser("check", help="check jobs and pinouts against the rule book", epilog=EXAMPLES,
                                   formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("files", nargs="+", metavar="FILE", help="jobs, pinouts, notebooks, or folders of them")
    parser.add_argument("--sarif", action="store_true", help="print SARIF 2.1.0 for editors and code hosts")
    parser.add_argument("--quiet", action="store_true", help="verdicts only")
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check and print; the report knows the exit code."""
    from wiremap.check import check
    report = check(args.files)
    if args.json:
        emit_json("check", report.as_dict())
    elif args.sarif:
        from wiremap import reports
        say(reports.sarif_text(report))
    else:
        from wiremap import reports
        print(reports.text(report, colour=coloured(sys.stdout), quiet=args.quiet))  # cleaned there: colour must pass
    return report.exit_code
