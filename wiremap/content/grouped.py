"""Findings grouped for a person: like things are one, what was signed and what is only read
apart.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from wiremap.base import Finding, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Findings of one rule, of one weight, in the order in which they are told; never empty."""

    rule: str
    severity: Severity
    findings: tuple[Finding, ...]

    @property
    def first(self) -> Finding:
        """The finding whose words stand for all."""
        first, *_ = self.findings
        return first

    @property
    def others(self) -> tuple[str, ...]:
        """What the findings behind the first speak of, each named once, by its most telling
        subject.
        """
        _, *others = self.findings
        named = [next(iter(finding.subject)) for finding in others if finding.subject]
        known = set(self.first.subject)
        return tuple(dict.fromkeys(name for name in named if name not in known))


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """The findings of a check as a person takes them in, the gravest first."""

    stops: tuple[Group, ...]
    cautions: tuple[Group, ...]  # not yet signed
    signed: tuple[Group, ...]  # stops and cautions alike
    notes: int


def told(findings: Iterable[Finding]) -> Told:
    """Findings parted into what holds, what is to be signed, what is signed, what is only read."""
    stops: list[Finding] = []
    cautions: list[Finding] = []
    signed: list[Finding] = []
    notes = []
    for finding in findings:
        if finding.holds:
            stops.append(finding)
        elif finding.severity is Severity.NOTE:
            notes.append(finding)
        elif finding.accepted is not None:
            signed.append(finding)
        else:
            cautions.append(finding)
    return Told(
        stops=grouped(stops), cautions=grouped(cautions), signed=grouped(signed), notes=len(notes)
    )


def one_by_one(group: Group) -> tuple[Group, ...]:
    """Each finding of a group as one of its own."""
    return tuple(replace(group, findings=(finding,)) for finding in group.findings)


def grouped(findings: Iterable[Finding]) -> tuple[Group, ...]:
    """Findings of one rule and one fault together, in the order of the first of each.

    Apart stay those of which a rule says that they are not alike.
    """
    found: dict[tuple[str, bool, str], list[Finding]] = {}
    for finding in findings:
        found.setdefault((finding.rule, finding.fault, finding.alike), []).append(finding)
    return tuple(
        Group(rule=rule, severity=each[0].severity, findings=tuple(each))
        for (rule, _, _), each in found.items()
    )
