"""The rule book: every rule has its papers, fires on the marked line of its bad case, and is quiet on its good one."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.rules import RULES, book, load
from wiremap.rules.page import book_page

CASES = Path(__file__).parent / "cases"
WEIGHTS = Path(__file__).parent / "weights.txt"
OURS = [
    r
    for family in ("map", "metal", "bus", "chain", "scope", "judged", "parts")
    for r in book()[family]
]
EXPECT = re.compile(r"# expect ([a-z0-9-]+)")
IN_THE_FILE_ITSELF = {"withdrawn": ("bad-donor.yaml", 1)}  # a pinout's own place is its first line


def marked(folder: Path, rule: str) -> set[tuple[str, int]]:
    """The lines of the bad case that carry the rule's name."""
    lines = {
        (path.name, number)
        for path in sorted(folder.glob("bad*.yaml"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if rule in EXPECT.findall(line)
    }
    return lines or {IN_THE_FILE_ITSELF[rule]}


@pytest.mark.parametrize("rule", OURS, ids=lambda r: r.id)
def test_bad_case_fires_on_the_marked_lines_alone(rule) -> None:  # type: ignore[no-untyped-def]
    """The id and the line are both right, and no other line is accused."""
    report = check([CASES / rule.id / "bad.yaml"])
    assert [f.message for f in report.findings if f.fault] == []
    found = [f for f in report.findings if f.rule == rule.id]
    assert marked(CASES / rule.id, rule.id) == {
        (Path(f.place.path).name, f.place.line) for f in found if f.place
    }
    for f in found:
        assert f.severity is rule.severity and f.subject and f.message and f.why and f.fix
        assert not re.search(r"\{[a-z_]+\}", f.message + f.fix), f.message


@pytest.mark.parametrize("rule", OURS, ids=lambda r: r.id)
def test_good_case_is_quiet(rule) -> None:  # type: ignore[no-untyped-def]
    """A near miss is not accused."""
    report = check([CASES / rule.id / "good.yaml"])
    assert [f.message for f in report.findings if f.fault or f.rule == rule.id] == []


def test_every_rule_has_papers_and_cases() -> None:
    """Reason, cure, source, a docstring, and both kinds of case."""
    for rule in load().values():
        assert rule.why and rule.fix and rule.source and rule.meaning.endswith("."), rule.id
        assert (CASES / rule.id / "bad.yaml").is_file() and (
            CASES / rule.id / "good.yaml"
        ).is_file(), rule.id


def test_every_rule_has_the_weight_that_its_list_says() -> None:
    """What holds a job, what is signed and what is only told; the list is kept by hand on purpose."""
    told: dict[str, str] = {}
    weight = ""
    for line in WEIGHTS.read_text(encoding="utf-8").splitlines():
        if line.endswith(":"):
            weight = line.removesuffix(":")
        elif line.startswith("  "):
            told[line.strip()] = weight
    assert told == {rule.id: rule.severity.value for rule in load().values()}


def test_never_acceptable() -> None:
    """The list that no signature waives."""
    assert {
        "supply-to-ground",
        "sources-joined",
        "class-b",
        "restraint",
        "guard-bridged",
        "switch-bridged",
        "over-voltage",
        "diode-shorts",
        "measured-live",
        "survey-contradicts",
    } == {r.id for r in load().values() if not r.acceptable}


def test_the_page_agrees_with_the_registry() -> None:
    """The generated page counts and names what there is."""
    text = book_page()
    assert f"{len(RULES)} rules in {len(book())} families" in text
    assert list(RULES) and {r.id for r in RULES.values()} == set(
        re.findall(r"^### `([a-z0-9-]+)`", text, re.M)
    )
    for family, rules in book().items():
        assert re.search(rf"^## {family}: .* \({len(rules)}\)$", text, re.M)


def test_findings_are_told_in_the_order_of_what_is_at_stake() -> None:
    """What holds stands first; then people, units, the bench, bad working, reading matter."""
    report = check(
        [CASES / "guard-exchanged" / "bad.yaml", CASES / "coding-undecided" / "bad.yaml"]
    )
    holding = [f.holds for f in report.findings]
    assert holding == sorted(holding, reverse=True)
    open_ones = [load()[f.rule].matter.rank for f in report.findings if not f.holds]
    assert len(set(open_ones)) > 1
    assert open_ones == sorted(open_ones)
