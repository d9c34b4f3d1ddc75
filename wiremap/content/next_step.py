"""What a person does next, in one sentence that is true for the state of the job."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from wiremap.base import Severity, only
from wiremap.check import Checked, PaperVerdict, Report
from wiremap.content.next_papers import after_papers, anew, shown_path
from wiremap.content.text_face import asked_face
from wiremap.content.work_order import Due, at_power, due_of, halted, in_work, ring_out
from wiremap.evidence.confirmed import asks_partner_of
from wiremap.evidence.partners import not_yet_joined
from wiremap.survey.not_known import not_known
from wiremap.survey.questions import questions

if TYPE_CHECKING:  # a check tells its next step without a sheet, a ring-out or first power
    from wiremap.content.given import Given
    from wiremap.diagnose.judge import Judgement
    from wiremap.evidence.judged_reading import SurveyReading
    from wiremap.firstpower.judge import PowerVerdict

UNREAD = "mend what could not be read, then check again"
MEND = "mend the stops above in the file (--full shows each place), then check again"
KEEP = "keep what was read: the same command with --save --by NAME"


def after_check(report: Report) -> str:
    """What comes next after a check; empty where there is nothing to say."""
    if any(finding.fault for finding in report.findings):
        return UNREAD
    alone = only(report.jobs)
    if alone is not None:
        told = after_job(alone)
        return MEND if told == _what_holds(alone.path) else told
    if report.jobs:
        wrong = [job.path for job in report.jobs if job.wrong_at_power]
        held = [job.path for job in report.jobs if job.verdict != PaperVerdict.IN_ORDER]
        first = next(iter((*wrong, *held)), "")
        return first and f"see what holds one of them: wiremap check {shown_path(first)}"
    return after_papers(report.papers)


def asked_contact(report: Report) -> tuple[str, ...]:
    """The front with the contact that is asked for first, where answering is what comes next."""
    checked = only(report.jobs)
    if checked is None or any(finding.fault for finding in report.findings):
        return ()
    if checked.verdict != PaperVerdict.HOLD or checked.job is None:
        return ()
    for question in questions(checked.job):
        return asked_face(checked.job, question.about)
    return ()


def after_job(checked: Checked, power: PowerVerdict | None = None) -> str:
    """What comes next for one job; `power` is the verdict over first power where it is known."""
    first = halted(checked, power) or _on_paper(checked)
    if first:
        return first
    due = due_of(checked)
    return at_power(checked, power) if due is Due.POWER else in_work(checked, due)


def _on_paper(checked: Checked) -> str:
    """What the papers still want before a hand is laid on anything; empty if they are in order."""
    path = shown_path(checked.path)
    if checked.verdict == PaperVerdict.UNREAD:
        return UNREAD
    if _has_waiting(checked):
        return f"look at what came signed in the pack: wiremap sign {path} --adopt --by NAME"
    if checked.verdict == PaperVerdict.HOLD:
        return _lift_the_hold(checked)
    if _unsigned(checked):
        return f"sign what is left, or mend it: wiremap sign {path} --by NAME"
    return ""


def _has_waiting(checked: Checked) -> bool:
    """Whether signatures came in a pack that nobody here has adopted."""
    notebooks = checked.job.notebooks if checked.job is not None else ()
    return any(notebook.waiting for notebook in notebooks)


def _lift_the_hold(checked: Checked) -> str:
    path = shown_path(checked.path)
    if checked.job is not None and questions(checked.job):
        return f"answer what is still open: wiremap next {path}"
    if checked.job is not None and any(not_yet_joined(checked.job)):
        return anew(path)
    if checked.job is not None and not_known(checked.job):
        return f"find out what nobody knew, then say it: wiremap next {path}"
    if all(finding.acceptable for finding in checked.findings if finding.holds):
        return f"mend what holds it, or sign by name: wiremap sign {path} --by NAME"
    return _what_holds(checked.path)


def _what_holds(path: str) -> str:
    return f"see what holds it, mend it in the file: wiremap check {shown_path(path)}"


def _unsigned(checked: Checked) -> bool:
    """Whether a caution is left without a name."""
    return any(
        finding.severity is Severity.CAUTION and finding.accepted is None
        for finding in checked.findings
    )


def after_plan(checked: Checked) -> str:
    """What comes next when the plan of a ring-out has been shown."""
    if halted(checked) or _on_paper(checked):
        return after_job(checked)
    due = due_of(checked)
    if due in (Due.BENCH, Due.BUILD):
        return ring_out(shown_path(checked.path))
    return in_work(checked, due)


def after_probing(checked: Checked, judged: Judgement, *, saved: bool) -> str:
    """What comes next when readings of a ring-out have been judged and no probe is asked for."""
    path = shown_path(checked.path)
    if judged.disagree:
        return f"mend it, say where, read it again: wiremap next {path} --mended POINT --by NAME"
    if not saved:
        return KEEP
    if judged.second.wrong:
        return f"open that sleeve, mend it, say where: wiremap next {path} --mended POINT --by NAME"
    return after_job(checked)


def after_survey(checked: Checked) -> str:
    """What comes next when the rows of a survey have been shown."""
    if checked.surveyed.all_done:
        return after_job(checked)
    return f"keep what you read: {_save_survey(checked.path)}"


def after_survey_readings(checked: Checked, judged: Iterable[SurveyReading], *, saved: bool) -> str:
    """What comes next when readings of a survey have been judged."""
    if not saved:
        return KEEP
    asked = _asked_against(checked) or [each.address for each in judged if each.contradicts]
    if asked:
        at = f"wiremap next {shown_path(checked.path)} --about {asked[0]} --by NAME"
        return f"read it again, or find out which is true and say it by name: {at}"
    return after_job(checked)


def _asked_against(checked: Checked) -> list[str]:
    """What `next` asks about before all else: the machine has said otherwise than the paper."""
    if checked.job is None:
        return []
    against = [question.about for question in questions(checked.job) if question.against]
    return [about for about in against if asks_partner_of(about) is None]  # a no, not a reading


def _save_survey(path: str) -> str:
    return f"wiremap survey {shown_path(path)} --readings FILE --save --by NAME"


def too_early_to_power(checked: Checked) -> str:
    """What comes before first power and is not done yet; empty once its steps may begin."""
    first = halted(checked) or _on_paper(checked)
    if first:
        return first
    due = due_of(checked)
    return in_work(checked, due) if due < Due.POWER else ""


def after_sheet(given: Given) -> str:
    """What comes next when a sheet has been printed."""
    checked = Checked(
        path=given.job.path,
        verdict=PaperVerdict.HOLD if given.held else PaperVerdict.IN_ORDER,
        findings=given.findings,
        surveyed=given.surveyed,
        rung_out=given.rung_out,
        job=given.job,
        harness=given.harness,
        first_power=given.first_power,
    )
    return halted(checked) or _on_paper(checked) or in_work(checked, due_of(checked), printed=True)
