"""What is asked of the bench before a ring-out: what holds circuits together, what the beeper does.

Asked once, after all that the papers leave open, and no longer once a reading was taken: then the
plan stands.
"""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.evidence import entries as entries_of
from wiremap.evidence import refusal
from wiremap.evidence.equipment import ABOUT as EQUIPMENT
from wiremap.mistakes.beeper import ABOUT as BEEPER
from wiremap.model import Entry, EntryKind, Job
from wiremap.survey.not_known import not_known
from wiremap.survey.question import Question, of_table
from wiremap.survey.questions import questions

BENCH = (EQUIPMENT, BEEPER)  # what is asked about; each names its row of the table of questions too
ASKED_OF = (EntryKind.ANSWER, EntryKind.PROBE)  # the entries that say whether there is a question


def open_questions(job: Job) -> tuple[Question, ...]:
    """What the papers leave open; once that is settled, what nobody has said of the bench; then
    what was asked before and nobody knew.
    """
    fresh = questions(job) or bench_questions(job, entries_of(job, *ASKED_OF))
    return fresh or not_known(job)


def bench_questions(job: Job, entries: Iterable[Entry]) -> tuple[Question, ...]:
    """What these entries leave open of the bench of a settled job."""
    known = tuple(entries)
    if not job.circuits or any(entry.kind == EntryKind.PROBE for entry in known):
        return ()
    said = {
        entry.about
        for entry in known
        if entry.kind == EntryKind.ANSWER and refusal(job, entry.about, entry.answer) is None
    }
    return tuple(of_table(about, about) for about in BENCH if about not in said)


def question_lines(question: Question) -> tuple[str, ...]:
    """A question as lines: why it matters, how to find out, what may be answered."""
    return (
        question.text,
        f"why: {question.why}",
        f"how: {question.how}",
        f"answers: {', '.join(question.answers)}",
    )


def why_no_answer(job: Job, question: Question, typed: str) -> str:
    """Why what was typed is no answer; Enter alone is none either."""
    refused = refusal(job, question.about, typed) if typed.strip() else None
    if refused is None:
        return f"Enter is no answer: one of {', '.join(question.answers)}"
    return f"{refused.why} ({refused.fix})"
