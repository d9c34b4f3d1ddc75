"""`wiremap next`: the one question that settles the most harm per minute."""

from __future__ import annotations

import argparse
from typing import Any

from wiremap.base import Finding, Place, Severity, fault
from wiremap.cli.common import OK, emit_json, json_flag, note, say
from wiremap.cli.open_job import (
    OpenJob,
    day,
    full_address,
    not_counted,
    not_yet,
    notebook_options,
    notebook_plain,
    open_job,
    save,
    shown,
    tell_not_counted,
    typed,
    unread,
)
from wiremap.evidence import answers, refusal, stale
from wiremap.evidence.allowed import allowed
from wiremap.model import Entry, EntryKind, Job
from wiremap.survey.questions import about as questions_about
from wiremap.survey.questions import questions

EXAMPLES = """examples:
  wiremap next job.yaml
  wiremap next job.yaml --answer on --how "read on the case" --by RK
  wiremap next job.yaml --about loom.13
  wiremap next job.yaml --about loom.13 --answer pulse-input --by RK
  wiremap next job.yaml --batch answers.txt --by RK
  wiremap next job.yaml --notebook bench.yaml
  wiremap next old.yaml --all

Answers go to the notebook (the job's own, --notebook, or FILE-notebook.yaml beside the file) and count from then on;
"don't know" is always allowed and is not asked again. An answer that the question does not allow is not kept. A wrong answer
is taken back by answering again with --about: the last answer that says something counts.
exit codes: 0 asked or kept, 2 unread or refused
"""


