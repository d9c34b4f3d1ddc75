"""`wiremap propose`: two generations in, a graded mapping out."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from wiremap.base import Finding, fault
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, say_text, unread
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.content.next_step import after_propose
from wiremap.files import Files
from wiremap.files.write import write_text
from wiremap.model import Notebook, Pinout
from wiremap.propose import as_job, in_job, propose
from wiremap.propose.written import job_text

EXAMPLES = """examples:
  wiremap propose old.yaml new.yaml
  wiremap propose old.yaml new.yaml -o job.yaml
  wiremap propose --old lights.yaml --old supply.yaml --new fifteen.yaml
  wiremap propose --old a.yaml --new b.yaml --end loom=a.yaml --end donor=b.yaml
  wiremap propose old.yaml new.yaml --notebook seen.yaml
  wiremap propose old.yaml new.yaml --keep-answers job.yaml -o job2.yaml
  wiremap propose old.yaml new.yaml --adapter -o adapter.yaml

exit codes: 0 nothing is left to ask, 1 something is, 2 a file or the call could not be read
"""
NO_END = "chassis"  # a name that means something else in an address
Named = list[tuple[str, Pinout]]


class WrongSides(Exception):
    """What is wrong with the files that a call names."""


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "propose",
        help="propose the pin mapping between two generations",
        epilog=EXAMPLES,
        description="Old connectors are the machine's side, new ones the unit's. In-line units, "
        "taps and extras are added to the job by hand.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
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
        help="let the notebooks of an earlier job with ends of the same names count",
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
    try:
        files = _sides(args)
        old, new = _named("old", files["old"], args), _named("new", files["new"], args)
        _refuse_twins([*old, *new])
    except WrongSides as wrong:
        return _refuse(args, str(wrong))
    reader = Files()
    faults: list[Finding] = []
    pinouts_old = _read(reader, old, faults)
    pinouts_new = _read(reader, new, faults)
    notebooks = _notebooks(reader, args, faults)
    if faults:
        return _unread(args, faults)
    return _propose(args, pinouts_old, pinouts_new, notebooks)


def _sides(args: argparse.Namespace) -> dict[str, list[str]]:
    """The files of both sides; raises WrongSides."""
    sides = {"old": list(args.old), "new": list(args.new)}
    if args.files:
        if args.old or args.new:
            raise WrongSides("either two bare files, or --old and --new; not both")
        sides = {"old": args.files[:1], "new": args.files[1:]}
    if not args.old and not args.new and len(args.files) != 2:
        raise WrongSides(
            f"two pinouts are wanted, the old and the new; {len(args.files)} given. "
            "Several of one generation: wiremap propose --old A B --new C"
        )
    for age, files in sides.items():
        if not files:
            raise WrongSides(f"--{age} is missing")
    return sides


def _named(age: str, files: Sequence[str], args: argparse.Namespace) -> list[tuple[str, str]]:
    """Each file of a side with the name of its end; raises WrongSides."""
    names = {}
    for text in args.end:
        name, sep, path = text.partition("=")
        known = path in (*args.files, *args.old, *args.new)
        if not (sep and known and name) or set(name) & set(". ~") or name == NO_END:
            raise WrongSides(
                f"--end {text}: NAME=FILE is wanted, with a file of this call and a name without "
                "dots or spaces"
            )
        names[path] = name
    if len(files) == 1:
        return [(names.get(files[0]) or age, files[0])]
    return [(names.get(path) or f"{age}{number}", path) for number, path in enumerate(files, 1)]


def _refuse_twins(ends: Iterable[tuple[str, str]]) -> None:
    """Raise WrongSides where two ends bear one name."""
    seen = set()
    for name, _ in ends:
        if name in seen:
            raise WrongSides(f"two ends are called {name}; name them with --end NAME=FILE")
        seen.add(name)


def _read(reader: Files, ends: Iterable[tuple[str, str]], faults: list[Finding]) -> Named:
    """The pinouts of a side; what could not be read is added to the faults."""
    found = []
    for name, path in ends:
        loaded = reader.pinout(path)
        faults += [each for each in loaded.findings if each.fault]
        if loaded.value is not None:
            tell_withdrawn(loaded.value)
            found.append((name, loaded.value))
    return found


def _notebooks(
    reader: Files, args: argparse.Namespace, faults: list[Finding]
) -> tuple[Notebook, ...]:
    """The notebooks that the call names, an earlier job's first."""
    found: list[Notebook] = []
    if args.keep_answers:
        job = reader.job(args.keep_answers)
        faults += [each for each in job.findings if each.fault]
        if job.value is not None:
            found += job.value.notebooks
    for path in args.notebook:
        loaded = reader.notebook(path)
        faults += [each for each in loaded.findings if each.fault]
        if loaded.value is not None:
            found.append(loaded.value)
    return tuple(found)


def _propose(
    args: argparse.Namespace, old: Named, new: Named, notebooks: tuple[Notebook, ...]
) -> int:
    proposal = propose(old, new, notebooks)
    target = Path(args.output or "job.yaml")
    job = as_job(
        proposal,
        old,
        new,
        title=_title(old, new),
        path=target.as_posix(),
        notebooks=in_job(notebooks, old, new),
        adapter=args.adapter,
    )
    text = job_text(proposal, job)
    if args.output:
        paths = [pinout.path for _, pinout in (*old, *new)]
        wrong = _written(target, text, [*paths, *(notebook.path for notebook in job.notebooks)])
        if wrong is not None:
            return _unread(args, [wrong])
    if args.json:
        emit_json("propose", proposal.as_dict())
    elif not args.output:
        say_text(text)
    if not args.json:
        note(f"next: {after_propose(args.output, asks=bool(proposal.asks))}")
    return HOLDS if proposal.asks else OK


def _written(target: Path, text: str, pinouts: Sequence[str]) -> Finding | None:
    """Write the job beside its pinouts, and say so; the fault that kept it from being written."""
    folder = target.parent
    for path in pinouts:
        if not Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder)):
            return _call(
                f"a job names files of its own folder tree only, and {path} is outside "
                f"{folder.as_posix()}; write the job beside the pinouts, or copy them there first"
            )
    wrong = write_text(target, text)
    if wrong is None:
        note(f"written: {target.as_posix()}")
    return wrong


def _title(old: Named, new: Named) -> str:
    (old_name, old_pinout), (new_name, new_pinout) = old[0], new[0]
    title = f"{new_pinout.title or new_name} in place of {old_pinout.title or old_name}"
    return title[:200]


def _call(message: str) -> Finding:
    return fault("call", message, fix="wiremap propose --help")


def _refuse(args: argparse.Namespace, message: str) -> int:
    return _unread(args, [_call(message)])


def _unread(args: argparse.Namespace, findings: Iterable[Finding]) -> int:
    empty: dict[str, Any] = {"circuits": [], "no_home": [], "needs_logic": []}
    return unread(
        "propose", findings, as_json=args.json, empty=empty, lead="wiremap propose: ", mend="mend: "
    )
