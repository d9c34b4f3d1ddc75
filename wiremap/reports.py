"""Findings and verdicts as text and as SARIF; no engineering here."""

from __future__ import annotations

import json
import re
import textwrap
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import quote

from wiremap.base import Finding, Place, Severity, visible
from wiremap.check import HOLD, IN_ORDER, UNREAD, Checked, Report
from wiremap.rules import load

WIDTH = 100
WORDS = {Severity.STOP: "STOP", Severity.CAUTION: "CAUTION", Severity.NOTE: "NOTE"}
INK = {Severity.STOP: "31;1", Severity.CAUTION: "33;1", Severity.NOTE: "36;1"}
VERDICTS = {IN_ORDER: "paper in order", HOLD: "HOLD"}
LEVELS = {Severity.STOP: "error", Severity.CAUTION: "warning", Severity.NOTE: "note"}
SARIF_SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)


def text(report: Report, *, colour: bool = False, quiet: bool = False) -> str:
    """The findings, heaviest first, each with its place and the spot marked; then a verdict line for each job."""
    blocks = (
        [] if quiet else ["\n".join(_finding(f, report.texts, colour)) for f in report.findings]
    )
    verdicts = [_verdict(job) for job in report.jobs]
    if len(report.jobs) > 1:
        verdicts.append(_summary(report))
    read = len(report.others)
    if read and not quiet:
        verdicts.append(
            f"{read} other file{'s' if read > 1 else ''} looked at by {'themselves' if read > 1 else 'itself'}"
        )
    return "\n\n".join([*blocks, "\n".join(verdicts)] if verdicts else blocks)


def _verdict(job: Checked) -> str:
    stops = sum(f.severity is Severity.STOP for f in job.findings)
    signed = sum(f.severity is Severity.CAUTION and f.accepted is not None for f in job.findings)
    word = VERDICTS.get(job.verdict, "could not be read")
    counts = [
        _count(stops, "stop"),
        _count(job.cautions, "caution") + (f" ({signed} signed)" if job.cautions else ""),
    ]
    boxes = f"surveyed {job.surveyed[0]} of {job.surveyed[1]}, rung out {job.rung_out[0]} of {job.rung_out[1]}"
    return f"{visible(job.path)}: {word}; {', '.join(counts)}; {boxes}"


def _summary(report: Report) -> str:
    """All jobs in one line; what holds stands first."""
    tally = Counter(job.verdict for job in report.jobs)
    parts = [
        f"{tally[v]} {VERDICTS.get(v, 'could not be read')}"
        for v in (UNREAD, HOLD, IN_ORDER)
        if tally[v]
    ]
    return f"{len(report.jobs)} jobs: {', '.join(parts)}"


def _count(n: int, word: str) -> str:
    return f"{n or 'no'} {word}{'' if n == 1 else 's'}"


def _finding(finding: Finding, texts: Mapping[str, str], colour: bool) -> Iterator[str]:
    word = WORDS[finding.severity]
    head = f"\x1b[{INK[finding.severity]}m{word}\x1b[0m" if colour else word
    yield from _wrapped(visible(finding.message), f"{head} ", len(word) + 1)
    if finding.place is not None:
        yield f"  {visible(str(finding.place))}  [{visible(finding.rule)}]"
        yield from _excerpt(finding.place, texts)
    else:
        yield f"  [{visible(finding.rule)}]"
    for place, said in finding.also:
        yield f"  {visible(str(place))}: {visible(said)}"
    if finding.why:
        yield from _wrapped(visible(finding.why), "  why: ", 7)
    if finding.fix:
        yield from _wrapped(visible(finding.fix), "  mend: ", 8)
    if finding.accepted is not None:
        signed = finding.accepted
        note = f"{visible(signed.by)}, {visible(signed.date)}: {visible(signed.why)}"
        if finding.severity is Severity.STOP and not finding.acceptable:
            note += " (does not count: nobody can sign this away)"
        yield from _wrapped(note, "  signed: ", 10)


def _wrapped(words: str, lead: str, indent: int) -> list[str]:
    lines = textwrap.wrap(
        words, WIDTH - indent, break_long_words=False, break_on_hyphens=False
    ) or [""]
    return [lead + lines[0], *(" " * indent + line for line in lines[1:])]


def _excerpt(place: Place, texts: Mapping[str, str]) -> Iterator[str]:
    """The line itself and a mark under the spot, cut to fit."""
    lines = re.split(r"\r\n|\r|\n", texts.get(place.path, ""))
    if not 1 <= place.line <= len(lines):
        return
    line, col = lines[place.line - 1], place.col - 1
    start = max(0, col - 60) if len(line) > WIDTH - 10 else 0
    shown = line[start : start + WIDTH - 10]
    before = shown[: col - start]
    yield f"  {place.line:>5} {visible(shown)}"
    yield f"        {' ' * sum(_cells(c) for c in visible(before))}^"


def _cells(character: str) -> int:
    """How many places a character takes on a screen."""
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


# -- SARIF ---------------------------------------------------------------------------------------------


def sarif(report: Report) -> dict[str, Any]:
    """The report as a SARIF 2.1.0 log (OASIS)."""

    book = load()
    used = {rule_id: i for i, rule_id in enumerate(sorted({f.rule for f in report.findings}))}
    rules = [
        {
            "id": rule_id,
            **(
                {
                    "shortDescription": {"text": book[rule_id].meaning},
                    "fullDescription": {"text": book[rule_id].why},
                    "help": {"text": book[rule_id].fix},
                    "defaultConfiguration": {"level": LEVELS[book[rule_id].severity]},
                }
                if rule_id in book
                else {"shortDescription": {"text": "the file could not be read"}}
            ),
        }
        for rule_id in used
    ]
    results = [_result(f, used[f.rule]) for f in report.findings]
    return {
        "$schema": SARIF_SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {"driver": {"name": "wiremap", "rules": rules}},
                "columnKind": "unicodeCodePoints",
                "results": results,
            }
        ],
    }


def _result(finding: Finding, index: int) -> dict[str, Any]:
    found: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": index,
        "level": LEVELS[finding.severity],
        "message": {"text": " ".join(t for t in (finding.message, finding.fix) if t)},
        "locations": [_location(finding.place)] if finding.place else [],
        "partialFingerprints": {
            "wiremap/v1": "|".join((finding.rule, *finding.subject)) or finding.rule
        },
    }
    if finding.also:
        found["relatedLocations"] = [
            {**_location(p), "id": i, "message": {"text": said}}
            for i, (p, said) in enumerate(finding.also, 1)
        ]
    if finding.accepted is not None:
        why = f"{finding.accepted.by}, {finding.accepted.date}: {finding.accepted.why}"
        found["suppressions"] = (
            [{"kind": "external", "justification": why}] if finding.acceptable else []
        )
    return found


def _location(place: Place) -> dict[str, Any]:

    return {
        "physicalLocation": {
            "artifactLocation": {"uri": quote(place.path.replace("\\", "/"))},
            "region": {"startLine": place.line, "startColumn": place.col},
        }
    }


def sarif_text(report: Report) -> str:
    """The SARIF log as JSON text."""
    return json.dumps(sarif(report), indent=2, ensure_ascii=True)
