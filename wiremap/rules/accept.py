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

Signatures = dict[tuple[str, frozenset[str]], list[Entry]]  # by rule and subject


def signed(view: View, findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings, each with the signature that names its rule and the very same subject.

    A signature without who, when or why does not count, nor one made for other metal than lies
    there now (`of` is its fingerprint).  What nobody may accept stays as it is and says that
    somebody signed it.
    """
    signatures = _signatures(view)
    waiting = _waiting(view)
    for finding in findings:
        about = (finding.rule, frozenset(finding.subject))
        if about in signatures:
            yield _signed_finding(view, finding, signatures[about][0])
        elif about in waiting and finding.acceptable:
            yield _with_words(finding, _not_adopted(waiting[about]))
        else:
            yield finding


def _signed_finding(view: View, finding: Finding, entry: Entry) -> Finding:
    if not finding.acceptable:
        who = entry.by or "somebody"
        return _with_words(finding, f"{who} signed this, but nobody may accept it")
    why_not = _why_not_counted(view, entry)
    if why_not:
        return _with_words(finding, f"a signature stands beside it, but {why_not}")
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


def _with_words(finding: Finding, words: str) -> Finding:
    return replace(finding, message=f"{finding.message}; {words}")


def _signatures(view: View) -> Signatures:
    """Every signature by what it signs, a good one first, else the earliest."""
    signatures: Signatures = defaultdict(list)
    for entry in view.job.entries:
        if entry.kind == "accept":
            signatures[entry.rule, frozenset(entry.subject)].append(entry)
    for entries in signatures.values():
        entries.sort(key=lambda entry: bool(_why_not_counted(view, entry)))
    return signatures


def _waiting(view: View) -> dict[tuple[str, frozenset[str]], Entry]:
    """Signatures that came in a pack and that nobody here has adopted, by what they sign."""
    waiting: dict[tuple[str, frozenset[str]], Entry] = {}
    for notebook in view.job.notebooks:
        for entry in notebook.waiting:
            if entry.kind == EntryKind.ACCEPT:
                waiting.setdefault((entry.rule, frozenset(entry.subject)), entry)
    return waiting


def _not_adopted(entry: Entry) -> str:
    return (
        f"{entry.by or 'somebody'} signed it in the pack that it came in, which counts once "
        "somebody here adopts it (sign --adopt)"
    )


def _why_not_counted(view: View, entry: Entry) -> str:
    words_of = {
        "who": entry.by,
        "when": entry.date,
        "why": entry.why if says_what(entry.why) else "",
    }
    rule = RULES.get(entry.rule)
    if rule is not None and rule.licensed:
        words_of["which licence"] = entry.licence
    missing = [word for word, text in words_of.items() if not text.strip()]
    if missing:
        return f"it does not say {' and '.join(missing)}"
    if entry.of is not None and entry.of not in _fingerprints(view, entry.subject):
        return "what it speaks of has changed since"
    return ""


def _fingerprints(view: View, subject: Iterable[str]) -> set[str]:
    fingerprints = set()
    for name in subject:
        for address in _points(view, name):
            fingerprints.add(fingerprint(view.net_of(address).points))
    return fingerprints


def _points(view: View, name: str) -> list[str]:
    if name in view.points:
        return [name]
    for circuit in view.job.circuits:
        if circuit.id == name:
            return [address for address in circuit.join if address in view.points]
    return []
