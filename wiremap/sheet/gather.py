"""From a job's path to all that a sheet is made from."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from wiremap.base import Finding
from wiremap.content.given import Given

if TYPE_CHECKING:
    from wiremap.check import Checked
    from wiremap.graph import Harness

JOINT_SLIPS = ("like-coloured", "exchanged")


def gather(path: Path, method: str = "near") -> tuple[Given | None, tuple[Finding, ...]]:
    """Everything about a job that a sheet can show, or None with the faults that say why it could not be read."""
    from wiremap.check import check_job
    from wiremap.files import load_job

    loaded = load_job(path)
    if loaded.value is None:
        return None, loaded.findings
    return given_of(check_job(loaded.value, read=loaded.findings), method), loaded.findings


def sheet_pdf(checked: Checked, annex: Sequence[str] = (), paper: str = "a4") -> bytes:
    """The splice sheet of a checked job as PDF bytes; raises ValueError for a job that could not be read."""
    from wiremap.sheet import compose, pdf

    return pdf(compose(given_of(checked), list(annex)), paper)


def given_of(checked: Checked, method: str = "near") -> Given:
    """The inputs of a sheet, worked out from a checked job; raises ValueError for one that could not be read."""
    from wiremap.firstpower.judge import power_plan
    from wiremap.ringout.plan import plan
    from wiremap.sizing.job import size_job
    from wiremap.slips import slips
    from wiremap.survey.rows import survey

    harness = checked.harness
    if harness is None:
        raise ValueError(f"{checked.path} could not be read: there is nothing to print")
    harm = {
        c
        for s in slips(harness).slips
        if s.kind in JOINT_SLIPS and s.grade == "harm"
        for a in s.subject
        for c in _circuits(harness, a)
    }
    sizes = size_job(harness)
    return Given(
        harness,
        checked.findings,
        checked.surveyed,
        checked.rung_out,
        sizes,
        plan(harness, method),
        frozenset(harm),
        power_plan(harness, sizes),
        survey(harness.job),
    )


def _circuits(harness: Harness, subject: str) -> tuple[str, ...]:
    """The circuits that a slip's subject names: a point's, or itself."""
    if subject in harness.points:
        return harness.circuits_at(subject)
    return (subject,) if any(c.id == subject for c in harness.job.circuits) else ()
