"""`wiremap sign`: put a name and a reason under what may be signed, and pass the two-name stops."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import Any

from wiremap.base import Finding, Place, fault, plural
from wiremap.check import Checked, check
from wiremap.cli.adopt import ADOPT_HELP, adopt
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, say
from wiremap.cli.open_job import opened_for
from wiremap.cli.saving import (
    entry_date,
    future_date,
    notebook_options,
    save,
    tell_unread,
)
from wiremap.cli.sign_asking import (
    KEYS,
    LEAVE,
    STOP,
    asked_reason,
    batch_name,
    left_to_sign,
    thing_to_sign,
)
from wiremap.cli.sign_batch import Reason, batch_reasons
from wiremap.cli.stops import pass_stop
from wiremap.content.grouped import Group
from wiremap.content.next_papers import shown_path
from wiremap.content.next_step import after_job
from wiremap.content.signing import items, needs_licence, not_of_all, signatures, to_sign
from wiremap.evidence.opened import OpenJob
from wiremap.model import (
    WHICH_LICENCE,
    Entry,
    Stop,
    named_licence,
    same_person,
)

EXAMPLES = """examples:
  wiremap sign job.yaml --by RK
  wiremap sign job.yaml --by RK --batch reasons.txt
  wiremap sign job.yaml --stop battery --by RK --second AM
  wiremap sign job.yaml --adopt --by AM

A line of a batch is `rule: reason`, the rule as `wiremap sign JOB --full` names it; where several
of a rule are open, `rule loom.3: reason` for each."""


def add(subparsers: Any) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "sign",
        help="sign what may be signed, one thing at a time",
        description="Shows one open caution at a time, or one stop that a named person may sign; "
        "like cautions are one. What was signed is kept in the notebook with name, day and reason.",
        epilog=EXAMPLES,
    )
    parser.add_argument("file", metavar="JOB", help="the job file")
    parser.add_argument(
        "--batch", metavar="FILE", help="reasons, a line each (- for standard input)"
    )
    parser.add_argument(
        "--full", action="store_true", help="tell all that is left, and the rule of each"
    )
    parser.add_argument("--licensed", default="", metavar="WHICH", help=WHICH_LICENCE)
    parser.add_argument(
        "--stop", choices=[str(stop) for stop in Stop], help="pass one of the two-name stops"
    )
    parser.add_argument("--second", default="", metavar="NAME", help="the second name at a stop")
    parser.add_argument("--alone", action="store_true", help="who works alone says so at a stop")
    parser.add_argument(
        "--unread", default="", metavar="WHY", help="why the cut is passed with readings left out"
    )
    parser.add_argument("--adopt", nargs="*", metavar="MARK", help=ADOPT_HELP)
    notebook_options(parser)
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Show what is left to sign; with a name, take signatures."""
    opened = opened_for("sign", args)
    if isinstance(opened, int):
        return opened
    wrong = _wrong_call(args) or future_date(args)
    if wrong is not None:
        return tell_unread(args, "sign", [wrong])
    if args.adopt is not None:
        return adopt(args, opened)
    if args.stop:
        return pass_stop(args, opened)
    groups = to_sign(_checked(args.file))
    faults: Sequence[Finding] = ()
    asks = bool(args.by) and not (args.batch or args.json or args.full)
    if args.batch:
        faults = _sign_batch(args, opened, groups)
    elif asks:
        faults = _sign_each(args, opened, groups)
    if faults:
        return tell_unread(args, "sign", faults)
    return _tell(args, opened, listed=not asks)


def _wrong_call(args: argparse.Namespace) -> Finding | None:
    if (args.batch or args.stop) and not args.by.strip():
        words = "a signature counts with a name under it; nothing was saved"
        return fault("no-name", words, fix="add --by NAME")
    if args.stop and bool(args.second.strip()) == args.alone:
        words = "a stop is passed with a second name, or alone: one of the two"
        return fault("call", words, fix="add --second NAME, or --alone")
    if args.unread.strip() and args.stop != Stop.CUT:
        return fault("call", "--unread says something at the stop before the cut alone")
    if args.stop and same_person(args.second, args.by):
        fix = "let somebody else look at it, or say --alone"
        return fault("call", "the second name is the first once more", fix=fix)
    return None


