"""A report as a SARIF 2.1.0 log (OASIS), for editors and code hosts."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from wiremap.base import Finding, Place, Severity
from wiremap.check import Report
from wiremap.rules import load
from wiremap.rules.registry import Rule

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
LEVELS = {Severity.STOP: "error", Severity.CAUTION: "warning", Severity.NOTE: "note"}


def sarif_text(report: Report) -> str:
    """The log as JSON text."""
    return json.dumps(sarif(report), indent=2, ensure_ascii=True)


def sarif(report: Report) -> dict[str, Any]:
    """The log as plain data."""
    book = load()
    used = sorted({finding.rule for finding in report.findings})
    index_of = {rule_id: number for number, rule_id in enumerate(used)}
    rules = [_rule(rule_id, book) for rule_id in used]
    run = {
        "tool": {"driver": {"name": "wiremap", "rules": rules}},
        "columnKind": "unicodeCodePoints",
        "results": [_result(found, index_of[found.rule]) for found in report.findings],
        "properties": {"notJudged": _not_judged(report)},
    }
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}


def _not_judged(report: Report) -> list[dict[str, Any]]:
    """What the papers of each job leave unjudged."""
    found = []
    for job in report.jobs:
        for each in job.as_dict()["not_judged"]:
            found.append({"file": job.path, **each})
    return found


def _rule(rule_id: str, book: Mapping[str, Rule]) -> dict[str, Any]:
    """A rule's papers; what is found while files are read has no rule of the book."""
    if rule_id not in book:
        return {"id": rule_id, "shortDescription": {"text": "found while the files were read"}}
    rule = book[rule_id]
    return {
        "id": rule_id,
        "shortDescription": {"text": rule.meaning},
        "fullDescription": {"text": rule.why},
        "help": {"text": rule.fix},
        "defaultConfiguration": {"level": LEVELS[rule.severity]},
    }


def _about(finding: Finding) -> tuple[str, ...]:
    """What tells a finding from others of its rule: its subject, or its words where it has none."""
    return finding.subject or (finding.message,)


def _result(finding: Finding, index: int) -> dict[str, Any]:
    words = [part for part in (finding.message, finding.fix) if part]
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": index,
        "level": LEVELS[finding.severity],
        "message": {"text": " ".join(words)},
        "locations": [],
        "partialFingerprints": {"wiremap/v1": "|".join((finding.rule, *_about(finding)))},
    }
    if finding.place is not None:
        result["locations"] = [_location(finding.place)]
    if finding.also:
        result["relatedLocations"] = [
            {**_location(place), "id": number, "message": {"text": said}}
            for number, (place, said) in enumerate(finding.also, 1)
        ]
    if finding.accepted is not None:
        result["suppressions"] = _suppressions(finding)
    return result


def _suppressions(finding: Finding) -> list[dict[str, Any]]:
    """The signature under a finding, where one counts."""
    signed = finding.accepted
    if signed is None or not finding.acceptable:
        return []
    return [{"kind": "external", "justification": f"{signed.by}, {signed.date}: {signed.why}"}]


def _location(place: Place) -> dict[str, Any]:
    return {
        "physicalLocation": {
            "artifactLocation": {"uri": quote(place.path.replace("\\", "/"))},
            "region": {"startLine": place.line, "startColumn": place.col},
        }
    }
