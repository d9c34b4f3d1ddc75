"""What is left to be signed in a job: one group of like findings at a time, and its signatures."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from wiremap.base import Finding
from wiremap.check import Checked
from wiremap.content.grouped import Group, grouped, one_by_one
from wiremap.model import Entry, EntryKind
from wiremap.rules.registry import RULES

SIGN = "sign it with a reason"
MEND = "mend it in the file"


def to_sign(checked: Checked) -> tuple[Group, ...]:
    """Groups of findings that a named person may sign and nobody has, the gravest first.

    Each stop is a group of its own.
    """
    return one_by_one(grouped(finding for finding in checked.findings if may_be_signed(finding)))


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
