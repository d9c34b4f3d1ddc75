"""An adapter without a job: two or more faces, what to read first, what the readings come to."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from pathlib import Path

from wiremap.base import Finding
from wiremap.cli.common import HOLDS, OK, emit_json, note, say, say_whole
from wiremap.cli.next_line import tell_next
from wiremap.cli.ringout_readings import read_lines, refuse
from wiremap.cli.saving import tell_unread
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.content.next_begun import after_found
from wiremap.content.next_papers import shown_path
from wiremap.diagnose.bought import UNWRITTEN, first_probes, judge_adapter
from wiremap.entries.probe_lines import batch
from wiremap.files import load_pinout
from wiremap.files.dump import dump_job
from wiremap.files.from_job import from_job
from wiremap.files.write import write_text
from wiremap.model import Address, Entry, Pinout
from wiremap.reports.bought import bought_brief, bought_full, first_lines, next_lines

Entries = Sequence[Entry]


def without_job(args: argparse.Namespace) -> int:
    """What to read first; with readings the adapter as it was built, and the rule book's word."""
    read: Entries = ()
    findings: Sequence[Finding] = ()
    if args.readings:
        read, findings = read_lines(args, batch)
    files = dict(zip(_face_names(args.files, read), args.files, strict=True))
    pinouts, faults = _pinouts(files)
    findings = (*findings, *faults)
    if any(found.fault for found in findings):
        return tell_unread(args, "ringout", findings)
    if not args.readings:
        return _first(args, pinouts)
    lost = [point for point in _points(read) if not _known(pinouts, point)]
    if lost:
        words = f"no such point: {', '.join(dict.fromkeys(lost))}"
        return refuse(args, words, f"the faces are {', '.join(files)}")
    if not read:
        return refuse(args, "no readings were found", "write them as: old.1 - new.3 b")
    return _judge(args, pinouts, files, read)


def _pinouts(files: Mapping[str, str]) -> tuple[dict[str, Pinout], list[Finding]]:
    pinouts = {}
    findings: list[Finding] = []
    for name, file in files.items():
        loaded = load_pinout(file)
        findings += loaded.findings
        if loaded.value is not None:
            tell_withdrawn(loaded.value)
            pinouts[name] = loaded.value
    return pinouts, findings


def _first(args: argparse.Namespace, pinouts: Mapping[str, Pinout]) -> int:
    lines = first_probes(pinouts)
    if args.json:
        emit_json("ringout", {"first": list(lines)})
        return OK
    for line in first_lines(lines, full=args.full):
        say_whole(line)
    kept = f"{_call(args)} --full > first.txt"
    step = f"keep them ({kept}), put b, s or the ohms for each ?, and judge it: {_call(args)}"
    note(f"next: {step} --readings first.txt")
    return OK


def _call(args: argparse.Namespace) -> str:
    return f"wiremap ringout {' '.join(map(shown_path, args.files))}"


def _points(read: Entries) -> list[Address]:
    return [Address.read(point) for entry in read for point in (*entry.red, *entry.black)]


def _known(pinouts: Mapping[str, Pinout], point: Address) -> bool:
    return point.end in pinouts and point.cavity in pinouts[point.end].cavities


def _face_names(files: Sequence[str], read: Entries) -> list[str]:
    """What the readings call the faces: `old` and `new` of two, otherwise their files' stems."""
    names = [Path(file).stem for file in files]
    if len(set(names)) < len(names) or any("." in name or " " in name for name in names):
        names = [f"end{number}" for number in range(len(names))]
    usual = ["old", "new"] if len(names) == 2 else names
    used = {point.end for point in _points(read)}
    return usual if used <= set(usual) else names


def _judge(
    args: argparse.Namespace,
    pinouts: Mapping[str, Pinout],
    files: Mapping[str, str],
    read: Entries,
) -> int:
    """The map as built, written on wish, and the verdict over it."""
    path = args.as_built or UNWRITTEN
    made = judge_adapter(pinouts, read, path)
    named = {name: from_job(path, file) for name, file in files.items()}
    text = dump_job(made.job, header=made.header, files=named)
    if args.as_built:
        wrong = write_text(path, text, inputs=args.files)
        if wrong is not None:
            return tell_unread(args, "ringout", [wrong])
        note(f"the map as built is written to {path}")
    if args.json:
        emit_json("ringout", {"job": text} | made.as_dict())
    else:
        report = bought_full if args.full else bought_brief
        for line in report(made):
            say(line)
        for line in next_lines(made, full=args.full):
            say_whole(line)
        call = f"{_call(args)} --readings {shown_path(args.readings)}"
        if made.next and not args.as_built:
            say(f"its map as far as read is kept with: {call} --as-built adapter.yaml")
        tell_next(after_found(made, args.as_built, call=call, readings=args.readings))
    return OK if made.verdict == "in-order" else HOLDS
