"""`wiremap propose`: two generations in, a graded mapping out."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from wiremap.base import Finding, fault
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, say, unread
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.files import Reader
from wiremap.files.write import write_text
from wiremap.propose import as_job, propose
from wiremap.propose.written import job_text

EXAMPLES = """examples:
  wiremap propose old.yaml new.yaml
  wiremap propose old.yaml new.yaml -o job.yaml
  wiremap propose --old lights.yaml --old supply.yaml --new fifteen.yaml
  wiremap propose --old a.yaml --new b.yaml --end loom=a.yaml --end donor=b.yaml

exit codes: 0 nothing is left to ask, 1 something is, 2 a file or the call could not be read
"""


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "propose",
        help="propose the pin mapping between two generations",
        epilog=EXAMPLES,
        description="Old connectors are the machine's side, new ones the unit's. In-line units, taps and "
        "extras are added to the job by hand.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("files", nargs="*", metavar="FILE", help="the old pinout and the new one")
    parser.add_argument(
        "--old",
        action="extend",
        nargs="+",
        default=[],
        metavar="FILE",
        help="old pinouts, if there are several",
    )
    parser.add_argument(
        "--new",
        action="extend",
        nargs="+",
        default=[],
        metavar="FILE",
        help="new pinouts, if there are several",
    )
    parser.add_argument(
        "--end",
        action="append",
        default=[],
        metavar="NAME=FILE",
        help="name the end of a file (default: old, new)",
    )
    parser.add_argument(
        "-o", "--output", metavar="FILE", help="write the job there instead of printing it"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Read, propose, write."""

    called = _sides(args)
    if isinstance(called, str):
        return _refuse(args, called)
    reader = Reader()
    sides: list[list[tuple[str, Any]]] = []
    findings: list[Any] = []
    for files in called:
        side = []
        for name, path in files:
            loaded = reader.pinout(path)
            findings += loaded.findings
            if loaded.value is not None:
                tell_withdrawn(loaded.value)
                side.append((name, loaded.value))
        sides.append(side)
    faults = [f for f in findings if f.fault]
    if faults:
        return _unread(args, faults)
    return _propose(args, sides[0], sides[1])


def _sides(args: argparse.Namespace) -> tuple[list[tuple[str, str]], list[tuple[str, str]]] | str:
    """The named files of both sides, or what is wrong with the call."""
    old, new = list(args.old), list(args.new)
    if args.files and (old or new):
        return "either two bare files, or --old and --new; not both"
    if not old and not new:
        if len(args.files) != 2:
            return (
                f"two pinouts are wanted, the old and the new; {len(args.files)} given. "
                "Several of one generation: wiremap propose --old A B --new C"
            )
        old, new = [args.files[0]], [args.files[1]]
    if not old or not new:
        return f"--{'old' if not old else 'new'} is missing"
    names = {}
    for text in args.end:
        name, sep, path = text.partition("=")
        if (
            not sep
            or path not in (*old, *new)
            or not name
            or set(name) & set(". ~")
            or name == "chassis"
        ):
            return f"--end {text}: NAME=FILE is wanted, with a file of this call and a name without dots or spaces"
        names[path] = name
    both = [
        [
            (names.get(p) or (stem if len(files) == 1 else f"{stem}{i}"), p)
            for i, p in enumerate(files, 1)
        ]
        for stem, files in (("old", old), ("new", new))
    ]
    taken = [name for side in both for name, _ in side]
    twice = next((n for n in taken if taken.count(n) > 1), None)
    if twice:
        return f"two ends are called {twice}; name them with --end NAME=FILE"
    return both[0], both[1]


def _propose(args: argparse.Namespace, old: Sequence[Any], new: Sequence[Any]) -> int:

    proposal = propose(old, new)
    code = HOLDS if proposal.asks else OK
    target = Path(args.output) if args.output else None
    text = job_text(
        proposal,
        as_job(
            proposal, old, new, title=_title(old, new), path=(target or Path("job.yaml")).as_posix()
        ),
    )
    if target is not None:
        outside = [
            p.path
            for _, p in (*old, *new)
            if not Path(p.path).resolve().is_relative_to(target.parent.resolve())
        ]
        if outside:
            return _refuse(
                args,
                f"a job names pinouts of its own folder tree only, and {outside[0]} is outside "
                f"{target.parent.as_posix()}; write the job beside the pinouts, or copy them there first",
            )

        finding = write_text(target, text)
        if finding is not None:
            return _unread(args, [finding])
        note(
            f"written: {target.as_posix()}. Next: settle what is marked `ask`, then wiremap check {target.as_posix()}"
        )
    if args.json:
        emit_json("propose", proposal.as_dict())
    elif target is None:
        say(text.rstrip("\n"))
    return code


def _title(old: Sequence[Any], new: Sequence[Any]) -> str:
    return f"{new[0][1].title or new[0][0]} in place of {old[0][1].title or old[0][0]}"[:200]


def _refuse(args: argparse.Namespace, message: str) -> int:
    return _unread(args, [fault("call", message, fix="wiremap propose --help")])


def _unread(args: argparse.Namespace, findings: Iterable[Finding]) -> int:
    return unread(
        args.json,
        "propose",
        findings,
        empty={"circuits": [], "no_home": [], "needs_logic": []},
        lead="wiremap propose: ",
        mend="mend: ",
    )
