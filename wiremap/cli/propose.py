"""`wiremap propose`: two generations in, a graded mapping out."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from wiremap.base import Finding, fault, plural
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, say, say_text, unread
from wiremap.cli.progress import working
from wiremap.cli.propose_sides import ProposeCall, WrongSides, call_of, former_job
from wiremap.content.next_begun import after_propose
from wiremap.content.next_papers import shown_path
from wiremap.evidence import settle
from wiremap.evidence.confirmed import confirmed_circuits
from wiremap.files import Files
from wiremap.files.values import MAX_NAME
from wiremap.files.write import write_text
from wiremap.model import Job
from wiremap.propose import (
    NamedPinouts,
    Proposal,
    ProposedAgain,
    as_job,
    assumed_supply,
    notebooks_of_job,
    propose,
    propose_again,
)
from wiremap.propose.written import job_text
from wiremap.reports.proposed import changed_lines, proposed_lines
from wiremap.share.beginning import titles

EXAMPLES = """examples:
  wiremap propose old.yaml new.yaml
  wiremap propose old.yaml new.yaml -o job.yaml
  wiremap propose --old lights.yaml --old supply.yaml --new fifteen.yaml
  wiremap propose --old a.yaml --new b.yaml --end loom=a.yaml --end donor=b.yaml
  wiremap propose old.yaml new.yaml --notebook seen.yaml
  wiremap propose --keep-answers job.yaml -o job2.yaml
  wiremap propose old.yaml new.yaml --adapter -o adapter.yaml

exit codes: 0 nothing is left to ask, 1 something is, 2 a file or the call could not be read
"""


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "propose",
        help="propose the pin mapping between two generations",
        epilog=EXAMPLES,
        description="Old connectors are the machine's side, new ones the unit's. An in-line module "
        "is asked for by `wiremap start`; taps and other extras are added by hand.",
    )
    parser.add_argument("files", nargs="*", metavar="FILE", help="the old pinout and the new one")
    for age in ("old", "new"):
        parser.add_argument(
            f"--{age}",
            action="extend",
            nargs="+",
            default=[],
            metavar="FILE",
            help=f"{age} pinouts, if there are several",
        )
    parser.add_argument(
        "--end",
        action="append",
        default=[],
        metavar="NAME=FILE",
        help="name the end of a file (default: old, new)",
    )
    parser.add_argument(
        "--notebook",
        action="append",
        default=[],
        metavar="FILE",
        help="let the answers and readings of a notebook count (old.3, new.5; bare cavities in "
        "the notebook that lies beside a pinout)",
    )
    parser.add_argument(
        "--keep-answers",
        metavar="JOB",
        help="propose anew for a job already begun: what was settled stays, its notebooks "
        "count, what changes is told; newer pinouts may be named, by the names of its ends",
    )
    parser.add_argument(
        "--adapter",
        action="store_true",
        help="nothing is cut: both connectors are mated, each circuit takes a wire of its own",
    )
    parser.add_argument(
        "-o", "--output", metavar="FILE", help="write the job there instead of printing it"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Read, propose, write."""
    reader = Files()
    faults: list[Finding] = []
    former = former_job(reader, args, faults)
    if faults:
        return _unread(args, faults)
    try:
        call = call_of(reader, args, former, faults)
    except WrongSides as wrong:
        return _refuse(args, str(wrong))
    if faults:
        return _unread(args, faults)
    if former is not None:
        return _propose_again(args, former, call)
    return _propose(args, call)


def _propose(args: argparse.Namespace, call: ProposeCall) -> int:
    with working("proposing the map"):
        proposal = propose(call.old, call.new, call.notebooks)
    job = as_job(
        proposal,
        call.old,
        call.new,
        title=_title(call.old, call.new),
        path=_target(args).as_posix(),
        notebooks=notebooks_of_job(call.notebooks, call.old, call.new),
        adapter=args.adapter,
    )
    assumed = assumed_supply(call.old)
    wrong = _deliver(args, job_text(proposal, job, assumed), job)
    if wrong is not None:
        return _unread(args, [wrong])
    if args.json:
        emit_json("propose", proposal.as_dict())
    else:
        _tell_map(args, proposal, job)
        if assumed:
            tell = say if args.output else note
            tell(f"assumed: {assumed}")
        _tell_next(args, proposal)
    return HOLDS if proposal.asks else OK


