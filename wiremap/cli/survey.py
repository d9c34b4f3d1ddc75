"""`wiremap survey`: what to read before the cut, and what the readings say."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import Any

from wiremap.base import Finding, fault
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, say
from wiremap.cli.open_job import (
    OpenJob,
    day,
    not_counted,
    not_yet,
    notebook_options,
    open_job,
    save_readings,
    shown,
    tell_not_counted,
    typed,
    unread,
)
from wiremap.entries.notebook import added
from wiremap.evidence import boxes, judge_survey, settle
from wiremap.graph import Harness
from wiremap.model import Notebook
from wiremap.ringout.readings import seen
from wiremap.survey.lines import typed_readings
from wiremap.survey.rows import BLOCKS, survey

EXAMPLES = """examples:
  wiremap survey job.yaml
  wiremap survey old.yaml
  wiremap survey job.yaml --readings bench.txt
  wiremap survey job.yaml --readings bench.txt --save --by RK
  wiremap survey job.yaml --judge

Two blocks that are never mixed: volts first, then, battery off, ohms. Never through a seal, never on a restraint circuit.

lines for --readings, one reading each; # begins a remark:
  loom.1 12.6 V key off              volts (V or mV) and how the key stood; black probe on battery minus if nothing is said
  loom.4 to chassis 0 V key on       `to` and where the black probe stood: a cavity, chassis or battery minus
  loom.12 to loom.8 1800 ohm         ohms; 1.8k and 1M too
  loom.12 to loom.8 0.02 V 1.8k      the volts that stood there before, then the ohms: above 0.1 V the ohms do not count
  loom.13 to loom.8 open             o or open or OL (0L) open, b beep, s silent
  loom.9 to loom.10 open guard lifted   the state, as the row names it
An end's name may be left out where the file is one pinout. In a notebook the same reads:
  - {kind: survey, red: loom.1, black: battery minus, volts: 12.6, key: off, by: RK, date: 2026-03-02}
  - {kind: survey, red: loom.12, black: loom.8, volts: 0.02, seen: 1800, by: RK, date: 2026-03-02}   (seen: ohms, open, beep, silent)

exit codes: 0 nothing contradicts the paper, 1 a reading does and nobody has settled it, 2 unread
"""


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "survey",
        help="plan and judge the readings before the cut",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="JOB|PINOUT")
    parser.add_argument(
        "--judge",
        action="store_true",
        help="judge the survey readings of the notebook instead of listing rows",
    )
    parser.add_argument(
        "--readings",
        metavar="FILE",
        help="lines of readings to judge with the notebook's (- for standard input)",
    )
    parser.add_argument(
        "--save",
        action="store_true",
        help="append the readings to the notebook; all or none are kept",
    )
    notebook_options(parser)
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the plan or the verdicts."""

    opened, findings = open_job(args.file, args.notebook)
    if opened is None or any(f.fault for f in findings):
        return unread(args, "survey", findings)
    clash = _clash(args)
    if clash is not None:
        return unread(args, "survey", [clash])
    if args.readings is not None:
        read = _read(args, opened)
        if not isinstance(read, OpenJob):
            return unread(
                args, "survey", [f if not opened.bare else _bare(opened, f) for f in read]
            )
        opened = read
    tell_not_counted(opened, not_counted(opened))
    made, judged = survey(opened.job), judge_survey(opened.job)
    held = [j for j in judged if j.verdict == "contradicts" and j.settled is None]
    counted = boxes(opened.harness)["surveyed"]
    if args.json:
        emit_json(
            "survey",
            shown(
                opened,
                {
                    **made.as_dict(),
                    "surveyed": list(counted),
                    "judged": [_plain(j) for j in judged],
                },
            ),
        )
        return HOLDS if held else OK
    for line in _verdicts(judged) if args.judge or args.readings is not None else _rows(made):
        say(shown(opened, line))
    if not args.judge and args.readings is None:
        note(
            f"enter what was read: wiremap survey {args.file} --readings FILE --save --by NAME (the lines: wiremap survey --help)"
        )
    say(f"surveyed {counted[0]} of {counted[1]}")
    return HOLDS if held else OK


def _clash(args: argparse.Namespace) -> Finding | None:
    """Options that say nothing together, readings that nobody answers for, or a day that is still to come."""
    if args.save and args.readings is None:
        return fault("usage", "--save has nothing to save", fix="add --readings FILE")
    if args.save and not args.by.strip():
        return fault(
            "no-name",
            "a reading counts with a name under it, and --save keeps readings; nothing was saved",
            fix="add --by NAME",
        )
    return not_yet(args)


