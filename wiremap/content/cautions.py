"""The cautions of a job, each to be read and signed before the first cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wiremap.base import Finding
from wiremap.content.given import Given
from wiremap.content.steps import Step
from wiremap.content.words import listed

ACTS = {  # what to do, in few words; of other rules their own way to mend it
    "colours-confused": "flag both before either is worked on",
    "gauge-step": "look at the thinner wire and its fuse",
    "rests-on-document": "measure, or sign for the document",
    "sleeves-overlap": "lengthen the run, or sign the thick place",
    "voltage-drop": "a thicker or shorter wire, or sign for the load",
    "carried-caution": "",
}


def caution_steps(given: Given) -> tuple[Step, ...]:
    """Every caution's subject and sentence; those of one rule share a step."""
    signers = _signers(given.cautions)
    all_alike = len(signers) == 1 and bool(signers[0])
    by_rule: dict[str, list[Finding]] = {}
    for finding in given.cautions:
        by_rule.setdefault(finding.rule, []).append(finding)
    steps = []
    n = 1
    for rule, found in by_rule.items():
        last = n + len(found) - 1
        text = _single(found[0]) if len(found) == 1 else _several(rule, found)
        act = _act(rule, found)
        number = f"C{n}" if last == n else f"C{n}-{last}"
        note = _standing(found, all_alike=all_alike).strip()
        steps.append(Step(n=number, text=f"{text}: {act}" if act else text, note=note))
        n = last + 1
    if all_alike and steps:
        steps[0] = replace(steps[0], note=f"accepted by {signers[0]}, as are the others")
    return tuple(steps)


def _signers(found: Sequence[Finding]) -> list[str]:
    """Who accepted, and when; an empty word where some are not accepted."""
    return sorted({f"{f.accepted.by} {f.accepted.date}" if f.accepted else "" for f in found})


def _single(finding: Finding) -> str:
    text = finding.message.rstrip(".")
    if finding.subject and not text.startswith(finding.subject[0]):
        return f"{listed(*finding.subject)}: {text}"
    return text


def _several(rule: str, found: Sequence[Finding]) -> str:
    subjects = [" and ".join(f.subject[:3]) for f in found]
    return f"{rule.replace('-', ' ')}: {'; '.join(subjects)}"


def _standing(found: Sequence[Finding], *, all_alike: bool) -> str:
    """Who accepted these cautions, and how many are not accepted."""
    told = ""
    signed = listed(*_signers(found))
    if signed and not all_alike:
        told += f" (accepted: {signed})"
    not_accepted = sum(f.accepted is None for f in found)
    if not_accepted == len(found):
        return f"{told} (not accepted)"
    if not_accepted:
        return f"{told} ({not_accepted} not accepted)"
    return told


def _act(rule: str, found: Sequence[Finding]) -> str:
    if rule in ACTS:
        return ACTS[rule]
    fixes = {f.fix for f in found}
    return found[0].fix.rstrip(".") if len(fixes) == 1 else ""
