"""SARIF logs against the structure that OASIS SARIF 2.1.0 (plus errata 01) demands, section by section."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest

from wiremap.base import Accepted, Finding, Place, Severity
from wiremap.check import Report, check
from wiremap.reports import sarif as reports

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "pinouts_demo"
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


def faults(log: Any) -> list[str]:
    """What of a log is not as the standard has it."""
    wrong: list[str] = []

    def need(holds: bool, what: str) -> None:
        if not holds:
            wrong.append(what)

    def keys(kind: str, value: dict[str, Any]) -> None:
        need(value.keys() <= ALLOWED[kind], f"{kind}: {sorted(value.keys() - ALLOWED[kind])}")

    keys("log", log)
    need(log.get("version") == "2.1.0", "3.13.2 version")
    need(isinstance(log.get("runs"), list), "3.13.4 runs")
    for run in log["runs"]:
        keys("run", run)
        driver = run["tool"]["driver"]
        keys("driver", driver)
        need(bool(driver.get("name")), "3.19.8 name")
        need(run.get("columnKind") in ("utf16CodeUnits", "unicodeCodePoints"), "3.14.17 columnKind")
        rules = driver.get("rules", [])
        need(len({r["id"] for r in rules}) == len(rules), "3.49.3 one descriptor an id")
        for rule in rules:
            keys("rule", rule)
            need(
                all(
                    isinstance(rule[k]["text"], str) and rule[k]["text"]
                    for k in ("shortDescription", "fullDescription", "help")
                    if k in rule
                ),
                "3.12 multiformat message",
            )
            need(
                rule.get("defaultConfiguration", {"level": "note"})["level"] in LEVELS,
                "3.50.3 level",
            )
        for result in run["results"]:
            keys("result", result)
            need(
                isinstance(result["message"].get("text"), str) and bool(result["message"]["text"]),
                "3.27.11 message",
            )
            need(result["level"] in LEVELS, "3.27.10 level")
            need(
                {i: r["id"] for i, r in enumerate(rules)}.get(result["ruleIndex"])
                == result["ruleId"],
                "3.27.6 ruleIndex points to the rule",
            )
            prints = result.get("partialFingerprints", {})
            need(all(isinstance(v, str) for v in prints.values()), "3.27.17 partialFingerprints")
            ids = [p["id"] for p in result.get("relatedLocations", []) if "id" in p]
            need(
                len(set(ids)) == len(ids) and all(isinstance(i, int) and i >= -1 for i in ids),
                "3.28.2 id unique in the result",
            )
            for place in (*result.get("locations", ()), *result.get("relatedLocations", ())):
                keys("location", place)
                uri = place["physicalLocation"]["artifactLocation"]["uri"]
                need(
                    uri.isascii() and " " not in uri and "\\" not in uri,
                    "3.4.3 uri is a valid RFC 3986 reference",
                )
                region = place["physicalLocation"]["region"]
                keys("region", region)
                need(
                    region["startLine"] >= 1 and region.get("startColumn", 1) >= 1,
                    "3.30.5, 3.30.6 lines and columns from 1",
                )
            for s in result.get("suppressions", ()):
                keys("suppression", s)
                need(s["kind"] in ("inSource", "external"), "3.35.2 kind")
    return wrong


@pytest.mark.parametrize(
    "paths",
    [[DEMO / "job.yaml"], [DEMO], [ROOT / "tests" / "cases" / "two-fuses"], [DEMO / "none.yaml"]],
)
def test_a_real_log_is_as_the_standard_has_it(paths: list[Path]) -> None:
    report = check(paths)
    log = json.loads(reports.sarif_text(report))
    assert faults(log) == []
    assert len(report.findings) == len(log["runs"][0]["results"]) > 0


def test_the_checker_sees_faults() -> None:
    """The check above can fail: each spoilt log is found out."""

    def spoilt(change: Any) -> list[str]:
        log = json.loads(reports.sarif_text(check([DEMO / "job.yaml"])))
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
