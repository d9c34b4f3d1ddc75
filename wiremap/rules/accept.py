"""Signatures in the notebook: who accepted which finding, when and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace

from wiremap.base import Accepted, Finding
from wiremap.graph import fingerprint
from wiremap.model import Entry
from wiremap.rules.view import View


def signed(view: View, findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings, each with the signature that names its rule and the very same subject, if there is a good one.

    A signature without who, when or why does not count; one whose `of` no longer fits the metal is stale.  What nobody
    may accept stays as it is and says that a signature was laid beside it in vain.
    """
    entries = _by_key(view)
    for finding in findings:
        entry = next((e for e in entries.get((finding.rule, frozenset(finding.subject)), ())), None)
        if entry is None:
            yield finding
        elif not finding.acceptable:
            vain = f"{entry.by or 'somebody'} signed this, but nobody may accept it"
            yield replace(finding, message=f"{finding.message}; {vain}")
        elif lack := _lack(view, entry):
            yield replace(
                finding, message=f"{finding.message}; a signature stands beside it, but {lack}"
            )
        else:
            yield finding.accepted_as(Accepted(entry.by, entry.date, entry.why))


def _by_key(view: View) -> dict[tuple[str, frozenset[str]], list[Entry]]:
    found: dict[tuple[str, frozenset[str]], list[Entry]] = defaultdict(list)
    for notebook in view.job.notebooks:
        for entry in notebook.entries:
            if entry.kind == "accept":
                found[entry.rule, frozenset(entry.subject)].append(entry)
    for entries in found.values():
        entries.sort(key=lambda e: bool(_lack(view, e)))  # a good one first, else the earliest
    return found


def _lack(view: View, entry: Entry) -> str:
    missing = [
        word
        for word, text in (("who", entry.by), ("when", entry.date), ("why", entry.why))
        if not text.strip()
    ]
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


def _points(view: View, name: str) -> tuple[str, ...]:
    if name in view.points:
        return (name,)
    try:
        return tuple(a for a in view.harness.circuit(name).join if a in view.points)
    except KeyError:
        return ()
