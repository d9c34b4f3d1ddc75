"""The lines of a batch that `wiremap sign` takes: which rule is signed, at what, and why."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.base import Finding, Place, fault
from wiremap.cli.saving import typed_lines
from wiremap.model import A_REASON, says_what


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """A line of a batch: which rule is signed, at what, why, where it was written."""

    rule: str
    names: tuple[str, ...]
    why: str
    place: Place


def batch_reasons(path: str) -> list[Reason] | Finding:
    """The reasons that a batch tells, or why one of its lines is none."""
    lines = typed_lines(path)
    if isinstance(lines, Finding):
        return lines
    reasons = []
    for place, line in lines:
        rule, colon, why = line.partition(":")
        if not colon or not why.strip():
            words = f"this signs nothing: {line.strip()!r}; nothing was saved"
            return fault("signature-unread", words, place, fix="write it as: rule: reason")
        if not says_what(why):
            words = f"that is no reason: {why.strip()!r}; nothing was saved"
            return fault("signature-unread", words, place, fix=A_REASON)
        name, *at = rule.split() or [""]
        reasons.append(Reason(rule=name, names=tuple(at), why=why.strip(), place=place))
    return reasons
