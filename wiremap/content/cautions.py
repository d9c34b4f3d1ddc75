"""The cautions of a job, each to be read and signed before the first cut."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from wiremap.base import Finding
from wiremap.content.given import Given
from wiremap.content.joint_work import SIDE_RANK
from wiremap.content.steps import Step
from wiremap.content.words import listed
from wiremap.model import Address

ACTS = {  # what to do, in few words; of other rules their own way to mend it
    "colours-confused": "flag each before one is worked on",
    "gauge-step": "look at the thinner wire and its fuse",
    "rests-on-document": "measure, or sign for the document",
    "sleeves-overlap": "lengthen the run, or sign the thick place",
    "voltage-drop": "a thicker or shorter wire, or sign for the load",
    "carried-caution": "",
}

SIGNED = frozenset(rule for rule, act in ACTS.items() if "sign" in act)  # nothing is left to do
COMMAND = r"wiremap (?:check|next|propose|sign|survey)\b"
IN_BRACKETS = re.compile(rf"\s*\([^()]*(?:{COMMAND}|--)[^()]*\)")
CLAUSE = re.compile(rf"[;:,]\s*(?:or )?{COMMAND}[^;.]*(?:\.\w[^;.]*)*")
EACH = ("colours-confused",)  # told by itself: its sentence names connector and groups


def caution_steps(given: Given) -> tuple[Step, ...]:
    """Every caution's subject and sentence; those of one rule share a step.

    One of colours stands at the faces: its step bears the end at which it is looked for.
    """
    signers = _signers(given.cautions)
    all_alike = len(signers) == 1 and bool(signers[0])
    steps = []
    n = 1
    for found in sorted(_together(given.cautions), key=lambda found: _rank(given, found)):
        last = n + len(found) - 1
        text = _told(found)
        accepted = all(each.accepted is not None for each in found)
        act = "" if accepted and found[0].rule in SIGNED else _act(found[0].rule, found)
        number = f"C{n}" if last == n else f"C{n}-{last}"
        note = _standing(found, all_alike=all_alike).strip()
        at = _looked_for_at(found)
        text = f"{text}: {act}" if act else text
        steps.append(Step(n=number, at=at, text=text, note=note))
        n = last + 1
    if all_alike and steps:
        steps[0] = replace(steps[0], note=f"accepted by {signers[0]}, as are the others")
    return tuple(steps)


def _together(cautions: Sequence[Finding]) -> list[list[Finding]]:
    """The cautions that share a step: those of one rule, unless each says what belongs together."""
    by_rule: dict[tuple[str, ...], list[Finding]] = {}
    for finding in cautions:
        alone = finding.subject if finding.rule in EACH else ()
        by_rule.setdefault((finding.rule, *alone), []).append(finding)
    return list(by_rule.values())


def _signers(found: Sequence[Finding]) -> list[str]:
    """Who accepted, and when; an empty word where some are not accepted."""
    return sorted({f"{f.accepted.by} {f.accepted.date}" if f.accepted else "" for f in found})


def _told(found: Sequence[Finding]) -> str:
    """The words of a step: a finding's own, or where several of its rule hold."""
    first = found[0]
    if first.rule in EACH and first.subject:
        return "alike in colour as told under its face"
    return _single(first) if len(found) == 1 else _several(first.rule, found)


def _looked_for_at(found: Sequence[Finding]) -> str:
    """The end at whose face a caution is looked for; empty for one of the whole job."""
    first = found[0]
    if first.rule in EACH and first.subject:
        return Address.read(first.subject[0]).end
    return ""


def _rank(given: Given, found: Sequence[Finding]) -> int:
    """Those of the whole job first, then end after end as their faces follow on paper."""
    at = _looked_for_at(found)
    return SIDE_RANK[given.job.ends[at].side] + 1 if at in given.job.ends else 0


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
    return by_hand(found[0].fix).rstrip(".") if len(fixes) == 1 else ""


def by_hand(fix: str) -> str:
    """A cure without the commands that a screen tells: who reads paper has none at hand."""
    words = IN_BRACKETS.sub("", fix)
    return CLAUSE.sub("", words)
