"""The rule book: the registry, one module per family, and the engine that runs them and lays signatures beside."""

from __future__ import annotations

import importlib
from collections.abc import Iterable, Mapping

from wiremap.base import Finding
from wiremap.graph import Harness
from wiremap.rules.accept import signed
from wiremap.rules.registry import FAMILIES, RULES, Hit, Rule, rule
from wiremap.rules.view import View

__all__ = ["FAMILIES", "RULES", "Hit", "Rule", "View", "book", "load", "rule", "run"]

MODULES = (
    "map",
    "sources",
    "metal",
    "bus",
    "terminators",
    "sheath",
    "chain",
    "wire",
    "fuse",
    "joint",
    "scope",
)


def load(modules: Iterable[str] = MODULES) -> Mapping[str, Rule]:
    """Import the families and give the rule book by id."""
    for name in modules:
        importlib.import_module(f"wiremap.rules.{name}")
    return RULES


def book() -> dict[str, list[Rule]]:
    """The whole rule book by family, each family in the order of its file."""
    rules = load().values()
    return {family: [r for r in rules if r.family == family] for family in FAMILIES}


def run(harness: Harness) -> tuple[Finding, ...]:
    """Run the whole book over one job: findings in the order of place, signatures beside them."""
    view = View(harness)
    found = [r.finding(hit) for r in load().values() for hit in r.check(view)]
    return tuple(sorted(signed(view, found), key=_order))


def _order(finding: Finding) -> tuple[int, str, int, int, str, tuple[str, ...], str]:
    place = finding.place
    where = (place.path, place.line, place.col) if place else ("", 0, 0)
    return (finding.severity.rank, *where, finding.rule, finding.subject, finding.message)
