"""`wiremap survey`: what to read before the cut, and what the readings say."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import Any

from wiremap.base import Finding, fault
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, say
from wiremap.cli.open_job import not_counted, read_job, shown, tell_not_counted
from wiremap.cli.saving import day, not_yet, notebook_options, save_readings, typed, unread
from wiremap.cli.survey_lines import row_lines, verdict_lines, verdict_plain
from wiremap.entries.notebook import added
from wiremap.evidence import boxes, judge_survey, settle
from wiremap.evidence.opened import OpenJob
from wiremap.evidence.survey_readings import Verdict
from wiremap.graph import Harness
from wiremap.model import Notebook
from wiremap.survey.lines import typed_readings
from wiremap.survey.rows import survey

EXAMPLES = """examples:
  wiremap survey job.yaml
  wiremap survey old.yaml
  wiremap survey job.yaml --readings bench.txt
  wiremap survey job.yaml --readings bench.txt --save --by RK
  wiremap survey job.yaml --judge

Two blocks that are never mixed: volts first, then, battery off, ohms. Never through a seal, never
on a restraint circuit.

lines for --readings, one reading each; # begins a remark:
  loom.1 12.6 V ignition off         V or mV, how the ignition stood; black probe on battery minus
  loom.4 to chassis 0 V ignition on  `to` and where else it stood: a cavity, chassis, battery minus
  loom.12 to loom.8 1800 ohm         ohms; 1.8k and 1M too
  loom.12 to loom.8 0.02 V 1.8k      the volts before, then the ohms, which do not count above 0.1 V
  loom.13 to loom.8 open             o or open or OL (0L) open, b beep, s silent
  loom.9 to loom.10 open guard lifted   the state, as the row names it
An end's name may be left out where the file is one pinout. In a notebook the same reads:
  - {kind: survey, red: loom.1, black: chassis, volts: 12.6, key: off, by: RK, date: 2026-03-02}
  - {kind: survey, red: loom.12, black: loom.8, volts: 0.02, seen: 1800, by: RK, date: 2026-03-02}
(seen: ohms, open, beep, silent)

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
    opened, findings = read_job(args.file, args.notebook)
    if opened is None or any(found.fault for found in findings):
        return unread(args, "survey", findings)
    clash = _clash(args)
    if clash is not None:
        return unread(args, "survey", [clash])
    if args.readings is not None:
        read = _read(args, opened)
        if not isinstance(read, OpenJob):
            return unread(args, "survey", [_bare(opened, found) for found in read])
        opened = read
    tell_not_counted(opened, not_counted(opened))
    return _told(args, opened)


def _told(args: argparse.Namespace, opened: OpenJob) -> int:
    """Show the rows, or what the readings say; 1 where a contradiction stands."""
    made, judged = survey(opened.job), judge_survey(opened.job)
    counted = boxes(opened.harness)["surveyed"]
    if args.json:
        verdicts = [verdict_plain(each) for each in judged]
        shape = {**made.as_dict(), "surveyed": list(counted), "judged": verdicts}
        emit_json("survey", shown(opened, shape))
    else:
        asks = not args.judge and args.readings is None
        for line in row_lines(made) if asks else verdict_lines(judged):
            say(shown(opened, line))
        if asks:
            note(
                f"enter what was read: wiremap survey {args.file} --readings FILE --save --by NAME "
                "(the lines: wiremap survey --help)"
            )
        say(f"surveyed {counted[0]} of {counted[1]}")
    stands = any(each.verdict == Verdict.CONTRADICTS and each.settled is None for each in judged)
    return HOLDS if stands else OK


def _clash(args: argparse.Namespace) -> Finding | None:
    """Options that say nothing together, readings without a name, or a day still to come."""
    if args.save and args.readings is None:
        return fault("usage", "--save has nothing to save", fix="add --readings FILE")
    if args.save and not args.by.strip():
        words = (
            "a reading counts with a name under it, and --save keeps readings; nothing was saved"
        )
        return fault("no-name", words, fix="add --by NAME")
    return not_yet(args)


def _read(args: argparse.Namespace, opened: OpenJob) -> OpenJob | list[Finding]:
    """The job with the typed readings among its entries, saved on wish; or what is wrong."""
    text = typed(args.readings)
    if isinstance(text, Finding):
        return [text]
    name, lines = text
    read, faults = typed_readings(opened.job, lines, name, args.by, day(args))
    if faults:
        return list(faults)
    own = opened.job.notebooks
    fresh = added([entry for notebook in own for entry in notebook.entries], read)
    if args.save:
        refused = save_readings(opened, read, fresh)
        if refused is not None:
            return [refused]
    job = settle(replace(opened.filed, notebooks=(*own, Notebook(name, fresh))))
    return replace(opened, job=job, harness=Harness(job))


def _bare(opened: OpenJob, finding: Finding) -> Finding:
    return replace(finding, message=shown(opened, finding.message))
