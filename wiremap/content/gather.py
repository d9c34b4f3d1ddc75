"""From a job's path to all that a sheet is made from."""

from __future__ import annotations

from pathlib import Path

from wiremap.base import Finding
from wiremap.check import Checked, check_job
from wiremap.content.given import Given
from wiremap.content.work_order import lacks_second
from wiremap.files import load_job
from wiremap.firstpower.plan import power_plan
from wiremap.graph import Harness
from wiremap.ringout.plan import plan
from wiremap.sizing.job import size_job
from wiremap.slips import slips
from wiremap.survey.rows import survey

JOINT_SLIPS = ("like-coloured", "exchanged")


def gather(path: Path, method: str | None = None) -> tuple[Given | None, tuple[Finding, ...]]:
    """Everything about a job that a sheet can show, or None with the faults that say why not;
    `method` is how the ring-out is probed, else the one that suits the job.
    """
    loaded = load_job(path)
    if loaded.value is None:
        return None, loaded.findings
    return given_of(check_job(loaded.value, read=loaded.findings), method), loaded.findings


def given_of(checked: Checked, method: str | None = None) -> Given:
    """The inputs of a sheet, worked out from a checked job; raises ValueError for an unread one."""
    harness = checked.harness
    if harness is None:
        raise ValueError(f"{checked.path} could not be read: there is nothing to print")
    sizes = size_job(harness)
    return Given(
        harness=harness,
        findings=checked.findings,
        not_judged=checked.not_judged,
        surveyed=checked.surveyed,
        rung_out=checked.rung_out,
        lacks_second=checked.rung_out.all_done and lacks_second(checked),
        first_power=checked.first_power,
        sizes=sizes,
        plan=plan(harness, method),
        power=power_plan(harness, sizes),
        survey=survey(harness.job),
    )


def harmed(harness: Harness) -> frozenset[str]:
    """The circuits whose joints can be exchanged so that something breaks or moves."""
    known = {circuit.id for circuit in harness.job.circuits}
    found: set[str] = set()
    report = slips(harness)
    if report.refused is not None:
        return frozenset(known)  # too many exchanges to try each: every joint is marked
    for slip in report.slips:
        if slip.kind not in JOINT_SLIPS or slip.grade != "harm":
            continue
        for subject in slip.subject:
            found.update(harness.circuits_at(subject))
            if subject in known and subject not in harness.points:  # a circuit, not a contact
                found.add(subject)
    return frozenset(found)
