"""`wiremap slips`: what one slip of the hand would do."""

from __future__ import annotations

import argparse
from typing import Any

from wiremap.cli.common import OK, emit_json, json_flag, say, unread
from wiremap.cli.progress import working
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
WHERE = {
    "legs-crossed": "legs {names} crossed",
    "like-coloured": "{names} exchanged by colour",
    "exchanged": "{names} exchanged",
    "open": "{last} open in {first}",
    "touching": "{names} touching",
    "mirrored": "{names} read mirrored",
    "rotated": "{names} read turned round",
    "shifted": "{names} counted one off",
    "rows-swapped": "{names} rows exchanged",
    "by-columns": "{names} counted by columns",
    "snake": "{names} counted in a snake",
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
        return unread(
            "slips", loaded.findings, as_json=args.json, empty={"slips": [], "points": []}
        )
    tell_withdrawn(loaded.value)
    with working("every slip of the hand"):
        report = slips(Harness(settle(loaded.value)))
    if args.json:
        emit_json("slips", report.as_dict())
    else:
        _words(report, every=args.all)
    return OK


def _words(report: SlipReport, *, every: bool) -> None:
    grade = ""
    for group in report.groups():
        if group.grade != grade:
            grade = group.grade
            say(GRADED[grade])
        for line in _lines(group, every=every):
            say(line)
    worst = [f"{point} {count}" for point, count in report.points[:SHOWN_POINTS]]
    if worst:
        say(f"most harm hangs on (harmful slips each): {', '.join(worst)}")
    say("wiring only: does not prove that the two units understand each other")


def _lines(group: Group, *, every: bool) -> list[str]:
    """A group of like slips: each by itself, or the first with the number of the others."""
    if every:
        return [f"  {_where(slip)}: {slip.outcome}" for slip in group.slips]
    if group.grade == "none":
        return [f"  {len(group.slips)} slips change nothing"]
    first, *others = group.slips
    line = f"  {_where(first)}: {first.outcome}"
    if others:
        like = ", ".join(_where(slip) for slip in others[:SHOWN_LIKE])
        more = ", …" if len(others) > SHOWN_LIKE else ""
        line += f"; and {len(others)} like it ({like}{more})"
    return [line]


def _where(slip: Slip) -> str:
    first, *_, last = (*slip.subject, slip.subject[-1])
    return WHERE[slip.kind].format(names=" with ".join(slip.subject), first=first, last=last)
