"""Questions to which somebody has answered that he does not know: they come back at the end."""

from __future__ import annotations

from dataclasses import replace

from wiremap.evidence import answers, entries, stale
from wiremap.evidence.allowed import undecided
from wiremap.model import Entry, EntryKind, Job
from wiremap.survey.question import Question
from wiremap.survey.questions import every_question, rank


def not_known(job: Job) -> tuple[Question, ...]:
    """The questions about a settled job that stand although they were answered: nobody knew."""
    said = _undecided(job)
    if not said:
        return ()
    found = [
        replace(question, not_known=_told(said[question.about]))
        for question in every_question(job)
        if question.about in said
    ]
    return tuple(sorted(found, key=rank))


def _undecided(job: Job) -> dict[str, Entry]:
    """The last answers that say that nobody knows, where no answer says more."""
    decided, old = answers(job), {each.entry for each in stale(job)}
    return {
        entry.about: entry
        for entry in entries(job, EntryKind.ANSWER)
        if undecided(entry.answer) and entry.about not in decided and entry not in old
    }


def _told(entry: Entry) -> str:
    return ", ".join(filter(None, (entry.by or "nobody named", entry.date)))
