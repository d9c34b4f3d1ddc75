"""The wire, fuse and joint families on their cases: each bad case fires on the marked line and nowhere else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.rules import book
from wiremap.rules.page import book_page

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
    assert not re.search(r"\{[a-z_]+(:[.0-9]*[fg])?\}", book_page().replace("{bundle", ""))


TIGHT = """wiremap: job/1
title: a load that its wire leaves no room for
supply: {volts: 12, min_volts: 10, max_volts: 15}
surroundings: {ambient_C: 40, bundle: 2, wet: no, moves: none}
ends:
  old: {pinout: old.yaml, is: cut-tail, side: machine, tail_mm: 300, fed: {1: {fuse: F12, fuse_amps: FUSE, milliohm: 20, length_mm: 2000}}}
  new: {pinout: new.yaml, is: pigtail, side: unit, tail_mm: 300}
circuits: [old.1 - new.1, old.2 - new.2]
"""
FED = """wiremap: pinout/1
title: plug
cavities:
  1: {signal: supply, function: permanent-supply, volts: 12, amps: AMPS, wire: 1.0 RD}
  2: {signal: ground, function: power-ground, wire: 2.5 BN}
"""


@pytest.mark.parametrize(
    ("fuse", "amps", "rule", "told"),
    [
        ("15", "13", "fuse-too-small", "no fuse fits load and wire both; a 2.5 mm2 wire would"),
        ("20", "13", "conductor-below-fuse", "no fuse fits load and wire both; a 2.5 mm2 wire"),
        ("20", "3", "conductor-below-fuse", "a 5 A fuse, which suits load, wires and contacts"),
    ],
)
def test_what_would_serve_is_said(
    tmp_path: Path, fuse: str, amps: str, rule: str, told: str
) -> None:
    """Neither size of fuse fits: not each is refused in its turn, but a wire is named that would carry the load."""
    for name in ("old.yaml", "new.yaml"):
        (tmp_path / name).write_text(FED.replace("AMPS", amps), "utf-8")
    (tmp_path / "job.yaml").write_text(TIGHT.replace("FUSE", fuse), "utf-8")
    found = [each for each in check([tmp_path / "job.yaml"]).findings if each.rule == rule]
    assert told in found[0].fix


def test_no_smaller_fuse_is_offered_where_the_air_is_as_hot_as_the_wire(tmp_path: Path) -> None:
    """Class A insulation, 85 C, in 85 C: no current is left to carry, so no fuse and no thicker wire serves."""
    for name in ("old.yaml", "new.yaml"):
        (tmp_path / name).write_text(FED.replace("AMPS", "3"), "utf-8")
    hot = TIGHT.replace("FUSE", "5").replace("ambient_C: 40", "ambient_C: 85")
    (tmp_path / "job.yaml").write_text(hot, "utf-8")
    found = check([tmp_path / "job.yaml"]).findings
    fix = next(each.fix for each in found if each.rule == "conductor-below-fuse")
    assert "insulation stands more than its surroundings" in fix and "thicker" not in fix


BRANCHED = (
    TIGHT.replace("FUSE", "20")
    .replace(
        "[old.1 - new.1, old.2 - new.2]",
        """
  - {id: a, join: [old.1, new.1, F1.a]}
  - {id: b, join: [F1.b, new.3], wire: 0.75 RD, length_mm: 200}
  - old.2 - new.2""",
    )
    .replace("circuits:", "extras:\n  F1: {fuse: blade, amps: AMPS}\ncircuits:")
)


@pytest.mark.parametrize("amps", ["3", "5", "10"])
def test_a_fuse_is_judged_by_what_lies_behind_it(tmp_path: Path, amps: str) -> None:
    """A branch of 3 A beside one of 12 A: 3 / 0.75 = 4 A and warm asks for 5 A, and its 0.75 mm2 is not that of 15 A."""
    (tmp_path / "old.yaml").write_text(FED.replace("AMPS", "20"), "utf-8")
    logic = "  3: {signal: supply logic, function: permanent-supply, volts: 12, amps: 3, wire: 0.75 RD}\n"
    (tmp_path / "new.yaml").write_text(FED.replace("AMPS", "12") + logic, "utf-8")
    (tmp_path / "job.yaml").write_text(BRANCHED.replace("AMPS", amps), "utf-8")
    found = check([tmp_path / "job.yaml"]).findings
    small = [each for each in found if each.rule == "fuse-too-small" and each.subject == ("F1",)]
    assert [each.fix for each in small] == (
        ["What serves here: a 5 A fuse, which suits load, wires and contacts."]
        if amps == "3"
        else []
    )
    assert not [
        each for each in found if each.rule == "conductor-overloaded" and "new.3" in each.subject
    ]
    (both,) = [each for each in found if each.rule == "two-fuses"]
    assert both.subject == ("new.3",)


def test_the_wire_to_a_fuse_carries_what_that_fuse_feeds(tmp_path: Path) -> None:
    """A branch of 0.3 A beside a unit of 12 A: the 0.75 mm2 from the joint to the branch's fuse is no wire of 12.3 A."""
    (tmp_path / "old.yaml").write_text(FED.replace("AMPS", "20"), "utf-8")
    logic = "  3: {signal: supply logic, function: permanent-supply, volts: 12, amps: DRAWN, wire: 0.75 RD}\n"
    lead = "legs: {F1.a: {wire: 0.75 RD, length_mm: 100}}}"
    job = BRANCHED.replace("AMPS", "1").replace("new.1, F1.a]}", f"new.1, F1.a], {lead}")
    (tmp_path / "job.yaml").write_text(job, "utf-8")
    told = {}
    for drawn in ("0.3", "30"):
        unit = FED.replace("AMPS", "12") + logic.replace("DRAWN", drawn)
        (tmp_path / "new.yaml").write_text(unit, "utf-8")
        found = check([tmp_path / "job.yaml"]).findings
        over = [each for each in found if each.rule == "conductor-overloaded"]
        told[drawn] = {each.message.partition(" of load")[0] for each in over}
    assert not {each for each in told["0.3"] if each.startswith("F1.a")}
    assert "F1.a: 30 A" in told["30"]
