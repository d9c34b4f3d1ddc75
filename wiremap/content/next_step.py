"""What a person does next with a job, in one sentence."""

from __future__ import annotations

from wiremap.base import Severity
from wiremap.check import Checked, Report, Verdict
from wiremap.model import EndKind
from wiremap.survey.questions import questions

UNREAD = "mend what could not be read, then check again"
MANY = "check one job by itself to see what holds it: wiremap check {file}"


def after_check(report: Report) -> str:
    """What comes next after a check; empty where there is nothing to say."""
    if any(finding.fault for finding in report.findings):
        return UNREAD
    if len(report.jobs) > 1:
        held = [job.path for job in report.jobs if job.verdict != Verdict.IN_ORDER]
        return MANY.format(file=held[0]) if held else ""
    if not report.jobs:
        return "propose the map: wiremap propose OLD NEW -o job.yaml"
    return after_job(report.jobs[0])


def after_job(checked: Checked) -> str:
    """What comes next for one job that was read."""
    path = checked.path
    surveyed, of_cavities = checked.surveyed
    rung_out, of_circuits = checked.rung_out
    if checked.verdict == Verdict.HOLD:
        return _lift_the_hold(checked)
    if _unsigned(checked):
        return f"sign what is left, or mend it: wiremap sign {path} --by NAME"
    if surveyed < of_cavities and not rung_out:
        return f"read what is left {_when_surveyed(checked)}: wiremap survey {path}"
    if rung_out < of_circuits:
        return f"ring out what was built: wiremap ringout {path} --walk --by NAME"
    return f"first power, step by step: wiremap ringout {path} --power"


def _when_surveyed(checked: Checked) -> str:
    job = checked.job
    if job is not None and any(end.kind is EndKind.CUT_TAIL for end in job.ends.values()):
        return "before the cut"
    return "on the machine"


def _lift_the_hold(checked: Checked) -> str:
    path = checked.path
    if checked.job is not None and questions(checked.job):
        return f"answer what is still open: wiremap next {path} --by NAME"
    if all(finding.acceptable for finding in checked.findings if finding.holds):
        return f"mend what holds it, or sign by name: wiremap sign {path} --by NAME"
    return "mend what holds it in the file, then check again"


def _unsigned(checked: Checked) -> bool:
    """Whether a caution is left without a name."""
    return any(
        finding.severity is Severity.CAUTION and finding.accepted is None
        for finding in checked.findings
    )
