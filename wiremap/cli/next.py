"""`wiremap next`: the one question that settles the most harm per minute."""

from __future__ import annotations

import argparse
from typing import Any

from wiremap.cli.bench import Bench, day, notebook_options, open_bench, save, shown, tell, unread
from wiremap.cli.common import OK, UNREAD, emit_json, json_flag, note, say

EXAMPLES = """examples:
  wiremap next job.yaml
  wiremap next job.yaml --answer on --how "read on the case" --by RK
  wiremap next old.yaml --all

Answers go to the notebook and count from then on; "don't know" is always allowed and is not asked again.
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
    if args.answer is not None:
        code = _answer(args, bench)
        if code != OK:
            return code
        bench, findings = open_bench(args.file, args.notebook)
        if bench is None:
            return unread(args, "next", findings)
    found = questions(bench.job)
    if args.json:
        plain = [q.as_json() for q in found]
        emit_json(
            "next", shown(bench, {"next": plain[0] if plain else {}, "open": len(plain), "questions": plain if args.all else []})
        )
        return OK
    if not found:
        say("nothing is left to ask")
    for q in found if args.all else found[:1]:
        say(shown(bench, f"{q.text}  [{q.about}]"))
        say(f"  why: {q.why}")
        say(f"  how: {q.how}")
        say(f"  answers: {', '.join(q.answers)}")
    if found and not args.all:
        say(f"{len(found) - 1} more question{'' if len(found) == 2 else 's'} after this one")
        hint = "" if not found[0].writes else f'answer it: wiremap next {args.file} --answer "..." --how "..." --by NAME'
        note(hint or "write it into the file by hand, then ask again")
    return OK


def _answer(args: argparse.Namespace, bench: Bench) -> int:
    from wiremap.model import Entry
    from wiremap.ringout.questions import questions

    found = questions(bench.job)
    about = args.about or (found[0].about if found else "")
    if bench.bare and about and not about.startswith(("end.", "supply.", "surroundings.")):
        about = f"end.{about}"
    if not about:
        note("no question stands; say what the answer speaks of with --about")
        return UNREAD
    if not args.by.strip():
        note("an answer counts with a name under it: add --by NAME")
        return UNREAD
    fault = save(bench, [Entry("answer", by=args.by, date=day(args), how=args.how, about=about, answer=args.answer)])
    if fault is not None:
        tell([fault])
        return UNREAD
    note(shown(bench, f"kept: {about}: {args.answer}"))
    return OK
