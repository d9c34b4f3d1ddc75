"""`wiremap sign --stop`: one of the four two-name stops is passed."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace

from wiremap.base import Finding, fault
from wiremap.check import Checked, PaperVerdict, check
from wiremap.cli.common import OK, emit_json, note
from wiremap.cli.next_line import tell_next
from wiremap.cli.saving import entry_date, save, tell_unread
from wiremap.content.next_papers import shown_path
from wiremap.content.next_step import after_job
from wiremap.content.signing import items, to_sign
from wiremap.content.stops import stop_name
from wiremap.content.stops_passed import (
    NEEDS_LICENCE,
    THEIR_LICENCE,
    job_takes_licence,
    lacks_licence,
    owed_before,
    passed,
    passed_by_two,
    unread_at_cut,
    why_no_stop,
)
from wiremap.content.work_order import before_stop
from wiremap.evidence.opened import OpenJob
from wiremap.evidence.probe_points import ADAPTER, kind_of
from wiremap.model import A_REASON, Entry, EntryKind, Stop, says_what
from wiremap.reports.screen import named_up_to

MOST_UNREAD = 8
THE_SURVEY = "the survey tells them"


def _refused(args: argparse.Namespace, opened: OpenJob, checked: Checked) -> Finding | None:
    """Why these people do not pass it, or nobody does while the job is on hold."""
    stop = Stop(args.stop)
    missing = why_no_stop(opened.job, stop)
    if missing:
        words = f"{missing} in this job: it has no {_named(stop, checked)}; nothing was saved"
        return fault("call", words, fix=f"next: {after_job(checked)}")
    if checked.verdict != PaperVerdict.IN_ORDER:
        words = f"the job is on hold, so the {_named(stop, checked)} is not passed"
        return fault("on-hold", words, fix=f"see: wiremap check {args.file}")
    if args.alone and job_takes_licence(checked):
        words = "a circuit of this job takes a licensed person: no stop is passed alone"
        return fault("alone", words, fix="add --second NAME")
    if not args.alone and lacks_licence(checked, (args.by, args.second), args.licensed):
        return fault("no-licence", NEEDS_LICENCE, fix=f"say with --licensed {THEIR_LICENCE}")
    two = passed_by_two(opened.job, stop)
    if args.alone and two is not None:
        words = f"two people have passed it already: {two.words}; nothing was saved"
        return fault("alone", words, fix="add --second NAME")
    return None


def _out_of_turn(args: argparse.Namespace, opened: OpenJob, checked: Checked) -> Finding | None:
    """What of the work comes first."""
    stop = Stop(args.stop)
    owed = owed_before(opened.job, stop)
    if owed:
        return _too_early(args, checked, owed)
    unread = unread_at_cut(checked) if stop is Stop.CUT else ()
    if unread and not args.unread.strip():
        return _unread(args, unread)
    if args.unread.strip() and not says_what(args.unread):
        return fault("no-reason", "that is no reason; nothing was saved", fix=A_REASON)
    before = before_stop(checked, stop)
    if before:
        words = f"the {_named(stop, checked)} comes later; nothing was saved"
        return fault("too-early", words, fix=f"before it: {before}")
    return None


def _named(stop: Stop, checked: Checked) -> str:
    """A stop as this job's sheet names it."""
    adapter = checked.harness is not None and kind_of(checked.harness) == ADAPTER
    return f"stop before {stop_name(stop, adapter=adapter)}"


def _unread(args: argparse.Namespace, contacts: Sequence[str]) -> Finding:
    """That the survey is not read, and how it is, or who stands to its being left out."""
    named = named_up_to(contacts, MOST_UNREAD, by=THE_SURVEY)
    words = f"{named}: not read yet, and a wire that is cut cannot be measured as it was"
    path = shown_path(args.file)
    fix = f'wiremap survey {path}, or say why not by name, for the verdict to show: --unread "..."'
    return fault("not-read", f"{words}; nothing was saved", fix=fix)


def _too_early(args: argparse.Namespace, checked: Checked, owed: tuple[Stop, ...]) -> Finding:
    """That stops of the work before this one are not passed, and how the first is."""
    missing = " and ".join(f"the {_named(stop, checked)}" for stop in owed)
    words = f"{missing} {'is' if len(owed) == 1 else 'are'} not passed yet; nothing was saved"
    fix = f"wiremap sign {shown_path(args.file)} --stop {owed[0]} --by NAME --second NAME"
    return fault("too-early", words, fix=fix)


def pass_stop(args: argparse.Namespace, opened: OpenJob) -> int:
    """Keep that a stop was passed, unless the job is on hold or nobody may pass it alone."""
    (checked,) = check([args.file]).jobs
    refused = _refused(args, opened, checked) or _out_of_turn(args, opened, checked)
    if refused is not None:
        return tell_unread(args, "sign", [refused])
    entry = Entry(
        kind=EntryKind.STOP_PASSED,
        stop=Stop(args.stop),
        by=args.by,
        date=entry_date(args),
        second=args.second.strip(),
        alone=args.alone,
        licensed=args.licensed.strip(),
        why=args.unread.strip(),
    )
    if any(entry == replace(each.entry, place=None) for each in passed(opened.job)):
        note(f"{args.stop} is passed by these names already and covers all behind it: kept once")
        return _tell(args, checked)
    wrong = save(opened, [entry])
    if wrong is not None:
        return tell_unread(args, "sign", [wrong])
    note(f"kept in {opened.notebook.as_posix()}: the {_named(Stop(args.stop), checked)} is passed")
    (again,) = check([args.file]).jobs
    return _tell(args, again)


def _tell(args: argparse.Namespace, checked: Checked) -> int:
    """What is still to be signed, or what comes next."""
    if args.json:
        emit_json("sign", items(to_sign(checked)))
    else:
        tell_next(after_job(checked))
    return OK
