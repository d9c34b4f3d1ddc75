"""The readings that `wiremap ringout` is given: read, spelt as the job does, saved on wish."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Sequence

from wiremap.base import Finding, fault
from wiremap.cli.saving import (
    SHOWN_STDIN,
    STDIN,
    entry_date,
    save_readings,
    stdin_text,
    tell_unread,
)
from wiremap.entries.courses import course_opener
from wiremap.entries.notebook import LineReader, added, readings_from, respelled
from wiremap.evidence.opened import OpenJob, still_counting
from wiremap.evidence.stamping import no_such_points
from wiremap.evidence.touching import near_points
from wiremap.model import Entry


def refuse(args: argparse.Namespace, message: str, fix: str) -> int:
    """Say that a call is wrong; the exit code of unread input."""
    return tell_unread(args, "ringout", [fault("usage", message, fix=fix)])


def read_lines(
    args: argparse.Namespace, lines: LineReader
) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """The entries of `--readings`, its lines read by `lines`, and what could not be read."""
    if args.readings == STDIN:
        text = stdin_text()
        if isinstance(text, Finding):
            return (), (text,)
        return lines(text, SHOWN_STDIN, args.by, entry_date(args))
    return readings_from(args.readings, args.by, entry_date(args), lines)


WhyNotSaved = Callable[[Sequence[Entry]], Sequence[Finding]]  # of some of these entries


def none_refused(_: Sequence[Entry]) -> Sequence[Finding]:
    """All may be saved."""
    return ()


def entries_of(
    args: argparse.Namespace,
    opened: OpenJob,
    lines: LineReader,
    refused: WhyNotSaved = none_refused,
) -> tuple[Sequence[Entry], Sequence[Finding]]:
    """The entries of the job's notebooks and of `--readings`, saved on wish; or what is wrong."""
    own = list(opened.job.entries)
    if not args.readings or _is_own(args.readings, opened):
        return own, ()
    read, findings = read_lines(args, lines)
    read = respelled(opened.harness.points, read)
    findings = (*findings, *no_such_points(opened.harness, read))
    if any(found.fault for found in findings):
        return [], findings
    fresh = added(
        still_counting(opened, own),
        read,
        course_opener(opened.harness, near_points(opened.harness)),
    )
    anew = args.readings == STDIN  # what is typed anew was measured anew
    if anew:
        fresh = tuple(read)
    if args.save:
        too_early = refused(fresh)
        if too_early:
            return [], too_early
        wrong = save_readings(opened, read, fresh, anew=anew)
        if wrong is not None:
            return [], (wrong,)
    return [*own, *fresh], ()


def _is_own(path: str, opened: OpenJob) -> bool:
    """Whether a file of readings is a notebook of the job itself."""
    here = os.path.abspath(path)
    return any(os.path.abspath(notebook.path) == here for notebook in opened.job.notebooks)
