"""`wiremap explain`: what a rule looks for, why, and how to mend it."""

from __future__ import annotations

import argparse
import difflib
from typing import Any

from wiremap.base import fault
from wiremap.cli.common import OK, UNREAD, emit_json, json_flag, note, say
from wiremap.rules import load
from wiremap.rules.page import as_dict, page, words


def add(subparsers: Any) -> None:
    """Register `explain`."""
    parser = subparsers.add_parser(
        "explain",
        help="explain a rule, or all of them",
        epilog="examples:\n  wiremap explain supply-to-ground\n  wiremap explain --all > RULES.md",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("rule", nargs="?", help="the rule's name as a finding shows it")
    parser.add_argument(
        "--all", action="store_true", help="the whole rule book as a Markdown page, by family"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print one rule or the whole book."""

    rules = load()
    if args.all:
        if args.json:
            emit_json("explain", {"rules": [as_dict(r) for r in rules.values()]})
        else:
            say(page().rstrip())
        return OK
    if args.rule in rules:
        if args.json:
            emit_json("explain", {"rules": [as_dict(rules[args.rule])]})
        else:
            say(words(rules[args.rule]))
        return OK
    return _unknown(args, list(rules))


def _unknown(args: argparse.Namespace, known: list[str]) -> int:

    if args.rule is None:
        message, fix = "name a rule, or ask for --all", "wiremap explain --all"
    else:
        near = difflib.get_close_matches(args.rule, known, n=3, cutoff=0.5)
        message = f"there is no rule `{args.rule}`" + (f"; near: {', '.join(near)}" if near else "")
        fix = "`wiremap explain --all` lists them all"
    if args.json:
        emit_json("explain", {"rules": [], "findings": [fault("call", message, fix=fix).as_dict()]})
    note(f"wiremap explain: {message}\n{fix}")
    return UNREAD
