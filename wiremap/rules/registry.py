"""The form of a rule: a small function that carries its own papers.

A rule yields facts; the book adds id and weight, so that a rule cannot mislabel itself.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from types import MappingProxyType
from typing import TYPE_CHECKING

from wiremap.base import Finding, Place, Severity
from wiremap.rules.cure import by_hand, on_screen

if TYPE_CHECKING:
    from wiremap.rules.view import View

FAMILIES = (
    "map",
    "metal",
    "bus",
    "chain",
    "wire",
    "fuse",
    "joint",
    "scope",
    "judged",
    "parts",
)
COMMON = "common practice"

Also = tuple[tuple[Place, str], ...]  # further places, each with a word on it
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")


class Matter(StrEnum):
    """What is at stake, the gravest first: findings are told in this order."""

    PEOPLE = "people"  # somebody may be hurt
    UNIT = "unit"  # a unit may die, or something burn
    BENCH = "bench"  # something must be done at the bench
    WORKING = "working"  # it works badly
    HOUSE = "house"  # to be read, nothing more

    @property
    def rank(self) -> int:
        """0 for the gravest."""
        return list(Matter).index(self)


@dataclass(frozen=True, slots=True)
class Hit:
    """What a rule has found: where, about what, and the facts that fill its sentence.

    `subject` holds addresses, circuit ids or end names, most telling first; an acceptance must name
    the same ones.  `fix` and `why`, if given, stand in for the rule's own.
    """

    at: Place | None
    subject: tuple[str, ...]
    facts: Mapping[str, object]
    also: Also = ()
    fix: str = ""
    why: str = ""
    alike: str = ""  # what those have in common whose sentences may stand for one another


Hits = Iterator[Hit]
Check = Callable[["View"], Hits]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule of the book: its sentence, reason, cure and source, and the function behind it.

    Of the cure, `typed` words are told on a screen alone.
    """

    id: str
    severity: Severity
    family: str
    what: str  # the sentence of a finding, `{fact}` filled in from the hit
    why: str
    cure: str
    source: str
    acceptable: bool
    licensed: bool  # a signature counts only if it says which licence the person holds
    matter: Matter
    check: Check

    def __post_init__(self) -> None:
        if not _SLUG.match(self.id):
            raise ValueError(f"a rule's id is a slug (got {self.id!r})")
        if self.family not in FAMILIES:
            raise ValueError(f"{self.id}: no family {self.family!r}")
        if not all((self.what, self.why, self.cure, self.source)):
            raise ValueError(f"{self.id}: a rule tells what, why, fix and source")

    @property
    def fix(self) -> str:
        """The cure as a screen tells it, `{fact}` standing where a hit fills it in."""
        return on_screen(self.cure)

    @property
    def meaning(self) -> str:
        """What the rule looks for, in general words; why it does where docstrings are stripped."""
        return " ".join((self.check.__doc__ or self.why).split())

    def finding(self, hit: Hit) -> Finding:
        """The finding that a hit stands for."""
        cure = hit.fix or _filled(self.cure, {**_addresses(hit.subject), **hit.facts})
        return Finding(
            rule=self.id,
            severity=self.severity,
            message=_filled(self.what, hit.facts),
            subject=hit.subject,
            place=hit.at,
            why=hit.why or self.why,
            fix=on_screen(cure),
            fix_by_hand=by_hand(cure),
            alike=hit.alike,
            also=hit.also,
            acceptable=self.acceptable,
        )


def _addresses(subject: tuple[str, ...]) -> dict[str, str]:
    """The first two of a subject as a command takes them; a second that is none is the first."""
    return dict(zip(("at", "bt"), (*subject, *subject[:1]), strict=False))


def _filled(text: str, facts: Mapping[str, object]) -> str:
    if "{" not in text:
        return text
    return text.format_map(facts)


_RULES: dict[str, Rule] = {}
RULES: Mapping[str, Rule] = MappingProxyType(_RULES)
"""Every rule by its id, once the families have been imported (see `wiremap.rules.load`)."""


def _rule(
    family: str,
    usual: Matter,
    severity: Severity,
    id: str,
    *,
    what: str,
    why: str,
    fix: str,
    source: str = COMMON,
    acceptable: bool = True,
    licensed: bool = False,
    matter: Matter | None = None,
) -> Callable[[Check], Check]:
    """Enter a function into the book; raises ValueError where an id is used a second time."""

    def enter(check: Check) -> Check:
        if id in _RULES:
            raise ValueError(f"two rules are called {id}")
        _RULES[id] = Rule(
            id=id,
            severity=severity,
            family=family,
            what=what,
            why=why,
            cure=fix,
            source=source,
            acceptable=acceptable,
            licensed=licensed,
            matter=matter or usual,
            check=check,
        )
        return check

    return enter


class Family:
    """A family of the book; a function is entered as its stop, caution or note.

    Each takes the rule's id and its papers (`what`, `why`, `fix`, `source`; `acceptable=False` for
    what no signature waives, `licensed=True` for what a licensed person must sign, `matter` where
    it is not what is usually at stake in the family); the function's docstring says what the rule
    looks for.
    """

    def __init__(self, name: str, usual: Matter) -> None:
        self.stop = partial(_rule, name, usual, Severity.STOP)
        self.caution = partial(_rule, name, usual, Severity.CAUTION)
        self.note = partial(_rule, name, usual, Severity.NOTE)
