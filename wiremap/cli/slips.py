"""`wiremap slips`: what one slip of the hand would do."""

from __future__ import annotations

import argparse
from typing import Any

from wiremap.cli.common import OK, emit_json, json_flag, say, unread
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.evidence import settle
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.slips import Group, Slip, SlipReport, slips

EXAMPLES = """examples:
  wiremap slips job.yaml
  wiremap slips job.yaml --all
"""
GRADED = {
    "harm": "HARM: something can break or move",
    "dead": "DEAD: does not work and shows it",
    "quiet": "QUIET: works, wrong or unprotected",
    "none": "NO MATTER",
}
SHOWN_POINTS = 8
SHOWN_LIKE = 3


def add(subparsers: Any) -> None:
    """Register `slips`."""
    parser = subparsers.add_parser(
        "slips",
        help="tell what one slip of the hand would do",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("job", help="the job file")
    parser.add_argument(
        "--all", action="store_true", help="every slip by itself, not like ones together"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Load, settle, slip, print; 2 where the job cannot be read."""

    loaded = load_job(args.job)
    if loaded.value is None:
        return unread(args.json, "slips", loaded.findings, empty={"slips": [], "points": []})
    tell_withdrawn(loaded.value)
    report = slips(Harness(settle(loaded.value)))
    if args.json:
        emit_json("slips", report.as_dict())
    else:
        _words(report, args.all)
    return OK


def _words(report: SlipReport, every: bool) -> None:
    grade = ""
    for group in report.groups():
        if group.grade != grade:
            grade = group.grade
            say(GRADED[grade])
        if every:
            for slip in group.slips:
                say(f"  {_where(slip)}: {slip.outcome}")
        elif grade != "none":
            say(_line(group))
        else:
            say(f"  {len(group.slips)} slips change nothing")
    worst = [f"{point} {n}" for point, n in report.points[:SHOWN_POINTS]]
    if worst:
        say(f"most harm hangs on (harmful slips each): {', '.join(worst)}")
    say("wiring only: does not prove that the two units understand each other")


def _line(group: Group) -> str:
    first = group.slips[0]
    more = len(group.slips) - 1
    like = ", ".join(_where(s) for s in group.slips[1 : 1 + SHOWN_LIKE])
    tail = f"; and {more} like it ({like}{', …' if more > SHOWN_LIKE else ''})" if more else ""
    return f"  {_where(first)}: {first.outcome}{tail}"


def _where(slip: Slip) -> str:
    names = " with ".join(slip.subject)
    return {
        "legs-crossed": f"legs {names} crossed",
        "like-coloured": f"{names} exchanged by colour",
        "exchanged": f"{names} exchanged",
        "open": f"{slip.subject[-1]} open in {slip.subject[0]}",
        "touching": f"{names} touching",
        "mirrored": f"{names} read mirrored",
        "rotated": f"{names} read turned round",
        "shifted": f"{names} counted one off",
        "rows-swapped": f"{names} rows exchanged",
        "by-columns": f"{names} counted by columns",
        "snake": f"{names} counted in a snake",
    }[slip.kind]
