"""Questions at a terminal: one after another until a person stops, each answer kept at once."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from wiremap.base import Finding
from wiremap.cli.answers import take_answers
from wiremap.cli.common import note, say
from wiremap.cli.open_job import opened_for
from wiremap.evidence import refusal, sure, undecided, unfounded
from wiremap.evidence.answer_figures import unusual
from wiremap.evidence.opened import OpenJob
from wiremap.model import Job
from wiremap.survey.question import DONT_KNOW, Question

KEYS = (
    "type an answer or how it begins; d don't know, l later, ? this list, Enter or q stop and keep"
)
NAME = "your name (what is kept counts with one): "
HOW = "how was it found out? (Enter: not said) "
HOW_NEEDED = "how was it found out? (Enter: leave it for later) "
STOP, LATER, UNKNOWN, HELP = "q", "l", "d", "?"
Found = Callable[[Job], Sequence[Question]]
Tell = Callable[[OpenJob, Question], None]


def is_talk(args: argparse.Namespace) -> bool:
    """Whether a person sits at the terminal who was not asked for one thing alone."""
    return not (args.json or args.full) and a_person_types()


def a_person_types() -> bool:
    """Whether a person sits at a terminal."""
    return sys.stdin is not None and sys.stdin.isatty()


def asked_name() -> str:
    """The name that what is kept shall bear; empty where none is typed."""
    return _typed(NAME)


def talked(args: argparse.Namespace, opened: OpenJob, found: Found, tell: Tell) -> OpenJob | int:
    """Ask what stands until nothing does or the person stops; the job as it then is.

    An exit code if the job cannot be read any more.
    """
    if not args.by.strip():
        args.by = asked_name()
    later: set[str] = set()
    told_keys = False
    while args.by:
        left = [each for each in found(opened.job) if each.about not in later]
        if not left:
            break
        say()
        tell(opened, left[0])
        say(f"  {len(left) - 1} more after this one" if told_keys else f"  {KEYS}")
        told_keys = True
        said = _answer(args, opened, left[0])
        if said == STOP:
            break
        if said == LATER or undecided(said):  # what nobody knows comes back in another sitting
            later.add(left[0].about)
        if said == LATER:
            continue
        again = opened_for("next", args)
        if isinstance(again, int):
            return again
        opened = again
    return opened


def _answer(args: argparse.Namespace, opened: OpenJob, asked: Question) -> str:
    """The answer to one question, kept; or that it is left for later, or that the person stops."""
    doubted = ""
    while True:
        said = _typed("> ")
        if said in ("", STOP):
            return STOP
        if said == LATER:
            return LATER
        if said == HELP:
            say(f"  {KEYS}")
            continue
        text = DONT_KNOW if said == UNKNOWN else _meant(opened.job, asked, said)
        refused = refusal(opened.job, asked.about, text)
        if refused is not None:
            say(f"  {refused[0]} ({refused[1]})")
            continue
        strange = unusual(asked.about, text)
        if strange and text != doubted:
            doubted = text
            say(f"  {strange}; the same once more keeps it")
            continue
        how = "" if undecided(text) else _how(opened.job, asked, text, told=strange)
        how = sure(how) if strange else how
        lacking = unfounded(opened.job, asked.about, text, how)
        if lacking is not None:
            say(f"  {lacking.why}; it is left for later")
            return LATER
        faults = _kept(args, asked, text, how)
        if not faults:
            return text
        for fault in faults:
            say(f"  {fault.message}")


def _how(job: Job, asked: Question, text: str, *, told: str) -> str:
    """How it was found; where the answer counts for nothing without, why, unless that is `told`."""
    needed = unfounded(job, asked.about, text, "")
    if needed is None:
        return _typed(HOW)
    if needed.why != told:
        say(f"  {needed.why}")
    return _typed(HOW_NEEDED)


def _kept(args: argparse.Namespace, asked: Question, text: str, how: str) -> Sequence[Finding]:
    """Keep one answer as if it had been typed with the command; why it was not, if not."""
    given = {"about": asked.about, "answer": text, "how": how, "batch": None}
    call = argparse.Namespace(**{**vars(args), **given})
    again = opened_for("next", call)
    return () if isinstance(again, int) else take_answers(call, again)


def _meant(job: Job, asked: Question, said: str) -> str:
    """What was typed, or the one offered answer that it begins."""
    if refusal(job, asked.about, said) is None:
        return said
    begun = [each for each in asked.answers if each.casefold().startswith(said.casefold())]
    return begun[0] if len(begun) == 1 else said


def _typed(prompt: str) -> str:
    """One typed line; nothing at the end of input."""
    try:
        return " ".join(input(prompt).split())
    except EOFError:
        note("")
        return ""
