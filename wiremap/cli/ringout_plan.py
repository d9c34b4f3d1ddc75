"""The plan of the continuity test, and the verdict over what was read."""

from __future__ import annotations

import argparse

from wiremap.cli.common import OK, emit_json, say
from wiremap.cli.next_line import checked_of, tell_next
from wiremap.cli.open_job import read_job
from wiremap.cli.progress import working
from wiremap.content.next_step import after_plan, after_probing
from wiremap.diagnose.judge import Judgement
from wiremap.evidence.opened import OpenJob
from wiremap.reports.ringout import plan_brief, plan_full, verdict_brief
from wiremap.ringout.before_start import before_start
from wiremap.ringout.fuses import fuses_out
from wiremap.ringout.plan import plan
from wiremap.sizing.job import size_job


def show_plan(args: argparse.Namespace, opened: OpenJob) -> int:
    """Print what to read, in which order, and what it proves."""
    with working("planning the readings"):
        made = plan(opened.harness, args.method, args.kind)
    sizes = size_job(opened.harness)
    if args.json:
        before = before_start(opened.harness, made.kind, sizes)
        out = [fuse.as_dict() for fuse in fuses_out(opened.harness, sizes)]
        emit_json("ringout", made.as_dict() | {"before": list(before), "fuses_out": out})
        return OK
    lines_of = plan_full if args.full else plan_brief
    for line in lines_of(made, opened.harness, sizes):
        say(line)
    tell_next(after_plan(checked_of(opened)))
    return OK


def tell_judged(args: argparse.Namespace, opened: OpenJob, judged: Judgement) -> None:
    """The verdict; where no probe is asked for, what comes next for the job."""
    for line in judged.told() if args.full else verdict_brief(judged):
        say(line)
    if judged.next is None:
        saved = args.save or not args.readings
        tell_next(after_probing(checked_of(_as_it_stands(args, opened)), judged, saved=saved))


def _as_it_stands(args: argparse.Namespace, opened: OpenJob) -> OpenJob:
    """The job with what this call has just kept."""
    again, _ = read_job(args.files[0], args.notebook)
    return again or opened
