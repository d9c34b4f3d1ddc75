"""The wire, fuse and joint families on their cases: each bad case fires on the marked line and nowhere else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.rules import book
from wiremap.rules.page import page

CASES = Path(__file__).parent / "cases"
RULES = [r for family in ("wire", "fuse", "joint") for r in book()[family]]
EXPECT = re.compile(r"# expect ([a-z0-9-]+)")


def marked(folder: Path, rule: str) -> set[tuple[str, int]]:
    """The lines of the bad case that carry the rule's name."""
    return {
        (path.name, number)
        for path in folder.glob("bad*.yaml")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if (found := EXPECT.search(line)) and found[1] == rule
    }


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.id)
def test_bad_case_fires_on_the_marked_line(rule) -> None:  # type: ignore[no-untyped-def]
    folder = CASES / rule.id
    report = check([folder / "bad.yaml"])
    assert not [f.message for f in report.findings if f.fault]
    found = {
        (Path(f.place.path).name, f.place.line)
        for f in report.findings
        if f.rule == rule.id and f.place
    }
    assert found == marked(folder, rule.id) != set()
    for finding in (f for f in report.findings if f.rule == rule.id):
        assert finding.message and finding.why and finding.fix
        assert not re.search(r"\{[a-z_]+(:[^ {}]*)?\}", finding.message + finding.fix)
        assert finding.subject and finding.severity is rule.severity


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.id)
def test_good_case_is_quiet(rule) -> None:  # type: ignore[no-untyped-def]
    report = check([CASES / rule.id / "good.yaml"])
    assert not [f.message for f in report.findings if f.fault]
    assert not [f.message for f in report.findings if f.rule == rule.id]


def test_no_case_without_a_rule() -> None:
    ids = {r.id for rules in book().values() for r in rules}
    assert {p.name for p in CASES.iterdir() if p.is_dir()} <= ids


def test_the_page_of_the_rules_shows_no_raw_fields() -> None:
    assert not re.search(r"\{[a-z_]+(:[.0-9]*[fg])?\}", page().replace("{bundle", ""))
