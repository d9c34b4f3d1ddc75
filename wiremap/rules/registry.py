"""The form of a rule: a small function that carries its own papers.  It yields facts; the engine adds id and weight."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

from wiremap.base import Finding, Place, Severity

if TYPE_CHECKING:
    from wiremap.rules.view import View

FAMILIES = ("map", "metal", "bus", "chain", "wire", "fuse", "joint", "scope")
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")


@dataclass(frozen=True, slots=True)
class Hit:
    """What a rule has found: where, about what, and the facts that fill its sentence.

    `subject` holds addresses, circuit ids or end names, most telling first; an acceptance must name the same ones.
    `fix` and `why`, if given, stand in for the rule's own.
    """

    at: Place | None
    subject: tuple[str, ...]
    facts: Mapping[str, object] = field(default_factory=dict)
    also: tuple[tuple[Place, str], ...] = ()
    fix: str = ""
    why: str = ""


Check = Callable[["View"], Iterator[Hit]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of the book: its sentence, reason, cure and source, and the function that looks for it."""

    id: str
    severity: Severity
    family: str
    what: str  # the sentence of a finding, `{fact}` filled in from the hit
    why: str
    fix: str
    source: str
    acceptable: bool
    check: Check

    def __post_init__(self) -> None:
        if not _SLUG.match(self.id):
            raise ValueError(f"a rule's id is a slug (got {self.id!r})")
        if self.family not in FAMILIES:
            raise ValueError(f"{self.id}: no family {self.family!r}")
        if not (self.what and self.why and self.fix and self.source and self.meaning):
            raise ValueError(
                f"{self.id}: a rule tells what, why, fix and source, and its function has a docstring"
            )

    @property
    def meaning(self) -> str:
        """What the rule looks for, in general words."""
        return " ".join((self.check.__doc__ or "").split())

    def finding(self, hit: Hit) -> Finding:
        """The finding that a hit stands for."""
        return Finding(
            self.id,
            self.severity,
            _filled(self.what, hit.facts),
            hit.subject,
            hit.at,
            hit.why or self.why,
            hit.fix or _filled(self.fix, hit.facts),
            hit.also,
            acceptable=self.acceptable,
        )


def _filled(text: str, facts: Mapping[str, object]) -> str:
    return text.format_map(facts) if "{" in text else text


_RULES: dict[str, Rule] = {}
RULES: Mapping[str, Rule] = MappingProxyType(_RULES)
"""Every rule by its id, once its family has been imported (see `wiremap.rules.load`)."""


def rule(
    id: str,
    severity: Severity,
    *,
    family: str,
    what: str,
    why: str,
    fix: str,
    source: str,
    acceptable: bool = True,
) -> Callable[[Check], Check]:
    """Enter a function into the rule book; its docstring says what it looks for.

    Raises ValueError where an id is used a second time.
    """

    def enter(check: Check) -> Check:
        if id in _RULES:
            raise ValueError(f"two rules are called {id}")
        _RULES[id] = Rule(id, severity, family, what, why, fix, source, acceptable, check)
        return check

    return enter
