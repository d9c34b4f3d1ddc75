"""What a person does next, in one sentence that is true for the state of the job."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from wiremap.base import Severity
from wiremap.check import Checked, PaperVerdict, Report
from wiremap.content.next_papers import after_papers, anew, shown_path
from wiremap.content.stop_cards import passed
from wiremap.content.text_face import asked_face
from wiremap.entries.courses import since_mended
from wiremap.evidence import entries
from wiremap.evidence.confirmed import PARTNER
from wiremap.evidence.partners import not_yet_joined
from wiremap.model import EndKind, Stop
from wiremap.ringout.bench import ASKED_OF, bench_questions
from wiremap.survey.not_known import not_known
from wiremap.survey.questions import questions

if TYPE_CHECKING:  # a check tells its next step without a sheet, a ring-out or first power
    from wiremap.content.given import Given
    from wiremap.diagnose.judge import Judgement
    from wiremap.evidence.judged_reading import SurveyReading

UNREAD = "mend what could not be read, then check again"
MEND = "mend the stops above in the file (--full shows each place), then check again"
KEEP = "keep what was read: the same command with --save --by NAME"


def after_check(report: Report) -> str:
    """What comes next after a check; empty where there is nothing to say."""
    if any(finding.fault for finding in report.findings):
        return UNREAD
    if len(report.jobs) > 1:
        held = [job.path for job in report.jobs if job.verdict != PaperVerdict.IN_ORDER]
        if not held:
            return ""
        return f"see what holds one of them: wiremap check {shown_path(held[0])}"
    if not report.jobs:
        return after_papers(report.papers)
    told = after_job(report.jobs[0])
    return MEND if told == _what_holds(report.jobs[0].path) else told


def asked_contact(report: Report) -> tuple[str, ...]:
    """The front with the contact that is asked for first, where answering is what comes next."""
    if len(report.jobs) != 1 or any(finding.fault for finding in report.findings):
        return ()
    checked = report.jobs[0]
    if checked.verdict != PaperVerdict.HOLD or checked.job is None:
        return ()
    for question in questions(checked.job):
        return asked_face(checked.job, question.about)
    return ()


def after_job(checked: Checked) -> str:
    """What comes next for one job."""
    path = shown_path(checked.path)
    surveyed, of_cavities = checked.surveyed
    rung_out, of_circuits = checked.rung_out
    on_paper = _on_paper(checked)
    if on_paper:
        return on_paper
    if surveyed < of_cavities and not rung_out:
        return f"read what the survey still lacks, {_when_surveyed(checked)}: wiremap survey {path}"
    if not rung_out and of_circuits and _bench_is_open(checked):
        return f"say what is at the bench, the sheet goes by it: wiremap next {path} --by NAME"
    if not rung_out and of_circuits:
        return f"print the sheet (wiremap sheet {path} -o sheet.pdf), build, {_ring_out(path)}"
    if rung_out < of_circuits:
        return _ring_out(path)
    return f"first power, step by step: wiremap ringout {path} --power"


def _bench_is_open(checked: Checked) -> bool:
    """Whether nobody has said what holds circuits together, or what the beeper does."""
    job = checked.job
    return job is not None and bool(bench_questions(job, entries(job, *ASKED_OF)))


def _when_surveyed(checked: Checked) -> str:
    ends = checked.job.ends.values() if checked.job is not None else ()
    is_cut = any(end.kind is EndKind.CUT_TAIL for end in ends)
    return "before the cut" if is_cut else "on the machine"


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


def _ring_out(path: str) -> str:
    return f"ring out one probe at a time: wiremap ringout {path} --walk --by NAME"


def _unsigned(checked: Checked) -> bool:
    """Whether a caution is left without a name."""
    return any(
        finding.severity is Severity.CAUTION and finding.accepted is None
        for finding in checked.findings
    )


def after_plan(checked: Checked) -> str:
    """What comes next when the plan of a ring-out has been shown."""
    surveyed, of_cavities = checked.surveyed
    rung_out, of_circuits = checked.rung_out
    if _on_paper(checked) or rung_out == of_circuits:
        return after_job(checked)
    path = shown_path(checked.path)
    if surveyed < of_cavities and not rung_out:
        when = _when_surveyed(checked)
        lacks = f"read what the survey still lacks, {when} (wiremap survey {path})"
        return f"{lacks}, build, {_ring_out(path)}"
    return _ring_out(path)


def after_probing(checked: Checked, judged: Judgement, *, saved: bool) -> str:
    """What comes next when readings of a ring-out have been judged and no probe is asked for."""
    path = shown_path(checked.path)
    if judged.disagree:
        return f"mend it, say where, read it again: wiremap next {path} --mended POINT --by NAME"
    if not saved:
        return KEEP
    if judged.second.wrong:
        return f"open that sleeve, mend it, say where: wiremap next {path} --mended POINT --by NAME"
    if judged.is_half:
        return _after_sleeves(checked, path)
    return after_job(checked)


def _after_sleeves(checked: Checked, path: str) -> str:
    """What comes between the first ring-out and the second."""
    if checked.job is not None and not passed(Stop.SLEEVES, since_mended(checked.job.entries)):
        both = f"wiremap sign {path} --stop sleeves --by NAME --second NAME"
        return f"two people look at every joint before the sleeves are shrunk: {both}"
    again = f"wiremap ringout {path} --walk --by NAME"
    return f"shrink the sleeves, then read again while you move each wire by hand: {again}"


def after_survey(checked: Checked) -> str:
    """What comes next when the rows of a survey have been shown."""
    surveyed, of_cavities = checked.surveyed
    if of_cavities and surveyed == of_cavities:
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
    return [about for about in against if not about.endswith(PARTNER)]  # a no, not a reading


def _save_survey(path: str) -> str:
    return f"wiremap survey {shown_path(path)} --readings FILE --save --by NAME"


def after_power_plan(checked: Checked) -> str:
    """What comes next when the steps of first power have been shown."""
    rung_out, of_circuits = checked.rung_out
    if _on_paper(checked) or rung_out < of_circuits:
        return f"not yet; first {after_job(checked)}"
    path = shown_path(checked.path)
    return (
        "step by step, writing down each reading: "
        f"wiremap ringout {path} --power --readings FILE --save --by NAME"
    )


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
    )
    return after_job(checked)
