"""Questions at a terminal: one after another until a person stops, each answer kept at once."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from wiremap.base import Finding, only
from wiremap.cli.answers import BETWEEN_ADDRESSES, take_answers
from wiremap.cli.common import note, say
from wiremap.cli.open_job import opened_for
from wiremap.entries.yes_no import in_english
from wiremap.evidence import allowed, denied_by_meter, refusal, sure, undecided, unfounded
from wiremap.evidence.opened import OpenJob
from wiremap.evidence.unusual import unusual
from wiremap.model import Job
from wiremap.survey.question import DONT_KNOW, Question
from wiremap.survey.together import APART, each_how, spread, together

KEYS = (
    "type an answer or how it begins; d don't know, l later, s each by itself, ? this list, "
    "Enter or q stop and keep"
)
NAME = "your name (what is kept counts with one): "
HOW = "how was it found out? (Enter: not said) "
HOW_NEEDED = "how was it found out? (Enter: leave it for later) "
STOP, LATER, UNKNOWN, HELP = "q", "l", "d", "?"
SINGLY = "s"
AGAIN = "again"  # what becomes of an answer that could not be kept: it is asked for again
AnswersByAddress = Sequence[tuple[str, str]]  # what is answered of which address
FindQuestions = Callable[[Job], Sequence[Question]]
TellQuestion = Callable[[OpenJob, Question], None]


def is_talk(args: argparse.Namespace) -> bool:
    """Whether a person sits at the terminal who was not asked for one thing alone."""
    return not (args.json or args.full) and a_person_types()


def a_person_types() -> bool:
    """Whether a person sits at a terminal."""
    return sys.stdin is not None and sys.stdin.isatty()


def asked_name() -> str:
    """The name that what is kept shall bear; empty where none is typed."""
    return _typed(NAME)


def talked(
    args: argparse.Namespace, opened: OpenJob, find: FindQuestions, tell: TellQuestion
) -> OpenJob | int:
    """Ask what stands until nothing does or the person stops; the job as it then is.

    An exit code if the job cannot be read any more.
    """
    if not args.by.strip():
        args.by = asked_name()
    later: set[str] = set()
    singly: set[str] = set()
    told_keys = False
    while args.by:
        open_yet = [each for each in find(opened.job) if each.about not in later]
        left = together(open_yet, singly)
        if not left:
            break
        say()
        first, *others = left
        tell(opened, first)
        say(f"  {len(others)} more after this one" if told_keys else f"  {KEYS}")
        told_keys = True
        ended = _answered(args, opened, first)
        if ended == STOP:
            break
        if ended == LATER or undecided(ended):  # what nobody knows comes back in another sitting
            later.update(first.all_about)
        if ended == SINGLY:
            singly.update(first.all_about)
        if ended in (LATER, SINGLY):
            continue
        again = opened_for("next", args)
        if isinstance(again, int):
            return again
        opened = again
    return opened


def _answered(args: argparse.Namespace, opened: OpenJob, asked: Question) -> str:
    """The answer to one question, kept; or that it is left for later, or that the person stops."""
    doubted = ""
    while True:
        typed = _typed("> ")
        word = _key_typed(typed, asked)
        if word:
            return word
        if typed == HELP:
            say(f"  {KEYS}")
            _tell_wanted(opened.job, asked)
            continue
        text = DONT_KNOW if typed == UNKNOWN else _offered_or_typed(opened.job, asked, typed)
        answers = spread(asked.all_about, text)
        refused = answers if isinstance(answers, str) else _refused(opened.job, answers)
        if isinstance(answers, str) or refused:
            say(f"  {refused}")
            continue
        strange = next(filter(None, (_why_asked_back(opened.job, *each) for each in answers)), "")
        if strange and text != doubted:
            doubted = text
            say(f"  {strange}; the same once more keeps it")
            continue
        ended = _kept_with_how(args, opened.job, answers, told=strange)
        if ended != AGAIN:
            return ended or text


def _tell_wanted(job: Job, asked: Question) -> None:
    """What counts as an answer to a question, with an example."""
    known = allowed(job, asked.about)
    if known is not None:
        say(f"  wanted here: {known.words} (as: {known.example})")


def _why_asked_back(job: Job, about: str, text: str) -> str:
    """Why an answer is asked back: a figure far from what is usual, or what a meter denied."""
    return unusual(about, text) or denied_by_meter(job, about, text)


def _kept_with_how(
    args: argparse.Namespace, job: Job, answers: AnswersByAddress, *, told: str
) -> str:
    """Ask how it was found out, and keep it: empty if it is kept, else what becomes of it."""
    _, first = next(iter(answers))
    how = "" if undecided(first) else _asked_how(job, answers, told=told)
    how = sure(how) if told else how
    hows = each_how([about for about, _ in answers], how)
    told_of = zip(answers, hows, strict=True)
    lacking = next(filter(None, (unfounded(job, *each, found) for each, found in told_of)), None)
    if lacking is not None:
        say(f"  {lacking.why}; it is left for later")
        return LATER
    faults = _keep(args, answers, how)
    for fault in faults:
        say(f"  {fault.message}")
    return AGAIN if faults else ""


def _key_typed(typed: str, asked: Question) -> str:
    """What a key asks for instead of an answer; empty for an answer."""
    if typed in ("", STOP):
        return STOP
    if typed == SINGLY and asked.also:
        return SINGLY
    return LATER if typed == LATER else ""


def _refused(job: Job, answers: AnswersByAddress) -> str:
    """Why an answer does not do for one of the contacts; empty if it does for all."""
    for about, text in answers:
        refused = refusal(job, about, text)
        if refused is not None:
            return f"{refused.why} ({refused.fix})"
    return ""


def _asked_how(job: Job, answers: AnswersByAddress, *, told: str) -> str:
    """How it was found; where the answer counts for nothing without, why, unless that is `told`."""
    needed = next(filter(None, (unfounded(job, *each, "") for each in answers)), None)
    if needed is None:
        return _typed(HOW)
    if needed.why != told:
        say(f"  {needed.why}")
    return _typed(HOW_NEEDED)


def _keep(args: argparse.Namespace, answers: AnswersByAddress, how: str) -> Sequence[Finding]:
    """Keep answers as if they had been typed with the command; why they were not, if not."""
    about = BETWEEN_ADDRESSES.join(each for each, _ in answers)
    text = f"{APART} ".join(each for _, each in answers)
    given = {"about": about, "answer": text, "how": how, "batch": None}
    call = argparse.Namespace(**{**vars(args), **given})
    again = opened_for("next", call)
    return () if isinstance(again, int) else take_answers(call, again)


def _offered_or_typed(job: Job, asked: Question, typed: str) -> str:
    """What was typed, or the one offered answer that it begins; yes and no in English."""
    typed = in_english(typed, asked.answers)
    if APART in typed or refusal(job, asked.about, typed) is None:
        return typed
    begun = [each for each in asked.answers if _is_begun(each, typed)]
    return only(begun) or typed


def _is_begun(answer: str, typed: str) -> bool:
    """Whether an answer begins with what was typed; one of several words with whole ones.

    `switch` is a part at a contact, and no short way to type `switched-supply`.
    """
    if not answer.casefold().startswith(typed.casefold()):
        return False
    rest = answer[len(typed) :]
    return "-" not in answer or not rest or rest.startswith("-")


def _typed(prompt: str) -> str:
    """One typed line; nothing at the end of input."""
    try:
        return " ".join(input(prompt).split())
    except EOFError:
        note("")
        return ""
