"""`wiremap sign --adopt`: signatures that came in a pack count once a person here adopts them."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from typing import Any

from wiremap.base import Finding, fault, plural
from wiremap.cli.common import HOLDS, OK, emit_json, say
from wiremap.cli.next_line import checked_of, tell_next
from wiremap.cli.open_job import read_job
from wiremap.cli.saving import entry_date, save, tell_unread
from wiremap.content.kept import entry_words
from wiremap.content.next_step import after_job
from wiremap.evidence.opened import OpenJob
from wiremap.model import Entry, EntryKind
from wiremap.reports.screen import SHORT, lines_up_to, wrapped
from wiremap.rules.registry import RULES

ADOPT_HELP = "let signatures that came in a pack count here: one at a time, by mark, or all"
ALL = "all"
ADOPT, LEAVE, STOP = "a", "l", "q"
MOST_LEFT = 16  # signatures that are told, the rest counted
KEYS = "a adopt it, l leave it, q stop"


def adopt(args: argparse.Namespace, opened: OpenJob) -> int:
    """Show what came signed; with a name, adopt it one by one, or by its marks."""
    waiting = list(_waiting(opened))
    marks = list(args.adopt)
    wrong = _wrong_call(args, waiting, marks)
    if wrong is not None:
        return tell_unread(args, "sign", [wrong])
    if marks:
        chosen = [entry for entry in waiting if ALL in marks or entry.own_mark in marks]
        wrong_save = _lacks_licence(args, chosen) or save(opened, _adoptions(args, chosen))
    elif args.by.strip() and not args.json:
        wrong_save = _adopt_each(args, opened, waiting)
    else:
        wrong_save = None
    if wrong_save is not None:
        return tell_unread(args, "sign", [wrong_save])
    return _tell(args)


def _waiting(opened: OpenJob) -> Iterator[Entry]:
    for notebook in opened.job.notebooks:
        yield from notebook.waiting


def _wrong_call(
    args: argparse.Namespace, waiting: Sequence[Entry], marks: list[str]
) -> Finding | None:
    if marks and not args.by.strip():
        words = "a signature is adopted with a name under it; nothing was saved"
        return fault("no-name", words, fix="add --by NAME")
    known = {ALL, *(entry.own_mark for entry in waiting)}
    lost = [mark for mark in marks if mark not in known]
    if lost:
        words = f"no signature that came in a pack bears the mark {lost[0]}; nothing was saved"
        return fault("no-such-mark", words, fix="wiremap sign JOB --adopt lists them")
    return None


def _lacks_licence(args: argparse.Namespace, chosen: Sequence[Entry]) -> Finding | None:
    """A fault if one of them may only be stood to by a licensed person, and no licence is told."""
    if args.licensed.strip():
        return None
    for entry in chosen:
        rule = RULES.get(entry.rule)
        if rule is not None and rule.licensed:
            words = f"only a person licensed for this work may adopt {entry.own_mark}"
            fix = "add --licensed with the licence you hold"
            return fault("no-licence", f"{words}; nothing was saved", fix=fix)
    return None


def _adopt_each(
    args: argparse.Namespace, opened: OpenJob, waiting: Sequence[Entry]
) -> Finding | None:
    """Ask for one signature after another; each is on disk before the next is asked."""
    for number, entry in enumerate(waiting, 1):
        say()
        for line in wrapped(f"{number} of {len(waiting)}: {_line(entry)}"):
            say(line)
        if _lacks_licence(args, [entry]) is not None:
            say("  left: only a person licensed for this work may adopt it (--licensed)")
            continue
        say(f"  {KEYS}")
        key = _typed_key()
        if key == STOP:
            break
        wrong = save(opened, _adoptions(args, [entry])) if key == ADOPT else None
        if wrong is not None:
            return wrong
    return None


def _typed_key() -> str:
    """One of the keys; Enter alone asks again."""
    while True:
        try:
            key = input("> ").strip()
        except EOFError:
            return STOP
        if key in (ADOPT, LEAVE, STOP):
            return key
        say(f"  {KEYS}")


def _adoptions(args: argparse.Namespace, entries: Sequence[Entry]) -> list[Entry]:
    return [
        Entry(
            kind=EntryKind.ADOPTED,
            mark=entry.own_mark,
            by=args.by,
            date=entry_date(args),
            licensed=args.licensed.strip(),
        )
        for entry in entries
    ]


def _line(entry: Entry) -> str:
    return f"{entry.own_mark}  {entry_words(entry)}  ({entry.by or 'nobody named'}, {entry.date})"


def _tell(args: argparse.Namespace) -> int:
    """What is still not adopted."""
    opened, findings = read_job(args.file, args.notebook)
    if opened is None:
        return tell_unread(args, "sign", findings)
    left = list(_waiting(opened))
    if args.json:
        emit_json("sign", {"items": [_item(entry) for entry in left], "left": len(left)})
    else:
        most = len(left) if args.full else MOST_LEFT
        for line in lines_up_to([_line(entry) for entry in left], most, each=SHORT):
            say(line)
        say(f"{plural(len(left), 'signature')} from a pack not adopted")
        tell_next(after_job(checked_of(opened)))
    return HOLDS if left else OK


def _item(entry: Entry) -> dict[str, Any]:
    return {"mark": entry.own_mark, "says": entry_words(entry), "by": entry.by, "date": entry.date}
