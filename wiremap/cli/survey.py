"""`wiremap survey`: what to read before the cut, and what the readings say."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from wiremap.base import Finding, fault
from wiremap.cli.common import HOLDS, OK, emit_json, json_flag, note, say
from wiremap.cli.next_line import checked_of, tell_next
from wiremap.cli.open_job import bare_names, not_counted, opened_for, tell_not_counted
from wiremap.cli.progress import working
from wiremap.cli.saving import (
    STDIN,
    entry_date,
    future_date,
    notebook_options,
    save_readings,
    shown_name,
    tell_unread,
    text_typed,
)
from wiremap.content.next_papers import after_paper
from wiremap.content.next_step import after_survey, after_survey_readings
from wiremap.entries.notebook import added
from wiremap.evidence import judge_survey, progress_of, settle
from wiremap.evidence.judged_reading import SurveyReading
from wiremap.evidence.opened import OpenJob, still_counting
from wiremap.graph import Harness
from wiremap.model import Entry, Notebook
from wiremap.reports.screen import LAST_STEP, SCREEN, named_up_to
from wiremap.reports.survey import row_lines, verdict_lines, verdict_plain
from wiremap.reports.survey_brief import (
    before_line,
    rows_brief,
    surveyed_lines,
    verdicts_brief,
)
from wiremap.survey.left import lacking, rows_left
from wiremap.survey.lines import typed_survey
from wiremap.survey.rows import Survey, survey

MOST_TAKEN = 6  # figures without a unit that are told
EXAMPLES = """examples:
  wiremap survey job.yaml
  wiremap survey old.yaml
  wiremap survey job.yaml --readings bench.txt
  wiremap survey job.yaml --readings bench.txt --save --by RK
  wiremap survey job.yaml --judge

Volts first, then, battery off, ohms; never through a seal, never on a restraint
circuit. A line is one reading:
  loom.1 12.6 V ignition off    loom.12 to loom.8 1800 ohm
every form of a line: wiremap explain readings

exit codes: 0 nothing against the paper, 1 a reading that nobody has settled, 2 unread
"""


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "survey",
        help="plan and judge the readings before the cut",
        epilog=EXAMPLES,
    )
    parser.add_argument("file", metavar="JOB|PINOUT")
    parser.add_argument(
        "--judge",
        action="store_true",
        help="judge what the notebook holds, list no rows",
    )
    parser.add_argument(
        "--readings",
        metavar="FILE",
        help="lines to judge (-: standard input)",
    )
    parser.add_argument(
        "--save",
        action="store_true",
        help="append them to the notebook, all or none",
    )
    parser.add_argument("--full", action="store_true", help="tell every row and every reading")
    notebook_options(parser)
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the plan or the verdicts."""
    opened = opened_for("survey", args)
    if isinstance(opened, int):
        return opened
    clash = _wrong_options(args)
    if clash is not None:
        return tell_unread(args, "survey", [clash])
    entries: Sequence[Entry] = ()
    if args.readings is not None:
        read = _with_readings(args, opened)
        if not isinstance(read, JobWithReadings):
            return tell_unread(args, "survey", [_bare_finding(opened, found) for found in read])
        opened, entries = read
    tell_not_counted(opened, not_counted(opened))
    return _tell(args, opened, entries)


def _tell(args: argparse.Namespace, opened: OpenJob, typed_now: Sequence[Entry]) -> int:
    """Show the rows, or what the readings say; 1 where a contradiction stands."""
    with working("planning the survey"):
        made, judged = survey(opened.job), judge_survey(opened.job)
        counted = progress_of(opened.harness).surveyed
        lacks = lacking(opened.harness, made, judged)
    if args.json:
        verdicts = [verdict_plain(each) for each in judged]
        shape = {**made.as_dict(), "surveyed": list(counted), "judged": verdicts}
        shape["lacking"] = lacks.as_dict()
        emit_json("survey", bare_names(opened, shape))
    else:
        asks = not args.judge and args.readings is None
        surveyed = tuple(surveyed_lines(args.file, counted, lacks))
        room = SCREEN - LAST_STEP - len(surveyed)
        lines = _rows(args, made, judged, room) if asks else _verdicts(args, judged, typed_now)
        for line in (*lines, *surveyed):
            say(bare_names(opened, line))
        tell_next(_next(args, opened, judged))
    return HOLDS if any(each.contradicts for each in judged) else OK


def _rows(
    args: argparse.Namespace, made: Survey, judged: Sequence[SurveyReading], room: int
) -> Iterable[str]:
    return row_lines(made) if args.full else rows_brief(made, rows_left(made, judged), room=room)


def _verdicts(
    args: argparse.Namespace, judged: Sequence[SurveyReading], typed_now: Sequence[Entry]
) -> Iterable[str]:
    """What the readings of this call say; those of before are counted."""
    now, before = list(judged), []
    if args.readings is not None:
        of_this_call = {_what_it_says(entry) for entry in typed_now}
        now = [each for each in judged if _what_it_says(each.entry) in of_this_call]
        before = [each for each in judged if _what_it_says(each.entry) not in of_this_call]
    lines = verdict_lines(now) if args.full else verdicts_brief(now)
    return (*lines, *before_line(before))


def _what_it_says(entry: Entry) -> Entry:
    """What an entry says, whoever wrote it, wherever and for whatever state of the file."""
    return replace(entry, by="", date="", of=None, place=None, how="")


def _next(args: argparse.Namespace, opened: OpenJob, judged: Sequence[SurveyReading]) -> str:
    if opened.bare:
        return after_paper(args.file, opened.job)
    if not args.judge and args.readings is None:
        return after_survey(checked_of(opened))
    saved = args.save or args.readings is None
    return after_survey_readings(checked_of(opened), judged, saved=saved)


def _wrong_options(args: argparse.Namespace) -> Finding | None:
    """Options that say nothing together, readings without a name, or a day still to come."""
    if args.save and args.readings is None:
        return fault("usage", "--save has nothing to save", fix="add --readings FILE")
    if args.save and not args.by.strip():
        words = (
            "a reading counts with a name under it, and --save keeps readings; nothing was saved"
        )
        return fault("no-name", words, fix="add --by NAME")
    return future_date(args)


class JobWithReadings(NamedTuple):
    """A job with typed readings among its entries, and those readings."""

    opened: OpenJob
    entries: Sequence[Entry]


def _with_readings(args: argparse.Namespace, opened: OpenJob) -> JobWithReadings | list[Finding]:
    """The job with the typed readings among its entries, saved on wish; or what is wrong."""
    text = text_typed(args.readings)
    if isinstance(text, Finding):
        return [text]
    name = shown_name(args.readings)
    read, faults, taken = typed_survey(opened.job, text, name, args.by, entry_date(args))
    if faults:
        return list(faults)
    if taken:
        named = named_up_to(taken, MOST_TAKEN, by="")
        note(bare_names(opened, f"taken, as nothing else is read there: {named}"))
    own = opened.job.notebooks
    held = [entry for notebook in own for entry in notebook.entries]
    anew = args.readings == STDIN  # what is typed anew was measured anew
    fresh = tuple(read) if anew else added(still_counting(opened, held), read)
    if args.save:
        refused = save_readings(opened, read, fresh, anew=anew)
        if refused is not None:
            return [refused]
    job = settle(replace(opened.filed, notebooks=(*own, Notebook(name, fresh))))
    return JobWithReadings(replace(opened, job=job, harness=Harness(job)), read)


def _bare_finding(opened: OpenJob, finding: Finding) -> Finding:
    return replace(finding, message=bare_names(opened, finding.message))
