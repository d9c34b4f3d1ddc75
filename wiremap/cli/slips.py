"""`wiremap slips`: what one slip of the hand would do."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from wiremap.check import check_job
from wiremap.cli.common import OK, emit_json, json_flag, say, unread
from wiremap.cli.next_line import tell_next
from wiremap.cli.progress import working
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.content.next_step import after_job
from wiremap.evidence import settle
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.reports.screen import named_up_to, wrapped
from wiremap.slips import LikeSlips, Slip, SlipReport, slips

EXAMPLES = """examples:
  wiremap slips job.yaml
  wiremap slips job.yaml --full
"""
GRADE_HEADINGS = {
    "harm": "HARM: something can break or move",
    "dead": "DEAD: does not work and shows it",
    "quiet": "QUIET: works, wrong or unprotected",
    "none": "NO MATTER",
}
GRADE_WORDS = {
    "harm": "could break or move something",
    "dead": "would show by not working",
    "quiet": "would work wrongly or unprotected",
    "none": "would do nothing",
}
SLIP_WORDS = {
    "legs-crossed": "pair {names} crossed",
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
SHOWN_LIKE = 2  # like slips, told behind the first of them
MOST_LINES = 3  # of a group of like slips


def add(subparsers: Any) -> None:
    """Register `slips`."""
    parser = subparsers.add_parser(
        "slips",
        help="tell what one slip of the hand would do",
        epilog=EXAMPLES,
    )
    parser.add_argument("job", help="the job file")
    parser.add_argument(
        "--full",
        "--all",
        action="store_true",
        help="every slip by itself, not like ones together",
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Load, settle, slip, print; 2 where the job cannot be read."""
    loaded = load_job(args.job)
    empty: Mapping[str, Any] = {"slips": [], "points": []}
    if loaded.value is None:
        return unread("slips", loaded.findings, as_json=args.json, empty=empty)
    tell_withdrawn(loaded.value)
    with working("every slip of the hand"):
        report = slips(Harness(settle(loaded.value)))
    if report.refused is not None:
        return unread("slips", [report.refused], as_json=args.json, empty=empty)
    if args.json:
        emit_json("slips", report.as_dict())
        return OK
    for line in _full(report) if args.full else _brief(report):
        say(line)
    tell_next(after_job(check_job(loaded.value)))
    return OK


def _brief(report: SlipReport) -> Iterator[str]:
    """The worst first, like slips as one, each in a few lines below its own indent."""
    for line in _lines(report, every=False):
        text = line.strip()
        yield from wrapped(text, lead=line[: -len(text)], most=MOST_LINES)


def _full(report: SlipReport) -> Iterator[str]:
    return _lines(report, every=True)


def _lines(report: SlipReport, *, every: bool) -> Iterator[str]:
    count = Counter(slip.grade for slip in report.slips)
    counted = ", ".join(f"{count[grade]} {words}" for grade, words in GRADE_WORDS.items())
    yield f"{len(report.slips)} slips of the hand tried on paper: {counted}"
    grade = ""
    for group in report.groups():
        if group.grade != grade:
            grade = group.grade
            yield GRADE_HEADINGS[grade]
        yield from _group(group, every=every)
    worst = [f"{point} {count}" for point, count in report.points[:SHOWN_POINTS]]
    if worst:
        yield f"most harm hangs on (harmful slips each): {', '.join(worst)}"
    yield "wiring only: does not prove that the two units understand each other"


def _group(group: LikeSlips, *, every: bool) -> Iterator[str]:
    """A group of like slips: each by itself, or the first with the number of the others."""
    first, *others = group.slips
    if every:
        for slip in group.slips:
            yield f"  {_where(slip)}: {slip.outcome}"
    elif group.grade == "none":
        yield f"  {len(group.slips)} slips change nothing"
    elif others:
        like = named_up_to([_where(slip) for slip in others], SHOWN_LIKE)
        yield f"  {_where(first)}: {first.outcome}; likewise {like}"
    else:
        yield f"  {_where(first)}: {first.outcome}"


def _where(slip: Slip) -> str:
    first, *_ = slip.subject
    *_, last = slip.subject
    return SLIP_WORDS[slip.kind].format(names=" with ".join(slip.subject), first=first, last=last)
