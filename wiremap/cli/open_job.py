"""What the commands beside the machine tell of an opened job, its notebook and its answers."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Severity
from wiremap.cli.common import note
from wiremap.cli.progress import working
from wiremap.cli.saving import tell_unread
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.evidence import answers, unusable
from wiremap.evidence.opened import LONE_END, OpenJob, open_job


def read_job(path: str, notebook: str | None) -> tuple[OpenJob | None, tuple[Finding, ...]]:
    """A job or pinout with its notebook, and what was wrong; one that was withdrawn is told."""
    with working("reading the job"):
        opened, findings = open_job(path, notebook)
    if opened is not None:
        tell_withdrawn(opened.paper)
    return opened, findings


def opened_for(command: str, args: argparse.Namespace) -> OpenJob | int:
    """The job that a call names, with its notebook; what could not be read is told: exit code 2."""
    opened, findings = read_job(args.file, args.notebook)
    if opened is None or any(found.fault for found in findings):
        return tell_unread(args, command, findings)
    return opened


def notebook_plain(opened: OpenJob) -> dict[str, Any]:
    """Where entries go, whether the job names that file, and which unnamed ones were read."""
    return {
        "path": opened.notebook.as_posix(),
        "named": opened.named,
        "read_unnamed": list(opened.unnamed),
    }


def not_counted(opened: OpenJob) -> tuple[Finding, ...]:
    """A caution for every answer that its question does not allow; each is asked again."""
    known = answers(opened.job)
    cautions = []
    for entry, why in unusable(opened.job):
        if entry.about not in known:
            words = bare_names(opened, f"{why}; it does not count")
            subject = (bare_names(opened, entry.about),)
            cautions.append(
                Finding(
                    "answer-not-counted",
                    Severity.CAUTION,
                    words,
                    subject,
                    entry.place,
                    fix="answer it again; the last answer counts",
                )
            )
    return tuple(cautions)


def tell_not_counted(opened: OpenJob, cautions: Iterable[Finding]) -> None:
    """Say on stderr which answers do not count, and which notebooks the job does not name."""
    for each in cautions:
        note(f"{each.place}: {each.message}" if each.place else each.message)
    for path in map(Path, opened.unnamed):
        note(f"{path.as_posix()} is read; {opened.name_it(path)}")


def bare_names(opened: OpenJob, value: Any) -> Any:
    """Plain data with the bare names that the user gave, if the job stands for one pinout."""
    if not opened.bare:
        return value
    if isinstance(value, dict):
        return {key: bare_names(opened, each) for key, each in value.items()}
    if isinstance(value, list):
        return [bare_names(opened, each) for each in value]
    if isinstance(value, str):
        return value.replace(f"{LONE_END}.", "")
    return value
