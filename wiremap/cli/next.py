"""`wiremap next`: the one question that settles the most harm per minute."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.cli.bench import (
    Bench,
    day,
    full_address,
    not_counted,
    notebook_options,
    notebook_plain,
    open_bench,
    save,
    shown,
    tell_not_counted,
    unread,
)
from wiremap.cli.common import OK, emit_json, json_flag, note, say
from wiremap.evidence import refusal
from wiremap.model import Entry

EXAMPLES = """examples:
  wiremap next job.yaml
  wiremap next job.yaml --answer on --how "read on the case" --by RK
  wiremap next job.yaml --batch answers.txt --by RK
  wiremap next job.yaml --notebook bench.yaml
  wiremap next old.yaml --all

Answers go to the notebook (the job's own, --notebook, or FILE-notebook.yaml beside the file) and count from then on;
"don't know" is always allowed and is not asked again. An answer that the question does not allow is not kept.
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
    parser.add_argument("--batch", metavar="FILE", help="answers as lines `ADDRESS: answer` (- for standard input); all or none are kept")
    parser.add_argument("--about", metavar="ADDRESS", help="what the answer speaks of (default: the question that stands)")
    parser.add_argument("--how", default="", metavar="TEXT", help="how it was found out")
    parser.add_argument("--all", action="store_true", help="list every open question")
    notebook_options(parser)
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Ask; or take an answer and ask the next."""
    from wiremap.ringout.questions import questions

    bench, findings = open_bench(args.file, args.notebook)
    if bench is None or any(f.fault for f in findings):
        return unread(args, "next", findings)
    if args.batch is not None and args.answer is not None:
        return unread(args, "next", [fault("usage", "--answer and --batch exclude one another", fix="give one of them")])
    if args.answer is not None or args.batch is not None:
        kept, faults = _answers(args, bench)
        refused = faults or _save(args, bench, kept)
        if refused:
            return unread(args, "next", refused)
        bench, findings = open_bench(args.file, args.notebook)
        if bench is None:
            return unread(args, "next", findings)
    found = questions(bench.job)
    bad = not_counted(bench)
    if args.json:
        plain = [q.as_json() for q in found]
        body = {"next": plain[0] if plain else {}, "open": len(plain), "questions": plain if args.all else []}
        emit_json("next", shown(bench, body) | {"findings": [f.as_dict() for f in bad], "notebook": notebook_plain(bench)})
        return OK
    tell_not_counted(bench, bad)
    if not found:
        say("nothing is left to ask")
    for q in found if args.all else found[:1]:
        say(shown(bench, f"{q.text}  [{q.about}]"))
        say(f"  why: {q.why}")
        say(f"  how: {q.how}")
        say(f"  answers: {', '.join(q.answers)}")
    if found and not args.all:
        say(f"{len(found) - 1} more question{'' if len(found) == 2 else 's'} after this one")
        book = f" --notebook {args.notebook}" if args.notebook else ""
        hint = "" if not found[0].writes else f'answer it: wiremap next {args.file}{book} --answer "..." --how "..." --by NAME'
        note(hint or "write it into the file by hand, then ask again")
    return OK


def _answers(args: argparse.Namespace, bench: Bench) -> tuple[list[Entry], list[Finding]]:
    """The entries that were typed or stand in a batch, and every reason why one of them cannot be kept."""
    from wiremap.ringout.questions import questions

    if args.answer is not None:
        found = questions(bench.job)
        about = args.about or (found[0].about if found else "")
        if not about:
            return [], [fault("no-question", "no question stands", fix="say what the answer speaks of with --about ADDRESS")]
        lines: list[tuple[Place | None, str, str]] = [(None, about, args.answer)]
    else:
        read = _lines(args.batch)
        if isinstance(read, Finding):
            return [], [read]
        lines = read
    kept, faults = [], []
    for place, about, text in lines:
        whole = full_address(bench, about)
        refused = refusal(bench.job, whole, text)
        if refused is not None:
            why, example = refused
            faults.append(fault("answer-refused", shown(bench, f"{why}; nothing was saved"), place, fix=shown(bench, example)))
        else:
            kept.append(Entry("answer", by=args.by, date=day(args), how=args.how, about=whole, answer=text))
    if not faults and not args.by.strip():
        faults.append(fault("no-name", "an answer counts with a name under it; nothing was saved", fix="add --by NAME"))
    return kept, faults


def _lines(path: str) -> list[tuple[Place | None, str, str]] | Finding:
    """The lines `ADDRESS: answer` of a batch file or of standard input (`-`); `#` begins a remark."""
    name = "standard input" if path == "-" else path
    try:
        text = sys.stdin.read() if path == "-" else Path(path).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        return fault("no-such-file", f"could not be read: {why}", Place(name))
    found: list[tuple[Place | None, str, str]] = []
    for n, line in enumerate(text.splitlines(), 1):
        about, colon, said = line.partition(" #")[0].partition(":")
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if not colon or not about.strip():
            return fault("answer-unread", f"this is no answer: {line.strip()!r}; nothing was saved", Place(name, n),
                         fix="write it as: supply.volts: 24")
        found.append((Place(name, n), about.strip(), said.strip()))
    return found or fault("answer-unread", "there is no answer in it", Place(name), fix="write lines such as: supply.volts: 24")


def _save(args: argparse.Namespace, bench: Bench, kept: list[Entry]) -> list[Finding]:
    refused = save(bench, kept)
    if refused is not None:
        return [refused]
    for entry in kept:
        note(shown(bench, f"kept in {bench.notebook.as_posix()}: {entry.about}: {entry.answer}"))
    return []
