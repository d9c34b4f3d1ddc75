"""One open question of a job as a card."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.cards import Blank, Card, CardLink, CardQuestion, Choice, Places, mark_for
from wiremap.evidence.allowed import allowed, undecided
from wiremap.graph import Harness
from wiremap.model import Address, EntryKind
from wiremap.survey.question import Question

QUESTIONS = "/questions"
HOW = Blank(name="how", words="how it was found out")


def question_card(harness: Harness, found: Sequence[Question], at: str) -> Card:
    """The question about one address, else the first one."""
    if not found:
        return Card(heading="Nothing is left to ask", through=True)
    asked = next((each for each in found if each.about == at), found[0])
    behind = found[found.index(asked) + 1 :]
    more = [
        CardLink(path=f"{QUESTIONS}?at={each.about}", words=f"another question: {each.text}")
        for each in behind[:1]
    ]
    so_far = filter(None, (asked.so_far,))
    lead = (*so_far, f"why: {asked.why}", f"how: {asked.how}")
    heading = f"{len(found)} questions are open" if len(found) > 1 else "One question is open"
    return Card(heading=heading, asks=(_ask(harness, asked, lead),), more=tuple(more))


def bench_card(harness: Harness, question: Question) -> Card:
    """What nobody has said of the bench, asked before the first reading."""
    lead = (f"why: {question.why}", f"how: {question.how}")
    heading = "Before the ring-out: what is at the bench"
    return Card(heading=heading, asks=(_ask(harness, question, lead),))


def _ask(harness: Harness, question: Question, lead: tuple[str, ...]) -> CardQuestion:
    known = allowed(harness.job, question.about)
    touched = [
        Choice(value=answer, words=answer.replace("-", " "))
        for answer in question.answers
        if undecided(answer) or known is None or known.fits(answer)
    ]
    typed = "another answer" if any(not undecided(each.value) for each in touched) else "the answer"
    if known:
        typed = f"{typed}: {known.words}"
    spots = [
        Places(harness, at_machine=True).spot("at", point)
        for point in _point(harness, question.about)
    ]
    before = sum(
        entry.kind == EntryKind.ANSWER and entry.about == question.about
        for entry in harness.job.entries
    )
    return CardQuestion(
        mark=mark_for("question", question.about, question.text, str(before)),
        heading=question.text,
        spots=tuple(spots),
        lead=lead,
        choices=tuple(touched),
        blanks=(Blank(name="answer", words=typed), HOW),
        of=question,
    )


def _point(harness: Harness, about: str) -> list[str]:
    """The contact that a question speaks of, if it speaks of one."""
    address = Address.read(about)
    for cavity in (address.cavity, address.cavity.rpartition(".")[0]):
        point = f"{address.end}.{cavity}"
        if point in harness.points and harness.points[Address.read(point)].cavity is not None:
            return [point]
    return []
