"""The rule book and the engine that runs it; every file of `families` holds rules, found by itself.

May import the graph, sizing, evidence and whatever lies below them.  Begin with `registry` (the
form of a rule) and `view` (what a rule may look at); `signals`, `clash`, `pairs`, `segments`,
`guards`, `links` and `sized` answer what several rules ask.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from wiremap.base import Finding, Place
from wiremap.graph import Harness
from wiremap.rules import families
from wiremap.rules.accept import signed
from wiremap.rules.registry import FAMILIES, RULES, Family, Hit, Matter, Rule
from wiremap.rules.unjudged import not_judged
from wiremap.rules.view import View
from wiremap.sizing.unjudged import NotJudged

__all__ = [
    "FAMILIES",
    "RULES",
    "BookJudgement",
    "Family",
    "Hit",
    "Matter",
    "NotJudged",
    "Rule",
    "View",
    "book",
    "held_parts",
    "held_points",
    "judge",
    "load",
    "ordered",
    "run",
]


@cache
def load() -> Mapping[str, Rule]:
    """Import every file of the families and give the rule book by id, in the order of the files."""
    for module in pkgutil.iter_modules(families.__path__):
        importlib.import_module(f"{families.__name__}.{module.name}")
    in_order = sorted(RULES.values(), key=lambda rule: rule.check.__module__)
    return {rule.id: rule for rule in in_order}


def book() -> dict[str, list[Rule]]:
    """The whole rule book by family, each family in the order of its files."""
    rules_of: dict[str, list[Rule]] = {family: [] for family in FAMILIES}
    for rule in load().values():
        rules_of[rule.family].append(rule)
    return rules_of


@dataclass(frozen=True, slots=True)
class BookJudgement:
    """What the book says of a job: its findings with their signatures, and what stays unjudged."""

    findings: tuple[Finding, ...]
    not_judged: tuple[NotJudged, ...]


def judge(harness: Harness) -> BookJudgement:
    """Run the whole book over one job."""
    view = View(harness)
    findings: list[Finding] = []
    for rule in load().values():
        findings += map(rule.finding, rule.check(view))
    return BookJudgement(tuple(ordered(signed(view, findings))), not_judged(view))


def run(harness: Harness) -> tuple[Finding, ...]:
    """The findings of the whole book, in the order they are told."""
    return judge(harness).findings


def held_points(harness: Harness) -> Mapping[str, Finding]:
    """The points that an unsigned stop speaks of, each with the first such finding.

    A circuit stands for all its points, a part for its legs.
    """
    stops: dict[str, Finding] = {}
    for finding in _unsigned(harness):
        for name in finding.subject:
            for address in _points_of(harness, name):
                stops.setdefault(address, finding)
    return stops


def held_parts(harness: Harness) -> frozenset[str]:
    """The job's own parts that an unsigned stop names."""
    named = {name for finding in _unsigned(harness) for name in finding.subject}
    return frozenset(named & harness.job.extras.keys())


@lru_cache(maxsize=1)  # of one job both `held_points` and `held_parts` are asked
def _unsigned(harness: Harness) -> tuple[Finding, ...]:
    """The stops that nobody has signed, in the order they are told."""
    return tuple(finding for finding in run(harness) if finding.holds)


def _points_of(harness: Harness, name: str) -> tuple[str, ...]:
    if name in harness.points:
        return (name,)
    if name in harness.job.extras:
        return harness.job.extras[name].legs
    return tuple(a for c in harness.job.circuits if c.id == name for a in c.join)


def ordered(findings: Iterable[Finding]) -> list[Finding]:
    """Each finding once, in the order of what is at stake.

    First what could not be read, then what holds, then the rest: what can hurt people, what can
    kill a unit or burn, what must be done at the bench, what works badly, what is only to be read.
    """
    return sorted(dict.fromkeys(findings), key=_order)


def _order(finding: Finding) -> tuple[object, ...]:
    rule = load().get(finding.rule)
    return (
        not finding.fault,
        not finding.holds,
        (rule.matter if rule else Matter.UNIT).rank,
        finding.severity.rank,
        finding.place or Place(""),
        finding.rule,
        finding.subject,
        finding.message,
    )


load()  # whoever imports this room has every rule in `RULES`
