"""Signatures in the notebook: who accepted which finding, when and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace

from wiremap.base import Accepted, Finding
from wiremap.graph import fingerprint
from wiremap.model import Entry, EntryKind, says_what
from wiremap.rules.registry import RULES
from wiremap.rules.view import View

Signatures = dict[tuple[str, frozenset[str]], list[Entry]]


def signed(view: View, findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings, each with the signature that names its rule and the very same subject.

    A signature without who, when or why does not count; one whose `of` no longer fits the metal is
    stale.  What nobody may accept stays as it is and says that a signature was laid beside it in
    vain.
    """
    signatures = _signatures(view)
    waiting = _waiting(view)
    for finding in findings:
        about = (finding.rule, frozenset(finding.subject))
        if about in signatures:
            yield _with(view, finding, signatures[about][0])
        elif about in waiting and finding.acceptable:
            yield _adding(finding, _not_adopted(waiting[about]))
        else:
            yield finding


def _with(view: View, finding: Finding, entry: Entry) -> Finding:
    if not finding.acceptable:
        who = entry.by or "somebody"
        return _adding(finding, f"{who} signed this, but nobody may accept it")
    lack = _lack(view, entry)
    if lack:
        return _adding(finding, f"a signature stands beside it, but {lack}")
    return finding.accepted_as(Accepted(_with_licence(view, entry), entry.date, entry.why))


def _with_licence(view: View, entry: Entry) -> str:
    """Who signed; where the work takes a licensed person, with the licence that was claimed."""
    rule = RULES.get(entry.rule)
    claimed = f" (licence claimed: {entry.licence})" if rule is not None and rule.licensed else ""
    return f"{_who(view, entry)}{claimed}"


def _who(view: View, entry: Entry) -> str:
    """Who signed, and who adopted it here if it came in a pack."""
    if not entry.from_pack:
        return entry.by
    for other in view.job.entries:
        if other.kind == EntryKind.ADOPTED and other.mark == entry.own_mark:
            return f"{entry.by}, adopted by {other.by}"
    return entry.by


def _adding(finding: Finding, words: str) -> Finding:
    return replace(finding, message=f"{finding.message}; {words}")


def _signatures(view: View) -> Signatures:
    """Every signature by what it signs, a good one first, else the earliest."""
    found: Signatures = defaultdict(list)
    for entry in view.job.entries:
        if entry.kind == "accept":
            found[entry.rule, frozenset(entry.subject)].append(entry)
    for entries in found.values():
        entries.sort(key=lambda entry: bool(_lack(view, entry)))
    return found


def _waiting(view: View) -> dict[tuple[str, frozenset[str]], Entry]:
    """Signatures that came in a pack and that nobody here has adopted, by what they sign."""
    found: dict[tuple[str, frozenset[str]], Entry] = {}
    for notebook in view.job.notebooks:
        for entry in notebook.waiting:
            if entry.kind == EntryKind.ACCEPT:
                found.setdefault((entry.rule, frozenset(entry.subject)), entry)
    return found


def _not_adopted(entry: Entry) -> str:
    return (
        f"{entry.by or 'somebody'} signed it in the pack that it came in, which counts once "
        "somebody here adopts it (sign --adopt)"
    )


def _lack(view: View, entry: Entry) -> str:
    told = {"who": entry.by, "when": entry.date, "why": entry.why if says_what(entry.why) else ""}
    rule = RULES.get(entry.rule)
    if rule is not None and rule.licensed:
        told["which licence"] = entry.licence
    missing = [word for word, text in told.items() if not text.strip()]
    if missing:
        return f"it does not say {' and '.join(missing)}"
    if entry.of is not None and entry.of not in _prints(view, entry.subject):
        return "what it speaks of has changed since"
    return ""


def _prints(view: View, subject: Iterable[str]) -> set[str]:
    found = set()
    for name in subject:
        for address in _points(view, name):
            found.add(fingerprint(view.net_of(address).points))
    return found


def _points(view: View, name: str) -> list[str]:
    if name in view.points:
        return [name]
    for circuit in view.job.circuits:
        if circuit.id == name:
            return [address for address in circuit.join if address in view.points]
    return []