def _read(args: argparse.Namespace, opened: OpenJob) -> OpenJob | list[Finding]:
    """The job with the typed readings among its entries, saved on wish; or what could not be read."""

    text = typed(args.readings)
    if isinstance(text, Finding):
        return [text]
    read, faults = typed_readings(opened.job, text[1], text[0], args.by, day(args))
    if faults:
        return list(faults)
    own = opened.job.notebooks
    fresh = added([e for n in own for e in n.entries], read)
    if args.save:
        refused = save_readings(opened, read, fresh)
        if refused is not None:
            return [refused]
    job = settle(replace(opened.filed, notebooks=(*own, Notebook(text[0], fresh))))
    return replace(opened, job=job, harness=Harness(job))


def _bare(opened: OpenJob, finding: Finding) -> Finding:

    return replace(finding, message=shown(opened, finding.message))


def _plain(j: Any) -> dict[str, Any]:
    return {
        "point": j.address,
        "verdict": j.verdict,
        "seen": _seen(j.entry),
        "expected": _band(j.expected),
        "reads_as": j.reads_as,
        "settled_by": j.settled.by if j.settled else None,
        "why": j.why,
        "before": [_seen(e) for e in j.before],
    }


def _seen(entry: Any) -> str:

    return (
        f"{entry.volts:g} V"
        if entry.volts is not None and entry.ohms is None and entry.seen is None
        else seen(entry)
    )


def _band(expected: Any) -> str:
    if expected is None or expected.band is None:
        return ""
    return f"{expected.band} {'V' if expected.quantity == 'volts' else 'ohm'} ({expected.source})"


def _verdicts(judged: Any) -> list[str]:
    lines = []
    for j in judged:
        to = "+".join(j.entry.black) or "battery minus"
        state = ", ".join(
            x for x in (f"key {j.entry.key}" if j.entry.key else "", j.entry.state or "") if x
        )
        line = f"{j.verdict}: {j.address} to {to}{f' ({state})' if state else ''}: {_seen(j.entry)}"
        if j.verdict == "contradicts":
            line += f"; the paper promises {_band(j.expected)}"
            line += f"; it reads as {j.reads_as} should" if j.reads_as else ""
            line += (
                f"; settled by {j.settled.by}"
                if j.settled
                else "; both are kept until a named answer settles it"
            )
        if j.before:
            line += f"; before it {', '.join(_seen(e) for e in j.before)}"
        lines.append(line + (f"; {j.why}" if j.why and j.verdict != "fits" else ""))
    return lines or ["no survey readings yet"]


def _rows(made: Any) -> list[str]:

    lines = [f"FIRST: {deed}" for deed in made.lock_out]
    for block in BLOCKS:
        lines.append(f"{block.upper()}: {made.how(block)}")
        for r in made.block(block):
            state = ", ".join(x for x in (f"key {r.key}" if r.key else "", r.state or "") if x)
            black = "battery minus" if r.black == "chassis" and block == "volts" else r.black
            want = (
                "write it down"
                if r.low is None
                else _between(r.low, r.high, "V" if block == "volts" else "ohm")
            )
            lines.append(
                f"  {r.n}. {r.red} to {black}{f' ({state})' if state else ''}: {want}"
                + (f"  [{r.source}]" if r.low is not None else "")
            )
    for a in made.alike:
        lines.append(f"ALIKE: {a.how}")
    for t in made.terminators:
        lines.append(f"TERMINATORS: {t.red} to {t.black}, {t.where}")
        lines += [f"  reads {r}: {so}" for r, so in t.steps]
    for s in made.signatures:
        lines.append(
            f"AFTER: {s.after[0]} to {s.after[1]} must read as {s.before[0]} to {s.before[1]} did"
            + (f", key {s.key}" if s.key else "")
            + (
                f": {_between(s.low, s.high, 'V' if s.quantity == 'volts' else 'ohm')}"
                if s.low is not None
                else ""
            )
        )
    if made.left_alone:
        lines.append(f"{len(made.left_alone)} cavities are not to be probed")
    return lines


def _between(low: float, high: float | None, unit: str) -> str:
    if high is None or high == float("inf"):
        return f"over {low:g} {unit}, or open"
    return (
        f"under {high:g} {unit}"
        if low <= 0 < high and unit == "ohm"
        else f"{low:g} to {high:g} {unit}"
    )