def _propose_again(args: argparse.Namespace, former: Job, call: ProposeCall) -> int:
    """Propose anew what nobody has settled in an earlier job, and tell what that changes."""
    books = notebooks_of_job(call.notebooks, call.old, call.new)
    path = _target(args).as_posix()
    again = propose_again(former, call.old, call.new, call.notebooks, books, path=path)
    wrong = _deliver(args, job_text(again.proposal, again.job), again.job)
    if wrong is not None:
        return _unread(args, [wrong])
    if args.json:
        emit_json("propose", again.as_dict())
    else:
        _tell_again(again)
        _tell_map(args, again.proposal, again.job)
        if args.output:
            say(_which_counts(args))
        _tell_next(args, again.proposal)
    return HOLDS if again.proposal.asks else OK


def _tell_again(again: ProposedAgain) -> None:
    by_name = confirmed_circuits(settle(again.job))
    settled = sum(circuit.id in by_name for circuit in again.kept)
    stays = f"{plural(settled, 'circuit')} settled by name"
    by_hand = len(again.kept) - settled
    if by_hand:
        stays += f", {by_hand} made or changed by hand"
    note(f"kept as they stand: {stays}; {plural(len(again.changes), 'change')}")
    for line in changed_lines(again.changes, again.job.path):
        note(line)


def _which_counts(args: argparse.Namespace) -> str:
    """Which of two files is the job from now on: nothing in them tells."""
    new, old = shown_path(args.output), shown_path(args.keep_answers)
    return f"from now on {new} is the job; {old} stays as it was and can be put away"


def _tell_map(args: argparse.Namespace, proposal: Proposal, job: Job) -> None:
    """Which contact goes where, if the job itself went to a file."""
    if args.output:
        for line in proposed_lines(proposal, job):
            say(line)


def _tell_next(args: argparse.Namespace, proposal: Proposal) -> None:
    tell = say if args.output else note
    tell(f"next: {after_propose(args.output, asks=proposal.asks)}")


def _target(args: argparse.Namespace) -> Path:
    return Path(args.output or "job.yaml")


def _deliver(args: argparse.Namespace, text: str, job: Job) -> Finding | None:
    """Write the job where the call says, or print it; the fault that kept it from being written."""
    if args.output:
        paths = [end.pinout.path for end in job.ends.values()]
        paths += [notebook.path for notebook in job.notebooks]
        return _write(_target(args), text, paths)
    if not args.json:
        say_text(text)
    return None


def _write(target: Path, text: str, pinouts: Sequence[str]) -> Finding | None:
    """Write the job beside its pinouts, and say so; the fault that kept it from being written."""
    folder = target.parent
    for path in pinouts:
        if not Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder)):
            return _call_fault(
                f"a job names files of its own folder tree only, and {path} is outside "
                f"{folder.as_posix()}; write the job beside the pinouts, or copy them there first"
            )
    wrong = write_text(target, text)
    if wrong is None:
        note(f"written: {target.as_posix()}")
    return wrong


def _title(old: NamedPinouts, new: NamedPinouts) -> str:
    return f"{titles(new)} in place of {titles(old)}"[:MAX_NAME]


def _call_fault(message: str) -> Finding:
    return fault("call", message, fix="wiremap propose --help")


def _refuse(args: argparse.Namespace, message: str) -> int:
    return _unread(args, [_call_fault(message)])


def _unread(args: argparse.Namespace, findings: Iterable[Finding]) -> int:
    empty: dict[str, Any] = {"circuits": [], "no_home": [], "needs_logic": []}
    return unread(
        "propose", findings, as_json=args.json, empty=empty, lead="wiremap propose: ", mend="mend: "
    )
