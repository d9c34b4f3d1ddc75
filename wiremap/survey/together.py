"""Questions that are one to a person: asked once for several contacts, each kept by itself."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from wiremap.model import split
from wiremap.survey.question import DONT_KNOW, FILE, Question
from wiremap.trade.tables import named_row

MOST_TOGETHER = 6  # contacts of one question, so that a person takes them in
APART = ";"  # parts the answers that contacts asked together have each
EACH_HOW = f"tell of each by itself how it was found, in their order, parted by `{APART}`"
EACH = f"one answer for all of them, or one each in this order, parted by `{APART}`"


def together(questions: Sequence[Question], singly: Collection[str] = ()) -> tuple[Question, ...]:
    """The questions in their order, like ones as one where the first of them stood.

    What is asked about an address in `singly` is asked by itself.
    """
    groups: dict[object, list[Question]] = {}
    for question in questions:
        key = None if question.about in singly else _key(question)
        groups.setdefault(key or question.about, []).append(question)
    return tuple(
        _as_one(group[at : at + MOST_TOGETHER])
        for group in groups.values()
        for at in range(0, len(group), MOST_TOGETHER)
    )


def spread(abouts: Sequence[str], said: str) -> list[tuple[str, str]] | str:
    """Of each address what was answered; or in words why that cannot be told."""
    parts = [part.strip() for part in said.split(APART)]
    if len(abouts) == 1 or len(parts) == 1:
        return [(about, said.strip()) for about in abouts]
    if len(parts) != len(abouts):
        return f"{len(abouts)} are asked of, {len(parts)} answers were given"
    return list(zip(abouts, parts, strict=True))


def each_how(abouts: Sequence[str], how: str) -> list[str]:
    """Of each address how it was found: words for each, or the same for all."""
    parts = [part.strip() for part in how.split(APART)]
    return parts if len(parts) == len(abouts) else [how] * len(abouts)


def _key(question: Question) -> object:
    """What is equal for questions that are asked as one; None where one is asked by itself."""
    kind = named_row(FILE, "row", question.row).get("together")
    if kind is None:
        return None
    shared = {"end": split(question.about)[0], "all": "", "why": question.why}[kind]
    return question.row, shared, question.against, question.not_known


def _as_one(group: Sequence[Question]) -> Question:
    first, *others = group
    if not others:
        return first
    row = named_row(FILE, "row", first.row)
    these = "; ".join(question.named for question in group)
    answers = (*row["many_answers"], DONT_KNOW) if "many_answers" in row else first.answers
    return replace(
        first,
        text=row["many"].format(these=these, end=split(first.about)[0]),
        answers=answers,
        also=tuple(question.about for question in others),
    )
