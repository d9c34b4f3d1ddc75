"""SARIF logs against the structure that OASIS SARIF 2.1.0 (plus errata 01) demands, section by section."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from demo_jobs import DEMO, DEMO_JOB, ROOT

from wiremap.base import Accepted, Finding, Place, Severity
from wiremap.check import Report, check
from wiremap.reports import sarif as reports

LEVELS = {"none", "note", "warning", "error"}  # 3.27.10
# The schema has additionalProperties false throughout; names allowed by sections
# 3.13, 3.14, 3.18, 3.19, 3.27, 3.28, 3.29, 3.30, 3.49.
ALLOWED = {
    "log": {"$schema", "version", "runs", "inlineExternalProperties", "properties"},
    "run": {
        "tool",
        "results",
        "artifacts",
        "invocations",
        "columnKind",
        "defaultEncoding",
        "originalUriBaseIds",
        "automationDetails",
        "properties",
        "language",
    },
    "driver": {
        "name",
        "version",
        "semanticVersion",
        "informationUri",
        "rules",
        "fullName",
        "organization",
        "properties",
        "language",
    },
    "rule": {
        "id",
        "name",
        "shortDescription",
        "fullDescription",
        "help",
        "helpUri",
        "defaultConfiguration",
        "properties",
        "messageStrings",
    },
    "result": {
        "ruleId",
        "ruleIndex",
        "level",
        "kind",
        "message",
        "locations",
        "relatedLocations",
        "partialFingerprints",
        "fingerprints",
        "suppressions",
        "guid",
        "properties",
        "fixes",
    },
    "location": {
        "id",
        "physicalLocation",
        "logicalLocations",
        "message",
        "annotations",
        "relationships",
        "properties",
    },
    "region": {
        "startLine",
        "startColumn",
        "endLine",
        "endColumn",
        "charOffset",
        "charLength",
        "snippet",
        "message",
        "properties",
    },
    "suppression": {"kind", "status", "justification", "guid", "location", "properties"},
}


Needs = Iterator[tuple[bool, str]]  # what the standard asks, and whether it holds


def faults(log: Any) -> list[str]:
    """What of a log is not as the standard has it."""
    return [what for holds, what in needs_of_log(log) if not holds]


def only_known(kind: str, value: dict[str, Any]) -> Needs:
    unknown = sorted(value.keys() - ALLOWED[kind])
    yield not unknown, f"{kind}: {unknown}"


def needs_of_log(log: Any) -> Needs:
    yield from only_known("log", log)
    yield log.get("version") == "2.1.0", "3.13.2 version"
    yield isinstance(log.get("runs"), list), "3.13.4 runs"
    for run in log["runs"]:
        yield from only_known("run", run)
        column_kind = run.get("columnKind")
        yield column_kind in ("utf16CodeUnits", "unicodeCodePoints"), "3.14.17 columnKind"
        driver = run["tool"]["driver"]
        yield from needs_of_driver(driver)
        ids = [rule["id"] for rule in driver.get("rules", [])]
        for result in run["results"]:
            yield from needs_of_result(result, ids)


def needs_of_driver(driver: dict[str, Any]) -> Needs:
    yield from only_known("driver", driver)
    yield bool(driver.get("name")), "3.19.8 name"
    rules = driver.get("rules", [])
    yield len({rule["id"] for rule in rules}) == len(rules), "3.49.3 one descriptor an id"
    for rule in rules:
        yield from only_known("rule", rule)
        texts = [
            rule[key] for key in ("shortDescription", "fullDescription", "help") if key in rule
        ]
        yield all(is_message(text) for text in texts), "3.12 multiformat message"
        level = rule.get("defaultConfiguration", {"level": "note"})["level"]
        yield level in LEVELS, "3.50.3 level"


def is_message(value: dict[str, Any]) -> bool:
    return isinstance(value.get("text"), str) and bool(value["text"])


def needs_of_result(result: dict[str, Any], ids: list[str]) -> Needs:
    yield from only_known("result", result)
    yield is_message(result["message"]), "3.27.11 message"
    yield result["level"] in LEVELS, "3.27.10 level"
    pointed = dict(enumerate(ids)).get(result["ruleIndex"])
    yield pointed == result["ruleId"], "3.27.6 ruleIndex points to the rule"
    prints = result.get("partialFingerprints", {})
    yield all(isinstance(text, str) for text in prints.values()), "3.27.17 partialFingerprints"
    related = result.get("relatedLocations", [])
    numbers = [place["id"] for place in related if "id" in place]
    yield len(set(numbers)) == len(numbers), "3.28.2 id unique in the result"
    yield all(isinstance(n, int) and n >= -1 for n in numbers), "3.28.2 id from -1"
    for place in (*result.get("locations", ()), *related):
        yield from needs_of_place(place)
    for suppression in result.get("suppressions", ()):
        yield from only_known("suppression", suppression)
        yield suppression["kind"] in ("inSource", "external"), "3.35.2 kind"


def needs_of_place(place: dict[str, Any]) -> Needs:
    yield from only_known("location", place)
    uri = place["physicalLocation"]["artifactLocation"]["uri"]
    plain = uri.isascii() and " " not in uri and "\\" not in uri
    yield plain, "3.4.3 uri is a valid RFC 3986 reference"
    region = place["physicalLocation"]["region"]
    yield from only_known("region", region)
    yield region["startLine"] >= 1, "3.30.5 lines from 1"
    yield region.get("startColumn", 1) >= 1, "3.30.6 columns from 1"


@pytest.mark.parametrize(
    "paths",
    [[DEMO_JOB], [DEMO], [ROOT / "tests" / "cases" / "two-fuses"], [DEMO / "none.yaml"]],
)
def test_a_real_log_is_as_the_standard_has_it(paths: list[Path]) -> None:
    report = check(paths)
    log = json.loads(reports.sarif_text(report))
    assert faults(log) == []
    assert len(report.findings) == len(log["runs"][0]["results"]) > 0


def test_the_checker_sees_faults() -> None:
    """The check above can fail: each spoilt log is found out."""

    def spoilt(change: Any) -> list[str]:
        log = json.loads(reports.sarif_text(check([DEMO_JOB])))
        change(log, log["runs"][0]["results"][0])
        return faults(log)

    assert spoilt(lambda log, r: log.update(version="2.0.0"))
    assert spoilt(lambda log, r: r.update(level="caution"))
    assert spoilt(lambda log, r: r.update(ruleIndex=r["ruleIndex"] + 1))
    assert spoilt(lambda log, r: r["message"].update(text=""))
    assert spoilt(lambda log, r: r.update(severity="x"))
    assert spoilt(
        lambda log, r: r["locations"][0]["physicalLocation"]["region"].update(startLine=0)
    )


def test_places_levels_and_signatures_come_through() -> None:
    """Names are escaped and come back; a signature is a suppression, one that does not count is none."""
    place, signed = Place("a b/ü#%.yaml", 3, 7), Accepted("RK", "2026-03-02", "seen")
    found = [
        Finding(
            "odd-rule",
            level,
            "m",
            ("loom.1",),
            place,
            accepted=signed,
            acceptable=level is not Severity.STOP,
            also=((place, "there"),),
        )
        for level in Severity
    ]
    log = reports.sarif(Report((), tuple(found), {}, ()))
    assert faults(json.loads(json.dumps(log))) == []
    results = log["runs"][0]["results"]
    assert [r["level"] for r in results] == ["error", "warning", "note"]
    assert {"a b/ü#%.yaml"} == {
        unquote(r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]) for r in results
    }
    assert [[s["justification"] for s in r["suppressions"]] for r in results] == [
        [],
        ["RK, 2026-03-02: seen"],
        ["RK, 2026-03-02: seen"],
    ]
    assert {(3, 7)} == {
        tuple(r["locations"][0]["physicalLocation"]["region"].values()) for r in results
    }


def test_the_log_is_the_same_whatever_the_hash_seed() -> None:
    def run(seed: str) -> str:
        return subprocess.run(
            [sys.executable, "-m", "wiremap", "check", "--sarif", "pinouts_demo/job.yaml"],
            capture_output=True,
            text=True,
            cwd=ROOT,
            env={"PYTHONHASHSEED": seed, "PATH": "/usr/bin"},
            check=False,
        ).stdout

    one = run("1")
    assert one == run("2")
    assert faults(json.loads(one)) == []