def add(commands: Any) -> None:
    """Register the command."""
    parser = commands.add_parser(
        "next",
        help="ask the one question that settles the most harm",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="JOB|PINOUT")
    parser.add_argument("--answer", metavar="TEXT", help="answer the question and ask the next one")
    parser.add_argument(
        "--batch",
        metavar="FILE",
        help="answers as lines `ADDRESS: answer`, one for each address (- for standard "
        "input); all or none are kept",
    )
    parser.add_argument(
        "--about",
        metavar="ADDRESS",
        help="what the answer speaks of (default: the question that stands); without "
        "--answer show what is asked about it",
    )
    parser.add_argument("--how", default="", metavar="TEXT", help="how it was found out")
    parser.add_argument("--all", action="store_true", help="list every open question")
    notebook_options(parser)
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Ask; or take an answer and ask the next."""

    opened, findings = open_job(args.file, args.notebook)
    if opened is None or any(f.fault for f in findings):
        return unread(args, "next", findings)
    clash = _clash(args)
    if clash is not None:
        return unread(args, "next", [clash])
    asked = ""
    if args.answer is not None or args.batch is not None:
        kept, faults = _answers(args, opened)
        refused = faults or _save(args, opened, kept)
        if refused:
            return unread(args, "next", refused)
        opened, findings = open_job(args.file, args.notebook)
        if opened is None:
            return unread(args, "next", findings)
    elif args.about is not None:
        asked = full_address(opened, args.about)
    found = questions(opened.job)
    if asked:
        found = questions_about(found, asked)
        if not found and not _known(opened.job, asked):
            return unread(
                args,
                "next",
                [
                    fault(
                        "no-question",
                        shown(opened, f"nothing is asked about {asked!r}"),
                        fix=f"see `wiremap next {args.file} --all` for what can be answered",
                    )
                ],
            )
    bad = (*not_counted(opened), *_outdated(opened))
    if args.json:
        plain = [q.as_dict() for q in found]
        body = {
            "next": plain[0] if plain else {},
            "open": len(plain),
            "questions": plain if args.all else [],
        }
        emit_json(
            "next",
            shown(opened, body)
            | {"findings": [f.as_dict() for f in bad], "notebook": notebook_plain(opened)},
        )
        return OK
    tell_not_counted(opened, bad)
    if not found:
        say(shown(opened, _none_stands(opened.job, asked)) if asked else "nothing is left to ask")
    for q in found if args.all else found[:1]:
        say(shown(opened, f"{q.text}  [{q.about}]"))
        say(f"  why: {q.why}")
        say(f"  how: {q.how}")
        say(f"  answers: {', '.join(q.answers)}")
    if found and not args.all:
        say(
            f"{len(found) - 1} more question{'' if len(found) == 2 else 's'} {f'about {args.about}' if asked else 'after this one'}"
        )
        book = f" --notebook {args.notebook}" if args.notebook else ""
        which = f" --about {shown(opened, found[0].about)}" if asked else ""
        hint = (
            ""
            if not found[0].writes
            else f'answer it: wiremap next {args.file}{book}{which} --answer "..." --how "..." --by NAME'
        )
        note(hint or "write it into the file by hand, then ask again")
    return OK


def _clash(args: argparse.Namespace) -> Finding | None:
    """Options that say nothing together, or a day that is still to come."""
    if args.batch is not None and args.answer is not None:
        return fault("usage", "--answer and --batch exclude one another", fix="give one of them")
    if args.batch is not None and args.about is not None:
        return fault(
            "usage",
            "each line of --batch names its own address, so --about says nothing",
            fix="leave --about out",
        )
    return not_yet(args)


def _known(job: Job, address: str) -> bool:
    return (
        allowed(job, address) is not None
        or address in job.ends
        or address in ("supply", "surroundings")
    )


def _none_stands(job: Job, address: str) -> str:
    """That nothing is asked about an address, what holds there, and that it can be answered all the same."""
    holds = [
        f"; {e.about} was answered {e.answer} by {e.by or 'nobody named'}, {e.date or 'no date'}"
        for a, e in answers(job).items()
        if a == address or a.startswith(f"{address}.")
    ]
    can = allowed(job, address)
    return f"no question about {address} stands{''.join(holds)}" + (
        f"; --answer takes {can.words}" if can else ""
    )


def _outdated(opened: OpenJob) -> tuple[Finding, ...]:
    """A caution for every answer whose cavity has changed since, and that nobody has given again."""
    known = answers(opened.job)
    return tuple(
        Finding(
            "answer-not-counted",
            Severity.CAUTION,
            shown(opened, f"`{s.entry.answer}` does not count for {s.entry.about}: {s.why}"),
            (shown(opened, s.entry.about),),
            s.entry.place,
            fix="look again and answer it again; the last answer counts",
        )
        for s in stale(opened.job)
        if s.entry.kind == "answer" and s.entry.about not in known
    )


def _answers(args: argparse.Namespace, opened: OpenJob) -> tuple[list[Entry], list[Finding]]:
    """The entries that were typed or stand in a batch, and every reason why one of them cannot be kept."""

    if args.answer is not None:
        found = questions(opened.job)
        about = args.about or (found[0].about if found else "")
        if not about:
            return [], [
                fault(
                    "no-question",
                    "no question stands",
                    fix="say what the answer speaks of with --about ADDRESS",
                )
            ]
        lines: list[tuple[Place | None, str, str]] = [(None, about, args.answer)]
    else:
        read = _lines(args.batch)
        if isinstance(read, Finding):
            return [], [read]
        lines = read
    kept: list[Entry] = []
    faults = _twice(opened, lines)
    for place, about, text in lines:
        whole = full_address(opened, about)
        refused = refusal(opened.job, whole, text)
        if refused is not None:
            why, example = refused
            faults.append(
                fault(
                    "answer-refused",
                    shown(opened, f"{why}; nothing was saved"),
                    place,
                    fix=shown(opened, example),
                )
            )
        else:
            kept.append(
                Entry(
                    kind=EntryKind.ANSWER,
                    by=args.by,
                    date=day(args),
                    how=args.how,
                    about=whole,
                    answer=text,
                )
            )
    if not faults and not args.by.strip():
        faults.append(
            fault(
                "no-name",
                "an answer counts with a name under it; nothing was saved",
                fix="add --by NAME",
            )
        )
    return kept, faults


def _twice(opened: OpenJob, lines: list[tuple[Place | None, str, str]]) -> list[Finding]:
    """A fault for every address that two lines of a batch answer: nobody can say which of them was meant."""
    first: dict[str, tuple[int, str]] = {}
    faults = []
    for place, address, text in lines:
        whole, line = full_address(opened, address), place.line if place else 0
        if whole in first:
            before, said = first[whole]
            faults.append(
                fault(
                    "answered-twice",
                    f"line {before} (`{said}`) and line {line} (`{text}`) both answer {address}; "
                    "nothing was saved",
                    place,
                    fix="keep one line for each address",
                )
            )
        else:
            first[whole] = (line, text)
    return faults


def _lines(path: str) -> list[tuple[Place | None, str, str]] | Finding:
    """The lines `ADDRESS: answer` of a batch file or of standard input (`-`); `#` begins a remark."""
    read = typed(path)
    if isinstance(read, Finding):
        return read
    name, text = read
    found: list[tuple[Place | None, str, str]] = []
    for n, line in enumerate(text.splitlines(), 1):
        about, colon, said = line.partition(" #")[0].partition(":")
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if not colon or not about.strip():
            return fault(
                "answer-unread",
                f"this is no answer: {line.strip()!r}; nothing was saved",
                Place(name, n),
                fix="write it as: supply.volts: 24",
            )
        found.append((Place(name, n), about.strip(), said.strip()))
    return found or fault(
        "answer-unread",
        "there is no answer in it",
        Place(name),
        fix="write lines such as: supply.volts: 24",
    )


def _save(args: argparse.Namespace, opened: OpenJob, kept: list[Entry]) -> list[Finding]:
    before = answers(opened.job)
    refused = save(opened, kept)
    if refused is not None:
        return [refused]
    for entry in kept:
        old = before.get(entry.about)
        instead = (
            f" (instead of {old.answer}, {old.by or 'nobody named'})"
            if old and old.answer != entry.answer
            else ""
        )
        note(
            shown(
                opened,
                f"kept in {opened.notebook.as_posix()}: {entry.about}: {entry.answer}{instead}",
            )
        )
    return []
