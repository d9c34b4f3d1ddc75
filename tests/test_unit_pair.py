"""An adapter joins two buses: what the unit must bring between its two wires, and what is one too many."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from sheet_cases import given_from, steps_of

from wiremap.content.compose import compose
from wiremap.content.given import Given
from wiremap.survey.bus_pairs import AT_UNIT, BY_MACHINE_PAIR
from wiremap.survey.rows import SurveyRow

OLD = """title: Old plug
cavities:
  1: {signal: Plus, function: permanent-supply, volts: 12, amps: 3, flow: to-unit, wire: 1.0 red}
  2: {signal: Ground, function: power-ground, volts: 0, amps: 3, wire: 1.0 brown}
  3: {signal: Bus high, function: can-high, pair: a, wire: 0.5 yellow}
  4: {signal: Bus low, function: can-low, pair: a, wire: 0.5 green}
"""
NEW = OLD.replace("Old plug", "New plug")
JOINS = "".join(
    f"  - {{id: c{n}, join: [old.{n}, new.{n}], wire: 1.0 BK, length_mm: 500}}\n"
    for n in range(1, 5)
)
JOB = (
    "title: Four wires\nid: four\nrevision: 1\nsupply: {volts: 12}\nends:\n"
    "  old: {pinout: old.yaml, is: mate, side: machine}\n"
    "  new: {pinout: new.yaml, is: mate, side: unit}\n"
    f"circuits:\n{JOINS}"
)


def four(folder: Path, behind: str = "", inside: str = "", read: str = "") -> Given:
    """An adapter of four wires, a bus among them; what is stated and read between its legs."""
    old = OLD + (f"behind:\n  - {{between: [3, 4], ohms: {behind}}}\n" if behind else "")
    new = NEW + (f"inside:\n  - {{between: [3, 4], ohms: {inside}}}\n" if inside else "")
    job = JOB
    if read:
        lines = "".join(
            f"  - {{kind: survey, red: {end}.3, black: {end}.4, volts: 0, seen: {ohms}, by: K, date: 2026-01-02}}\n"
            for end, ohms in (pair.split() for pair in read.split(", "))
        )
        folder.joinpath("seen.yaml").write_text(
            f"wiremap: notebook/1\nentries:\n{lines}", encoding="utf-8"
        )
        job += "readings: [seen.yaml]\n"
    return given_from(folder, job, old=old, new=new)


def own(given: Given) -> SurveyRow:
    """The row that is read in the unit."""
    assert given.survey is not None
    (row,) = (row for row in given.survey.rows if row.at_unit)
    return row


@pytest.mark.parametrize(
    ("behind", "inside", "fits", "fails"),
    [
        ("120", "", (108, 120, 130), (40, 60, 1000)),
        ("60", "", (10_000, math.inf), (60, 120)),
        ("", "120", (115, 125), (60, 1000)),
    ],
)
def test_what_the_machine_brings_decides_what_the_unit_must(
    tmp_path: Path, behind: str, inside: str, fits: tuple[float, ...], fails: tuple[float, ...]
) -> None:
    """Two terminators together, no more and no less; a stated one is wanted as stated."""
    row = own(four(tmp_path, behind, inside))
    assert row.low is not None and row.high is not None and not row.note
    assert all(row.low <= ohms <= row.high for ohms in fits)
    assert not any(row.low <= ohms <= row.high for ohms in fails)


@pytest.mark.parametrize("behind", ["", "80", "open"])
def test_where_nothing_decides_the_rule_stands_beside_it(tmp_path: Path, behind: str) -> None:
    """Both are read, and the sheet says which two figures go together."""
    given = four(tmp_path, behind)
    assert (own(given).low, own(given).note) == (None, BY_MACHINE_PAIR)
    survey = next(s for s in compose(given, print_held=True).sections if s.key == "survey")
    (step,) = (s for s in steps_of(survey) if s.at == "new.3 – new.4")
    assert AT_UNIT in step.text and "one terminator is too many" in step.note
    assert step.n == f"S{own(given).n}"


@pytest.mark.parametrize(
    ("read", "so"),
    [
        ("old 60, new 120", "one too many"),
        ("old 120, new 60", "one too many"),
        ("old 60, new open", ""),
        ("old 120, new 120", ""),
        ("old 120, new open", "one is missing"),
    ],
)
def test_both_readings_together_are_judged(tmp_path: Path, read: str, so: str) -> None:
    """A bus of 40 or of 120 ohm holds the job as soon as both halves are read."""
    found = [f for f in four(tmp_path, read=read).findings if f.rule == "terminators"]
    assert [so in finding.message for finding in found] == ([True] if so else [])


def test_a_splice_reads_each_half_when_it_is_cut(tmp_path: Path) -> None:
    """There the joints have their own readings, so that the survey asks for none in the unit."""
    job = JOB.replace("is: mate, side: machine", "is: cut-tail, side: machine, tail_mm: 400")
    given = given_from(tmp_path, job, old=OLD, new=NEW)
    assert given.survey is not None
    assert not any(row.at_unit for row in given.survey.rows)


def test_at_first_power_the_low_wire_follows_its_high_one(tmp_path: Path) -> None:
    """Which of two never lies below the other is seen where both stand together."""
    turned = {
        "3: {signal: Bus high": "4: {signal: Bus high",
        "4: {signal: Bus low": "2: {signal: Bus low",
    }
    new = NEW.replace("2: {signal: Ground", "3: {signal: Ground")
    for one, other in turned.items():
        new = new.replace(one, other)
    job = JOB.replace("[old.2, new.2]", "[old.2, new.3]").replace(
        "[old.3, new.3]", "[old.3, new.4]"
    )
    job = job.replace("[old.4, new.4]", "[old.4, new.2]")
    given = given_from(tmp_path, job, old=OLD, new=new)
    read = [s.red for s in given.power if s.stage == "volts" and s.key == "on"]
    assert read == ["new.1", "new.4", "new.2"]
