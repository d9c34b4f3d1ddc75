"""`wiremap survey`: what to read before the cut, and what the readings say."""

from __future__ import annotations

import argparse
from typing import Any

from wiremap.cli.bench import not_counted, open_bench, shown, tell_not_counted, unread
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, say

EXAMPLES = """examples:
  wiremap survey job.yaml
  wiremap survey old.yaml
  wiremap survey job.yaml --judge

Two blocks that are never mixed: volts first, then, battery off, ohms. Never through a seal, never on a restraint circuit.
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
    parser.add_argument("--judge", action="store_true", help="judge the survey readings of the notebook instead of listing rows")
    parser.add_argument("--notebook", metavar="FILE", help="the notebook to read (default: the job's own and the one beside the file)")
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the plan or the verdicts."""
    from wiremap.evidence import boxes, judge_survey
    from wiremap.ringout.survey import survey

    bench, findings = open_bench(args.file, args.notebook)
    if bench is None or any(f.fault for f in findings):
        return unread(args, "survey", findings)
    tell_not_counted(bench, not_counted(bench))
    made, judged = survey(bench.job), judge_survey(bench.job)
    held = [j for j in judged if j.verdict == "contradicts" and j.settled is None]
    counted = boxes(bench.harness)["surveyed"]
    if args.json:
        emit_json("survey", shown(bench, {**made.as_json(), "surveyed": list(counted), "judged": [_plain(j) for j in judged]}))
        return HOLDS if held else OK
    for line in _verdicts(judged) if args.judge else _rows(made):
        say(shown(bench, line))
    say(f"surveyed {counted[0]} of {counted[1]}")
    return HOLDS if held else OK


def _plain(j: Any) -> dict[str, Any]:
    return {
        "point": j.address,
        "verdict": j.verdict,
        "seen": _seen(j.entry),
        "expected": _band(j.expected),
        "reads_as": j.reads_as,
        "settled_by": j.settled.by if j.settled else None,
        "why": j.why,
    }


def _seen(entry: Any) -> str:
    from wiremap.ringout.readings import seen

    return f"{entry.volts:g} V" if entry.volts is not None and entry.ohms is None and entry.seen is None else seen(entry)


def _band(expected: Any) -> str:
    if expected is None or expected.band is None:
        return ""
    return f"{expected.band} {'V' if expected.quantity == 'volts' else 'ohm'} ({expected.source})"


def _verdicts(judged: Any) -> list[str]:
    lines = []
    for j in judged:
        to = "+".join(j.entry.black) or "battery minus"
        line = f"{j.verdict}: {j.address} to {to}: {_seen(j.entry)}"
        if j.verdict == "contradicts":
            line += f"; the paper promises {_band(j.expected)}"
            line += f"; it reads as {j.reads_as} should" if j.reads_as else ""
            line += f"; settled by {j.settled.by}" if j.settled else "; both are kept until a named answer settles it"
        lines.append(line + (f"; {j.why}" if j.why and j.verdict != "fits" else ""))
    return lines or ["no survey readings yet"]


def _rows(made: Any) -> list[str]:
    from wiremap.ringout.survey import BLOCKS

    lines = []
    for block in BLOCKS:
        lines.append(f"{block.upper()}: {made.how(block)}")
        for r in made.block(block):
            state = ", ".join(x for x in (f"key {r.key}" if r.key else "", r.state or "") if x)
            black = "battery minus" if r.black == "chassis" and block == "volts" else r.black
            want = "write it down" if r.low is None else _between(r.low, r.high, "V" if block == "volts" else "ohm")
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
            + (f": {_between(s.low, s.high, 'V' if s.quantity == 'volts' else 'ohm')}" if s.low is not None else "")
        )
    if made.left_alone:
        lines.append(f"{len(made.left_alone)} cavities are not to be probed")
    return lines


def _between(low: float, high: float | None, unit: str) -> str:
    if high is None or high == float("inf"):
        return f"over {low:g} {unit}, or open"
    return f"under {high:g} {unit}" if low <= 0 < high and unit == "ohm" else f"{low:g} to {high:g} {unit}"