def _checked(path: str) -> Checked:
    (checked,) = check([path]).jobs
    return checked


def _sign_each(
    args: argparse.Namespace, opened: OpenJob, groups: Sequence[Group]
) -> Sequence[Finding]:
    """Ask group by group; each reason is on disk before the next is asked."""
    for number, group in enumerate(groups, 1):
        say()
        for line in thing_to_sign(group, f"{number} of {len(groups)}: "):
            say(line)
        if _lacks_licence(group, args):
            say("  left: only a person licensed for this work may sign it; that person calls:")
            say(f"  wiremap sign {shown_path(args.file)} --by NAME --licensed WHICH")
            continue
        say(f"  {KEYS}")
        reason = asked_reason(group, opened.job)
        if reason == STOP:
            break
        if reason == LEAVE:
            continue
        wrong = save(opened, _entries(args, group, reason))
        if wrong is not None:
            return [wrong]
    return ()


def _sign_batch(
    args: argparse.Namespace, opened: OpenJob, groups: Sequence[Group]
) -> Sequence[Finding]:
    """Sign by the lines of a batch, all or none."""
    reasons = batch_reasons(args.batch)
    if isinstance(reasons, Finding):
        return [reasons]
    faults: list[Finding] = []
    entries: list[Entry] = []
    for reason in reasons:
        meant = [group for group in groups if _is_meant(group, reason)]
        match meant:
            case []:
                faults.append(_not_open(reason))
            case [group] if _lacks_licence(group, args):
                faults.append(_no_licence(args, reason.place))
            case [group] if not_of_all(group, opened.job, reason.why):
                words = f"{not_of_all(group, opened.job, reason.why)}; nothing was saved"
                faults.append(fault("signature-unread", words, reason.place))
            case [group]:
                entries += _entries(args, group, reason.why)
            case _:
                faults.append(_several_open(reason, meant))
    wrong = None if faults else save(opened, entries)
    return faults if wrong is None else [wrong]


def _is_meant(group: Group, reason: Reason) -> bool:
    named = {name for finding in group.findings for name in finding.subject}
    return group.rule == reason.rule and named.issuperset(reason.names)


def _several_open(reason: Reason, meant: Sequence[Group]) -> Finding:
    """Of several unlike things of one rule each takes a reason of its own."""
    each = "; ".join(f"{batch_name(group, alone=False)}: ..." for group in meant)
    words = f"{len(meant)} unlike things of `{reason.rule}` take a reason each; nothing was saved"
    return fault("signature-unread", words, reason.place, fix=f"write a line each: {each}")


def _not_open(reason: Reason) -> Finding:
    words = f"nothing of `{reason.rule}` is left to be signed; nothing was saved"
    return fault("signature-unread", words, reason.place, fix="see wiremap check for what is open")


def _no_licence(args: argparse.Namespace, place: Place) -> Finding:
    words = "only a person licensed for this work may sign this; nothing was saved"
    call = f"wiremap sign {shown_path(args.file)} --batch {shown_path(args.batch)}"
    fix = f"that person calls: {call} --by NAME --licensed WHICH; or take this line out"
    return fault("no-licence", words, place, fix=fix)


def _lacks_licence(group: Group, args: argparse.Namespace) -> bool:
    return needs_licence(group) and not named_licence(args.licensed)


def _entries(args: argparse.Namespace, group: Group, why: str) -> tuple[Entry, ...]:
    return signatures(
        group, why=why, by=args.by, date=entry_date(args), licensed=args.licensed.strip()
    )


def _tell(args: argparse.Namespace, opened: OpenJob, *, listed: bool) -> int:
    """What is still left, and what comes next; not listed once more where it was asked just now."""
    checked = _checked(args.file)
    groups = to_sign(checked)
    if args.json:
        emit_json("sign", items(groups))
    else:
        for line in left_to_sign(groups, full=args.full) if listed or args.full else ():
            say(line)
        say(f"{plural(len(groups), 'thing')} left to sign in {opened.job.path}")
        say(f"next: {after_job(checked)}")
    return HOLDS if groups else OK
