"""What is left to be signed in a job: one group of like findings at a time, and its signatures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from wiremap.base import Finding, Severity
from wiremap.check import Checked
from wiremap.content.grouped import Group, grouped, one_by_one
from wiremap.evidence.confirmed import BETWEEN_POINTS
from wiremap.evidence.one_reason import tells_of_one
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind, Job
from wiremap.rules.registry import RULES, Matter

SIGN = "sign it with a reason"
BENCH = frozenset({Matter.BENCH, Matter.HOUSE})  # wires, joints, colours: not what they carry
MEND = "mend it in the file"


def to_sign(checked: Checked) -> tuple[Group, ...]:
    """Groups of findings that a named person may sign and nobody has, the gravest first."""
    open_yet = (finding for finding in checked.findings if may_be_signed(finding))
    return signed_apart(grouped(open_yet), checked.harness)


def signed_apart(groups: Iterable[Group], harness: Harness | None) -> tuple[Group, ...]:
    """What takes a reason of its own: each stop, and cautions of one rule by the kind of contact.

    One reason stands for many like cautions; a shield is not like a sensor's return, and what
    holds is another circuit each time.
    """
    found: list[Group] = []
    for group in groups:
        if group.severity is Severity.STOP:
            found += one_by_one(group)
        else:
            found += _by_kind(group, harness)
    return tuple(found)


def _by_kind(group: Group, harness: Harness | None) -> Iterator[Group]:
    """A group of cautions by what the contacts are; whole where it is about the bench alone."""
    rule = RULES.get(group.rule)
    if harness is None or rule is None or rule.matter in BENCH:
        yield group
        return
    kinds: dict[tuple[str, ...], list[Finding]] = {}
    for finding in group.findings:
        kinds.setdefault(_kind(finding, harness), []).append(finding)
    for each in kinds.values():
        yield replace(group, findings=tuple(each))


def _kind(finding: Finding, harness: Harness) -> tuple[str, ...]:
    """What the contacts are for that a finding speaks of."""
    points = _points(finding, harness.job)
    functions = {harness.points[point].function for point in points if point in harness.points}
    return tuple(sorted(functions))


def _points(finding: Finding, job: Job) -> list[str]:
    """The contacts that a finding speaks of, those of a circuit among them."""
    circuits = {circuit.id: circuit.join for circuit in job.circuits}
    return [point for name in finding.subject for point in circuits.get(name, (name,))]


def not_of_all(group: Group, job: Job, why: str) -> str:
    """Why a reason does not serve all that it would sign; empty where it does."""
    things = [BETWEEN_POINTS.join(_points(finding, job)) for finding in group.findings]
    told = tells_of_one(job, things, why)
    return f"{told}, which it would sign too: write what holds for all" if told else ""


def may_be_signed(finding: Finding) -> bool:
    """Whether a signature under a finding would count, and is missing."""
    if finding.fault or not finding.acceptable or finding.accepted is not None:
        return False
    return finding.holds or finding.severity == "caution"


def needs_licence(group: Group) -> bool:
    """Whether only a person licensed for this work may sign."""
    rule = RULES.get(group.rule)
    return rule is not None and rule.licensed


def signatures(
    group: Group, *, why: str, by: str, date: str, licensed: str = ""
) -> tuple[Entry, ...]:
    """The entries that sign a group: one for each finding, all with the same reason."""
    return tuple(
        Entry(
            kind=EntryKind.ACCEPT,
            rule=group.rule,
            subject=finding.subject,
            by=by,
            date=date,
            why=why,
            licensed=licensed if needs_licence(group) else "",
        )
        for finding in group.findings
    )


def item(group: Group) -> dict[str, Any]:
    """A group as plain data: what it is about, the question, the answers, why, where."""
    first = group.first
    return {
        "about": group.rule,
        "question": first.message,
        "answers": [SIGN, MEND],
        "why": first.why,
        "place": str(first.place) if first.place else None,
        "licensed": needs_licence(group),
        "findings": [finding.as_dict() for finding in group.findings],
    }


def items(groups: Iterable[Group]) -> dict[str, Any]:
    """What is left to sign as plain data, in the documented shape."""
    every = [item(group) for group in groups]
    return {"items": every, "left": len(every)}
