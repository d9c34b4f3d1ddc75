"""`wiremap ringout`: the continuity test planned, walked and judged; first power; as built."""

from __future__ import annotations

import argparse
from typing import Any

from wiremap.cli.common import HOLDS, OK, emit_json, json_flag
from wiremap.cli.next_talk import a_person_types
from wiremap.cli.open_job import not_counted, read_job, tell_not_counted
from wiremap.cli.progress import working
from wiremap.cli.ringout_as_built import write_as_built
from wiremap.cli.ringout_faces import without_job
from wiremap.cli.ringout_plan import show_plan, tell_judged
from wiremap.cli.ringout_power import power
from wiremap.cli.ringout_readings import entries_of, refuse
from wiremap.cli.ringout_walk import walk_through
from wiremap.cli.saving import future_date, notebook_options, tell_unread
from wiremap.diagnose.judge import judge
from wiremap.entries.probe_lines import batch
from wiremap.evidence.opened import OpenJob
from wiremap.ringout.plan import Method, TooLarge

EXAMPLES = """examples:
  wiremap ringout job.yaml
  wiremap ringout job.yaml --walk --by RK
  wiremap ringout job.yaml --readings bench.txt --save --by RK
  wiremap ringout job.yaml --power
  wiremap ringout old.yaml new.yaml --readings bench.txt    # a bought adapter

A line is one reading, b for beep, s for silent:
  loom.1 - donor.3 b    loom.3 - gateway.7 7.4    donor.1 - donor.4 s
every form of a line: wiremap explain readings
exit codes: 0 a plan, or readings that pass; 1 they fail or are incomplete; 2 unread
"""
METHODS_HELP = (
    "how circuits are proven apart: near (those side by side or dangerous together), rest (each "
    "against all others clipped together), all (each pair), ganged (several clipped together at "
    "either probe: the fewest), clips (one after the other clipped on: the default once a mating "
    "half or clips are told)"
)
ONE_BY_ONE = "run them one after the other"


class BadOptions(Exception):
    """Options that do not go together, and what to do instead."""

    def __init__(self, message: str, fix: str) -> None:
        super().__init__(message)
        self.message = message
        self.fix = fix


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "ringout",
        help="plan, judge and diagnose the continuity test",
        epilog=EXAMPLES,
    )
    parser.add_argument(
        "files",
        nargs="+",
        metavar="FILE",
        help="a job, or the pinouts of an adapter",
    )
    choices = [str(method) for method in Method]
    parser.add_argument("--method", metavar="M", choices=choices, help=METHODS_HELP)
    parser.add_argument(
        "--kind",
        metavar="K",
        choices=("adapter", "splice-in"),
        help="adapter, or splice-in (if an end was cut from its machine)",
    )
    parser.add_argument(
        "--readings",
        metavar="FILE",
        help="lines or a notebook to judge (-: standard input)",
    )
    parser.add_argument("--judge", action="store_true", help="judge what the notebooks hold")
    parser.add_argument("--save", action="store_true", help="append the readings to the notebook")
    parser.add_argument("--walk", action="store_true", help="go through the probes one at a time")
    parser.add_argument("--power", action="store_true", help="first power instead of ring-out")
    parser.add_argument(
        "--renumbered",
        action="store_true",
        help="the numbers typed are those of first power as it stands now",
    )
    parser.add_argument("--as-built", metavar="FILE", help="write what was built as a new revision")
    parser.add_argument("--full", action="store_true", help="tell every reading and every reason")
    notebook_options(parser)
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Hand over to the part that was asked for."""
    try:
        _refuse_bad_options(args)
        _refuse_options_of_a_job(args)
    except BadOptions as bad:
        return refuse(args, bad.message, bad.fix)
    wrong_date = future_date(args)
    if wrong_date is not None:
        return tell_unread(args, "ringout", [wrong_date])
    if len(args.files) > 1:
        return without_job(args)
    opened, findings = read_job(args.files[0], args.notebook)
    if opened is not None and opened.bare:
        fix = "give a job, or the pinouts of both faces with --readings"
        return refuse(args, "one pinout alone cannot be rung out", fix)
    if opened is None or any(found.fault for found in findings):
        return tell_unread(args, "ringout", findings)
    tell_not_counted(opened, not_counted(opened))
    try:
        return _hand_over(args, opened)
    except TooLarge as large:
        return refuse(args, str(large), large.fix)


def _hand_over(args: argparse.Namespace, opened: OpenJob) -> int:
    """The plan, the walk, first power or the verdict."""
    if args.power:
        return power(args, opened)
    if args.readings or args.judge or args.as_built:
        return _judge(args, opened)
    if args.walk:
        return walk_through(args, opened)
    return show_plan(args, opened)


def _refuse_bad_options(args: argparse.Namespace) -> None:
    """Raise BadOptions for options that do not go together, and for readings without a name."""
    not_while_walking = {
        "--readings": args.readings,
        "--judge": args.judge,
        "--power": args.power,
        "--as-built": args.as_built,
        "--save": args.save,
    }
    given = [name for name, on in not_while_walking.items() if on]
    if args.walk and given:
        names = ", ".join(given)
        raise BadOptions(
            f"--walk takes its readings by itself and does not go with {names}", ONE_BY_ONE
        )
    if args.power and args.as_built:
        words = "--power says nothing of the metal and does not go with --as-built"
        raise BadOptions(words, ONE_BY_ONE)
    if args.save and len(args.files) > 1:
        raise BadOptions(
            "an adapter without a job has no notebook to save in",
            "write its map with --as-built FILE, "
            "then: wiremap ringout FILE --readings bench.txt --save --by NAME",
        )
    if args.save and not args.readings:
        raise BadOptions("--save has nothing to save", "add --readings FILE")
    if (args.save or (args.walk and not a_person_types())) and not args.by.strip():
        option = "--save" if args.save else "--walk"
        words = f"a reading counts with a name under it, and {option} keeps readings"
        raise BadOptions(words, "add --by NAME")


def _refuse_options_of_a_job(args: argparse.Namespace) -> None:
    """Raise BadOptions for options that need a job, where only faces are given."""
    if len(args.files) == 1:
        return
    if args.walk or args.power or args.judge:
        words = "several pinouts can only be judged from --readings"
        raise BadOptions(words, "make a job of them for --walk, --judge and --power")
    if args.method or args.kind:
        words = (
            "--method and --kind belong to the plan of a job and say nothing of an adapter without "
            "one"
        )
        raise BadOptions(words, "leave them out")
    if args.as_built and not args.readings:
        words = "--as-built writes what readings say and none are given"
        raise BadOptions(words, "add --readings FILE")


def _judge(args: argparse.Namespace, opened: OpenJob) -> int:
    """The verdict over what was read; where asked for, the job written as it was built."""
    entries, faults = entries_of(args, opened, batch)
    if faults:
        return tell_unread(args, "ringout", faults)
    with working("judging the readings"):
        judged = judge(opened.harness, entries, args.method, args.kind)
    if args.as_built:
        wrong = write_as_built(args.as_built, opened, judged)
        if wrong is not None:
            return tell_unread(args, "ringout", [wrong])
    if args.json:
        emit_json("ringout", judged.as_dict())
    else:
        tell_judged(args, opened, judged)
    return OK if judged.verdict == "pass" else HOLDS
