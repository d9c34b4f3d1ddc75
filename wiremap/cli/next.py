"""`wiremap next`: what is open, one question at a time, in the order of the work."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import Any

from wiremap.base import Finding, Severity, fault
from wiremap.cli.answers import several, take_answers
from wiremap.cli.common import OK, emit_json, json_flag, note, say, say_lines
from wiremap.cli.deeds import add_deeds, asks_for_a_deed, keep_deed
from wiremap.cli.next_line import checked_of, tell_next
from wiremap.cli.next_talk import is_talk, talked
from wiremap.cli.next_words import nothing_asked, tell_all, tell_one, tell_rest
from wiremap.cli.open_job import (
    bare_names,
    not_counted,
    notebook_plain,
    opened_for,
    tell_not_counted,
)
from wiremap.cli.saving import future_date, notebook_options, tell_unread
from wiremap.content.lifting import what_lifts
from wiremap.content.next_papers import after_paper, anew, shown_path
from wiremap.content.next_step import after_job
from wiremap.evidence import answers, stale
from wiremap.evidence.allowed import allowed
from wiremap.evidence.opened import OpenJob, full_address
from wiremap.evidence.partners import not_yet_joined
from wiremap.model import WHICH_LICENCE, EntryKind, Job
from wiremap.reports.screen import named_up_to
from wiremap.ringout.bench import open_questions
from wiremap.survey.question import Question
from wiremap.survey.questions import questions_about
from wiremap.survey.together import together

MOST_NAMED = 6
EXAMPLES = """examples:
  wiremap next job.yaml
  wiremap next job.yaml --answer on --how "read on the case" --by RK
  wiremap next job.yaml --about loom.13 --answer pulse-input --by RK
  wiremap next job.yaml --batch answers.txt --by RK
  wiremap next job.yaml --mended loom.3 --how "crimped anew" --by RK
  wiremap next job.yaml --kept

At a terminal it goes on from question to question until Enter or q. "don't know" is always
an answer, and comes back at the end. The last answer counts.
exit codes: 0 asked or kept, 2 unread or refused
"""


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "next",
        help="ask what is open, one question at a time",
        epilog=EXAMPLES,
    )
    parser.add_argument("file", metavar="JOB|PINOUT")
    parser.add_argument("--answer", metavar="TEXT", help="answer the question and ask the next one")
    parser.add_argument(
        "--batch",
        metavar="FILE",
        help="lines `ADDRESS: answer; how: words` (-: standard input), all or none",
    )
    parser.add_argument(
        "--about",
        metavar="ADDRESS",
        help="what is asked or answered about it",
    )
    parser.add_argument("--how", default="", metavar="TEXT", help="how it was found out")
    parser.add_argument("--licensed", default="", metavar="WHICH", help=WHICH_LICENCE)
    parser.add_argument("--full", "--all", action="store_true", help="every open question")
    add_deeds(parser)
    notebook_options(parser)
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Ask; or take an answer and ask the next."""
    opened = opened_for("next", args)
    if isinstance(opened, int):
        return opened
    clash = _wrong_options(args)
    if clash is not None:
        return tell_unread(args, "next", [clash])
    if asks_for_a_deed(args):
        return keep_deed(args, opened)
    if args.answer is None and args.batch is None:
        asked = [full_address(opened, each) for each in several(args.about or "")]
        return _ask(args, opened, asked)
    refused = take_answers(args, opened)
    if refused:
        return tell_unread(args, "next", refused)
    opened = opened_for("next", args)
    if isinstance(opened, int):
        return opened
    if not args.json and any(not_yet_joined(opened.job)):
        note(anew(args.file))
    return _ask(args, opened, ())


def _wrong_options(args: argparse.Namespace) -> Finding | None:
    """Options that say nothing together, or a day that is still to come."""
    if asks_for_a_deed(args) and (args.batch is not None or args.answer is not None):
        words = "an answer, and what was done or struck out, are kept one at a time"
        return fault("usage", words, fix="give one of them")
    if args.batch is not None and args.answer is not None:
        return fault("usage", "--answer and --batch exclude one another", fix="give one of them")
    if args.batch is not None and args.about is not None:
        words = "each line of --batch names its own address, so --about says nothing"
        return fault("usage", words, fix="leave --about out")
    return future_date(args)


