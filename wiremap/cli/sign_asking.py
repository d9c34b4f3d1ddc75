"""What `wiremap sign` shows of one thing to sign, and the reason that it is given."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from wiremap.base import Finding, Severity, visible
from wiremap.cli.common import say
from wiremap.content.grouped import Group
from wiremap.content.signing import not_of_all
from wiremap.model import A_REASON, Job, says_what
from wiremap.reports.screen import lines_up_to, whole_or_few, wrapped

MOST_SHOWN = 6  # lines of the sentence that is signed
MOST_LINES = 2  # of each thing that is left
MOST_LEFT = 16  # of which so many are told
NO_REASON = "that is no reason, nothing is signed"
LEAVE, SHOW, STOP = "l", "p", "q"
KEYS = "type the reason; l leave it, p show the places, q stop"


def thing_to_sign(group: Group, lead: str) -> Iterator[str]:
    """One thing to sign: its sentence, why it matters, and all that one reason will cover."""
    yield from wrapped(f"{lead}{group.first.message}")
    if group.first.why:
        yield from wrapped(group.first.why, lead="  why: ")
    count = len(group.findings)
    if count > 1:
        covered = ", ".join((_whom(group.first), *group.others))
        yield from wrapped(covered, lead=f"  one reason signs all {count}: ")


def _whom(finding: Finding) -> str:
    return next(iter(finding.subject), "the first")


def asked_reason(group: Group, job: Job) -> str:
    """What was typed: a reason, or one of the keys; Enter alone asks again."""
    while True:
        try:
            typed = input("> ").strip()
        except EOFError:
            return STOP
        if typed == SHOW:
            for finding in group.findings:
                say(f"  {finding.place}  {_whom(finding)}")
            continue
        refused = "" if typed in (LEAVE, STOP) else _refused(group, job, typed)
        if typed and not refused:
            return typed
        if refused:
            say(f"  {refused}")
        say(f"  {KEYS}")


def _refused(group: Group, job: Job, typed: str) -> str:
    """Why what was typed signs nothing; empty where it does, or nothing was typed."""
    if typed and not says_what(typed):
        return f"{NO_REASON}: `{visible(typed)}`; {A_REASON}"
    return not_of_all(group, job, typed)


def left_to_sign(groups: Sequence[Group], *, full: bool) -> Iterator[str]:
    """What is left to sign, a sentence each; in full with the rule that a batch line names."""
    sentences = [f"{each.severity.value}: {each.first.message}" for each in groups]
    if not full:
        return whole_or_few(sentences, MOST_LEFT, room=MOST_LEFT * MOST_LINES, each=MOST_LINES)
    rules = Counter(each.rule for each in groups)
    names = [batch_name(each, alone=rules[each.rule] == 1) for each in groups]
    named = [f"{said}  [{name}]" for said, name in zip(sentences, names, strict=True)]
    return lines_up_to(named, len(named), each=len(named) + MOST_SHOWN)


def batch_name(group: Group, *, alone: bool) -> str:
    """How a batch line names what it signs: a caution that is `alone` of its rule by that."""
    if alone and group.severity != Severity.STOP:
        return group.rule
    return " ".join((group.rule, *group.first.subject))
