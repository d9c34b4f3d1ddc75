"""How `wiremap next` words questions: one with its contact's front, or all, like ones together."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence

from wiremap.base import Finding, fault, plural
from wiremap.cli.answers import BETWEEN_ADDRESSES
from wiremap.cli.common import say
from wiremap.cli.next_line import tell_next
from wiremap.cli.open_job import bare_names
from wiremap.content.next_papers import shown_path
from wiremap.content.text_face import asked_face
from wiremap.evidence.opened import OpenJob
from wiremap.reports.screen import wrapped
from wiremap.survey.question import Question
from wiremap.survey.together import EACH

NAMES_PART = re.compile(r"[DR]\d*(\..*)?")
PARTS_ADDED = "how a part is added: wiremap explain diode, wiremap explain resistor"


def tell_all(opened: OpenJob, questions: Sequence[Question]) -> None:
    """Every question; why it is asked and how to find out once for all that are asked alike."""
    alike: dict[tuple[str, str], list[Question]] = {}
    for question in questions:
        alike.setdefault((question.why, question.how), []).append(question)
    for group in alike.values():
        mixed = len({question.answers for question in group}) > 1
        for question in group:
            _tell_text(opened, question)
            _tell_so_far(question)
            if mixed:
                _tell_answers(question)
        first, *_ = group
        _tell_why(first)
        if not mixed:
            _tell_answers(first)


def tell_one(opened: OpenJob, question: Question) -> None:
    """One question, with the front that bears its contact."""
    _tell_text(opened, question)
    _tell_so_far(question)
    for line in () if question.also else asked_face(opened.job, question.about):
        say(bare_names(opened, f"  {line}"))
    _tell_why(question)
    _tell_answers(question)


def _tell_text(opened: OpenJob, question: Question) -> None:
    asked_of = BETWEEN_ADDRESSES.join(question.all_about)
    for line in wrapped(bare_names(opened, f"{question.text}  [{asked_of}]")):
        say(line)


def _tell_so_far(question: Question) -> None:
    if question.so_far:
        for line in wrapped(question.so_far, lead="  "):
            say(line)


def _tell_words(word: str, words: str) -> None:
    for line in wrapped(words, lead=f"  {word}: "):
        say(line)


def _tell_why(question: Question) -> None:
    """Why it is asked, and how to find out."""
    _tell_words("why", question.why)
    _tell_words("how", question.how)


def _tell_answers(question: Question) -> None:
    _tell_words("answers", ", ".join(question.answers))
    if question.also:
        _tell_words("several", EACH)


def tell_rest(
    args: argparse.Namespace, opened: OpenJob, questions: Sequence[Question], *, about: str | None
) -> None:
    """How many questions are left, and how to answer the one that was shown."""
    after = "after this one" if about is None else f"about {about}"
    first, *others = questions
    more = plural(len(others), "more question")
    say(f"{more} {after}{': --full tells all' if others else ''}")
    call = f"wiremap next {shown_path(args.file)}"
    if args.notebook:
        call += f" --notebook {shown_path(args.notebook)}"
    if about is not None:
        asked_of = BETWEEN_ADDRESSES.join(first.all_about)
        call += f" --about {shown_path(bare_names(opened, asked_of))}"
    tell_next(f'answer it: {call} --answer "..." --how "..." --by NAME')


def nothing_asked(args: argparse.Namespace, opened: OpenJob, address: str) -> Finding:
    """That an address is none of which something is asked, and what can be answered."""
    words = bare_names(opened, f"nothing is asked about {address!r}")
    fix = f"what can be answered: wiremap next {shown_path(args.file)} --full"
    fix += f"; {PARTS_ADDED}" if NAMES_PART.fullmatch(address) else ""
    return fault("no-question", words, fix=fix)
