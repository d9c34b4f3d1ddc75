"""`wiremap explain`: what a rule looks for, why, and how to mend it."""

from __future__ import annotations

import argparse
import difflib
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

from wiremap.base import Finding, fault
from wiremap.cli.common import OK, UNREAD, emit_json, json_flag, note, say, say_text
from wiremap.cli.next_line import tell_next
from wiremap.content.function_words import by_group, explained, function_words, listed
from wiremap.content.part_words import PART_WORDS, WHERE
from wiremap.entries.forms import FORM, POWER_FORM, SURVEY_FORM
from wiremap.reports.screen import named_up_to, wrapped
from wiremap.rules import load
from wiremap.rules.page import FAMILY_WORDS, book_page, rule_as_dict, rule_text
from wiremap.rules.registry import Rule
from wiremap.trade.functions import FUNCTIONS, normalise

ALIKE = 0.5  # how much of a misspelt name is right
FUNCTION_WORDS, READINGS = "functions", "readings"
MOST_NAMED = 5  # rules of a family
MOST_NEAR = 3  # rules that a misspelt one may be
ALSO: Mapping[str, str] = MappingProxyType(
    {
        FUNCTION_WORDS: "the words for what a contact is for; each by its name too",
        READINGS: "how readings are typed",
        " and ".join(PART_WORDS): "what the part is, how it is added to a job",
    }
)


def add(subparsers: Any) -> None:
    """Register `explain`."""
    parser = subparsers.add_parser(
        "explain",
        help="explain a rule, all of them, or the function words",
        epilog="examples:\n  wiremap explain\n  wiremap explain supply-to-ground\n"
        "  wiremap explain functions\n"
        "  wiremap explain sensor-return\n"
        "  wiremap explain readings\n"
        "  wiremap explain --all > RULES.md",
    )
    parser.add_argument(
        "rule",
        nargs="?",
        metavar="RULE",
        help="a rule as a finding names it, or a function word; or `functions`, or `readings`",
    )
    parser.add_argument(
        "--all",
        action="store_true",
        help="the whole rule book as a Markdown page; of functions, each with its wordings",
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print one rule, the whole book, or what there is to explain."""
    special = {FUNCTION_WORDS: _functions, READINGS: _readings, **dict.fromkeys(PART_WORDS, _part)}
    if args.rule in special:
        return special[args.rule](args)
    rules = load()
    if args.rule is None and not args.all:
        return _overview(args, rules)
    if args.all:
        asked = list(rules.values())
    elif args.rule in rules:
        asked = [rules[args.rule]]
    elif args.rule is not None and normalise(args.rule) is not None:
        return _function(args, normalise(args.rule) or "")
    else:
        return _unknown(args, _no_rule(args.rule, rules))
    if args.json:
        emit_json("explain", {"rules": [rule_as_dict(rule) for rule in asked]})
    elif args.all:
        say_text(book_page())
    else:
        say_text(rule_text(next(iter(asked))))
        if args.rule in FUNCTIONS:  # a word that is both
            say_text(explained(args.rule))
        tell_next("see where it strikes: wiremap check JOB --full")
    return OK


def _overview(args: argparse.Namespace, rules: Mapping[str, Rule]) -> int:
    """What can be explained, briefly: the rules by family, and what else there is."""
    families: dict[str, list[str]] = {}
    for rule in rules.values():
        families.setdefault(rule.family, []).append(rule.id)
    if args.json:
        emit_json("explain", {"families": families, "also": list(ALSO)})
        return OK
    say(f"{len(rules)} rules, each by its name; by what they look at:")
    for family, names in families.items():
        named = named_up_to(names, MOST_NAMED, by="--all")
        for line in wrapped(f"{FAMILY_WORDS[family]}: {named}", lead="  "):
            say(line)
    for name, told in ALSO.items():
        say(f"{name}: {told}")
    tell_next("read one: wiremap explain supply-to-ground; the whole book: wiremap explain --all")
    return OK


def _functions(args: argparse.Namespace) -> int:
    """Print the function words with meaning and examples."""
    if args.json:
        emit_json("explain", {"functions": [word.as_dict() for word in function_words()]})
    elif args.all:
        say_text(listed())
    else:
        for group, slugs in by_group().items():
            for line in wrapped(f"{group}: {', '.join(slugs)}"):
                say(line)
        tell_next("what one means: wiremap explain WORD; each with wordings: add --all")
    return OK


def _function(args: argparse.Namespace, slug: str) -> int:
    """Print one function word."""
    if args.json:
        words = [word.as_dict() for word in function_words() if word.slug == slug]
        emit_json("explain", {"functions": words})
        return OK
    for line in explained(slug).splitlines():
        say(line)
    tell_next("say what a contact is: wiremap next JOB --about END.CAVITY --answer FUNCTION")
    return OK


def _part(args: argparse.Namespace) -> int:
    """Print what a part is and how it is added."""
    told = (*PART_WORDS[args.rule], WHERE)
    if args.json:
        emit_json("explain", {"parts": [{"part": args.rule, "told": list(told)}]})
        return OK
    for paragraph in told:
        for line in wrapped(paragraph):
            say(line)
    tell_next("which rules look at it: wiremap explain")
    return OK


def _readings(args: argparse.Namespace) -> int:
    """Print how readings are typed."""
    forms = (SURVEY_FORM, FORM, POWER_FORM)
    if args.json:
        emit_json("explain", {"readings": list(forms)})
    else:
        say_text("\n\n".join(forms))
    return OK


def _no_rule(name: str, known: Iterable[str]) -> Finding:
    """That no rule of that name is known."""
    message = f"there is no rule `{name}`"
    near = difflib.get_close_matches(name, [*known, *FUNCTIONS], n=MOST_NEAR, cutoff=ALIKE)
    if near:
        message += f"; near: {', '.join(near)}"
    return fault("call", message, fix="`wiremap explain --all` lists them all")


def _unknown(args: argparse.Namespace, finding: Finding) -> int:
    if args.json:
        emit_json("explain", {"rules": [], "findings": [finding.as_dict()]})
    note(f"wiremap explain: {finding.message}")
    note(finding.fix)
    return UNREAD