def _ask(args: argparse.Namespace, opened: OpenJob, asked: Sequence[str]) -> int:
    """Show the questions that stand, or those about some addresses."""
    open_yet = _about_these(open_questions(opened.job), asked)
    for address in asked:
        if not open_yet and not _known(opened.job, address):
            return tell_unread(args, "next", [nothing_asked(args, opened, address)])
    outdated = _outdated(opened)
    if args.json:
        _emit(args, opened, open_yet, (*not_counted(opened), *outdated))
        return OK
    tell_not_counted(opened, not_counted(opened))
    if outdated:
        note(_changed_since(args, outdated))
    if open_yet and is_talk(args):
        return _talk(args, opened, asked)
    if not open_yet:
        none = [bare_names(opened, _none_stands(opened.job, address)) for address in asked]
        say_lines(none or _none_left(opened))
    return _tell(args, opened, open_yet, asked)


def _about_these(open_yet: Sequence[Question], asked: Sequence[str]) -> Sequence[Question]:
    """The questions about some addresses, or all where none is named."""
    if not asked:
        return open_yet
    speaking = {each.about for address in asked for each in questions_about(open_yet, address)}
    return [question for question in open_yet if question.about in speaking]


def _tell(
    args: argparse.Namespace, opened: OpenJob, open_yet: Sequence[Question], asked: Sequence[str]
) -> int:
    """The first question, or all of them, and what comes next; where all of them were asked before
    and nobody knew, what lifts the hold.
    """
    if open_yet and not asked and open_yet[0].not_known and not opened.bare:
        say_lines(what_lifts(checked_of(opened)))
    if open_yet and not args.full:
        first, *_ = as_one = together(open_yet)
        tell_one(opened, first)
        tell_rest(args, opened, as_one, about=args.about if asked else None)
        return OK
    tell_all(opened, open_yet)
    tell_next(after_paper(args.file, opened.job) if opened.bare else after_job(checked_of(opened)))
    return OK


def _talk(args: argparse.Namespace, opened: OpenJob, asked: Sequence[str]) -> int:
    """Ask on until nothing stands, or the person stops; then what comes next."""

    def found(job: Job) -> Sequence[Question]:
        return _about_these(open_questions(job), asked)

    now = talked(args, opened, found, tell_one)
    if isinstance(now, int):
        return now
    say()
    if all(question.not_known for question in found(now.job)):
        say_lines(_none_left(now))
    tell_next(after_paper(args.file, now.job) if now.bare else after_job(checked_of(now)))
    return OK


def _none_left(opened: OpenJob) -> Sequence[str]:
    """That no question stands; on hold, what may lift it."""
    held = () if opened.bare else tuple(what_lifts(checked_of(opened)))
    return held or ("nothing is left to ask",)


def _emit(
    args: argparse.Namespace,
    opened: OpenJob,
    open_yet: Sequence[Question],
    cautions: Sequence[Finding],
) -> None:
    plain = [question.as_dict() for question in open_yet]
    body = {
        "next": next(iter(plain), {}),
        "open": len(plain),
        "questions": plain if args.full else [],
    }
    state = {"findings": [each.as_dict() for each in cautions], "notebook": notebook_plain(opened)}
    emit_json("next", bare_names(opened, body) | state)


def _known(job: Job, address: str) -> bool:
    """Whether something can be said of an address."""
    if address in job.ends or address in ("supply", "surroundings"):
        return True
    return allowed(job, address) is not None


def _none_stands(job: Job, address: str) -> str:
    """That nothing is asked about an address, what holds there, and what can be answered."""
    words = f"no question about {address} stands"
    for known, entry in answers(job).items():
        if known == address or known.startswith(f"{address}."):
            by, date = entry.by or "nobody named", entry.date or "no date"
            words += f"; {entry.about} was answered {entry.answer} by {by}, {date}"
    can = allowed(job, address)
    if can:
        words += f"; --answer takes {can.words}"
    return words


def _changed_since(args: argparse.Namespace, outdated: Sequence[Finding]) -> str:
    """Which answers were given before their contact was changed, and what to do, in one line."""
    contacts = list(dict.fromkeys(found.subject[0] for found in outdated))
    named = named_up_to(contacts, MOST_NAMED, by="--json")
    say_again = f"wiremap next {shown_path(args.file)} --about {contacts[0]}"
    return f"changed since it was answered: {named}; answer anew: {say_again}"


def _outdated(opened: OpenJob) -> tuple[Finding, ...]:
    """A caution for every answer whose cavity has changed since, and that nobody gave again."""
    known = answers(opened.job)
    cautions = []
    for old in stale(opened.job):
        entry = old.entry
        if entry.kind != EntryKind.ANSWER or entry.about in known:
            continue
        words = bare_names(opened, f"`{entry.answer}` does not count for {entry.about}: {old.why}")
        subject = (bare_names(opened, entry.about),)
        fix = "look again and answer it again; the last answer counts"
        cautions.append(
            Finding("answer-not-counted", Severity.CAUTION, words, subject, entry.place, fix=fix)
        )
    return tuple(cautions)
