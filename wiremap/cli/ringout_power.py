"""First power: its steps, or the verdict over what was read."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import Any

from wiremap.base import Finding, fault
from wiremap.cli.common import HOLDS, OK, emit_json, say
from wiremap.cli.next_line import checked_of, held_line, tell_next
from wiremap.cli.ringout_readings import entries_of
from wiremap.cli.saving import tell_unread
from wiremap.content.next_papers import shown_path
from wiremap.content.next_power import after_power
from wiremap.content.next_step import after_job, too_early_to_power
from wiremap.entries.notebook import LineReader
from wiremap.evidence.opened import OpenJob
from wiremap.firstpower.answering import beyond_stop
from wiremap.firstpower.judge import CAUTION, power_judge
from wiremap.firstpower.lines import power_reader
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.renumbered import refused_numbers, renumbered
from wiremap.firstpower.step import PowerStep
from wiremap.model import Entry, Stop
from wiremap.reports.power import power_brief

NOT_YET = "NOT YET, the work before it is not done (see the end): to be read, not done"


def power(args: argparse.Namespace, opened: OpenJob) -> int:
    """List the steps, or judge their readings."""
    steps = power_plan(opened.harness)

    def refused(read: Sequence[Entry]) -> Sequence[Finding]:
        return _too_early(args.files[0], beyond_stop(steps, opened.job.entries, read))

    entries, faults = entries_of(args, opened, _reader(args, opened, steps), refused)
    if faults:
        return tell_unread(args, "ringout", faults)
    body: dict[str, Any] = {"power": [step.as_dict() for step in steps], "caution": CAUTION}
    if not args.readings and not args.judge:
        if args.json:
            emit_json("ringout", body)
        else:
            _tell_steps(args, opened, steps)
        return OK
    judged = power_judge(opened.harness, entries, steps)
    if args.json:
        emit_json("ringout", body | judged.as_dict())
    else:
        for line in judged.told(full=args.full):
            say(line)
        saved = args.save or not args.readings
        tell_next(after_power(checked_of(opened), judged, saved=saved))
    return OK if judged.verdict == "pass" else HOLDS


def _tell_steps(args: argparse.Namespace, opened: OpenJob, steps: tuple[PowerStep, ...]) -> None:
    """The steps, after a warning if it is too early for them, and what comes next."""
    checked = checked_of(opened)
    held = held_line(checked, "to be read, not done, until they are mended")
    first = too_early_to_power(checked)
    if held:
        say(held)
    elif first:
        say(NOT_YET)
    _tell(steps, full=args.full)
    tell_next(f"not yet; first {first}" if first else after_job(checked))


def _reader(args: argparse.Namespace, opened: OpenJob, steps: tuple[PowerStep, ...]) -> LineReader:
    """What reads the lines; those typed by an older list are asked back."""
    moved = renumbered(opened.filed, opened.notebook.as_posix(), steps) if args.readings else {}
    if moved and not args.renumbered:
        return lambda *_: ((), (refused_numbers(moved),))
    return power_reader(steps)


def _too_early(path: str, stop: Stop | None) -> Sequence[Finding]:
    """That readings lie beyond a two-name stop that nobody passed, and how it is passed."""
    if stop is None:
        return ()
    words = f"some of it lies beyond the two-name stop {stop}, which nobody has passed"
    call = f"wiremap sign {shown_path(path)} --stop {stop} --by NAME --second NAME"
    fix = f"save what was read before it by itself; pass the stop, then read on: {call}"
    return (fault("too-early", f"{words}; nothing was saved", fix=fix),)


def _tell(steps: tuple[PowerStep, ...], *, full: bool) -> None:
    """The steps, each with its reason and source, or in a few lines a stage."""
    if not full:
        for line in power_brief(steps):
            say(line)
        return
    for step in steps:
        if step.stop is not None:
            say(f"the two-name stop {step.stop}: wiremap sign JOB --stop {step.stop}")
        line = f"{step.n}. {step.do}{_wanted(step)}"
        if step.why:
            line += f"  ({step.why})"
        if step.source:
            line += f"  [{step.source}]"
        say(line)
    say(CAUTION)


def _wanted(step: PowerStep) -> str:
    """Probes and limits of a reading, and what its notebook entry must name."""
    if not step.quantity:
        return ""
    words = "write it down"
    if step.high is not None:
        words = f"{step.low:g} to {step.high:g} {step.quantity}"
    if step.red:
        words = f"{step.red} to {step.black}: {words}"
    if step.state:
        words += f", noted with state: {step.state}"
    return f": {words}"
