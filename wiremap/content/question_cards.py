"""One open question of a job as a card."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import dropwhile
from urllib.parse import quote

from wiremap.content.cards import (
    Blank,
    Card,
    CardLink,
    CardQuestion,
    CardSpot,
    Choice,
    Places,
    mark_for,
)
from wiremap.evidence.allowed import allowed, undecided
from wiremap.graph import Harness
from wiremap.model import Address, EntryKind
from wiremap.survey.question import Question
from wiremap.survey.together import APART, EACH, together

QUESTIONS = "/questions"
HOW = Blank(name="how", words="how it was found out")
HOW_EACH = Blank(name="how", words=f"how it was found out, of all or of each, parted by `{APART}`")
SINGLY = ";"  # behind an address: asked by itself, not with those that are asked alike


def question_card(harness: Harness, found: Sequence[Question], at: str) -> Card:
    """The question about one address, else the first one that nobody has been asked yet.

    What is one question to a person is one card, as at a terminal, unless asked for by itself.
    """
    groups = together(found, singly=(at.removesuffix(SINGLY),) if at.endswith(SINGLY) else ())
    fresh = [each for each in groups if not each.not_known]
    at = at.removesuffix(SINGLY)
    asked = next((each for each in groups if at in each.all_about), next(iter(fresh), None))
    if asked is None:
        return _asked_through(groups)
    more = []
    if asked.also:
        alone = f"{QUESTIONS}?at={quote(asked.about + SINGLY)}"
        more.append(CardLink(path=alone, words=f"ask of {asked.about} by itself"))
    _, *behind = dropwhile(lambda each: each is not asked, groups)
    if behind:
        more.append(_link("another question", next(iter(behind))))
    so_far = filter(None, (asked.so_far,))
    lead = (*so_far, f"why: {asked.why}", f"how: {asked.how}")
    unknown = len(groups) - len(fresh)
    lead = (*lead, f"{unknown} more were asked, and nobody knew") if unknown else lead
    return Card(
        heading=open_questions(len(fresh)), asks=(_ask(harness, asked, lead),), more=tuple(more)
    )


def asked_yet(found: Sequence[Question]) -> int:
    """How many cards the questions are that nobody has been asked yet."""
    return sum(not question.not_known for question in together(found))


def open_questions(count: int) -> str:
    """How many questions nobody has been asked yet."""
    return "1 question is open" if count == 1 else f"{count} questions are open"


def _asked_through(unknown: Sequence[Question]) -> Card:
    """All was asked; what nobody knew stays within reach, and holds up no work."""
    links = tuple(_link("nobody knew", each) for each in unknown)
    return Card(heading="Nothing new is left to ask", more=links, through=True)


def _link(why: str, question: Question) -> CardLink:
    return CardLink(path=f"{QUESTIONS}?at={quote(question.about)}", words=f"{why}: {question.text}")


def bench_card(harness: Harness, question: Question) -> Card:
    """What nobody has said of the bench, asked before the first reading."""
    lead = (f"why: {question.why}", f"how: {question.how}")
    heading = "Before the ring-out: what is at the bench"
    return Card(heading=heading, asks=(_ask(harness, question, lead),))


def _ask(harness: Harness, question: Question, lead: tuple[str, ...]) -> CardQuestion:
    known = [allowed(harness.job, about) for about in question.all_about]
    touched = [
        Choice(value=answer, words=answer.replace("-", " "))
        for answer in question.answers
        if undecided(answer) or all(each is None or each.fits(answer) for each in known)
    ]
    typed = "another answer" if any(not undecided(each.value) for each in touched) else "the answer"
    if known[0]:
        typed = f"{typed}: {known[0].words}"
    typed, how = (f"{typed}; {EACH}", HOW_EACH) if question.also else (typed, HOW)
    spots = () if question.also else _spots(harness, question)
    before = sum(
        entry.kind == EntryKind.ANSWER and entry.about in question.all_about
        for entry in harness.job.entries
    )
    return CardQuestion(
        mark=mark_for("question", *question.all_about, question.text, str(before)),
        heading=question.text,
        spots=spots,
        lead=lead,
        choices=tuple(touched),
        blanks=(Blank(name="answer", words=typed), how),
        of=question,
    )


def _spots(harness: Harness, question: Question) -> tuple[CardSpot, ...]:
    """The front that bears the contact of a question."""
    places = Places(harness, at_machine=True)
    return tuple(places.spot("at", point) for point in _point(harness, question.about))


def _point(harness: Harness, about: str) -> list[str]:
    """The contact that a question speaks of, if it speaks of one."""
    address = Address.read(about)
    contact, *_ = address.cavity.rpartition(".")
    for cavity in (address.cavity, contact):
        point = f"{address.end}.{cavity}"
        if point in harness.points and harness.points[Address.read(point)].cavity is not None:
            return [point]
    return []
