"""What a sound battery shows while nothing charges it, what hangs on it unloaded, and whom its posts may hurt.

A lead cell at rest has 2.0 (empty) to 2.15 V (full), a little more for hours after a charge; at 9 V a battery of 12 V
is dead or behind a poor contact (common practice).  A ground loses at most 0.1 V under load (maker's manual).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo_jobs import filed_demo
from sheet_cases import demo_given, steps_of

from wiremap.content.pieces import Section
from wiremap.content.steps import Step, Steps
from wiremap.evidence.expected import rested_volts
from wiremap.firstpower.unmated import VOLTS
from wiremap.model import OnOff, Span, Supply
from wiremap.sheet import compose
from wiremap.survey.lock_out import AT_BATTERY
from wiremap.survey.rows import survey


def section(key: str) -> Section:
    (found,) = (s for s in compose(demo_given()).sections if s.key == key)
    return found


def every() -> list[Step]:
    return [step for each in compose(demo_given()).sections for step in steps_of(each)]


@pytest.mark.parametrize(
    ("supply", "low", "high"),
    [
        (Supply(volts=12, min_volts=9, max_volts=15), 12.0, 13.2),
        (Supply(volts=24, min_volts=18, max_volts=30), 24.0, 26.4),
        (Supply(volts=12, max_volts=12.5), 12.0, 12.5),  # no charger beyond what is stated
        (Supply(volts=48, min_volts=40, max_volts=58), 40.0, 58.0),  # of no battery that is known
        (Supply(min_volts=9, max_volts=15), 9.0, 15.0),
        (Supply(volts=12, max_volts=11), 11.0, 12.0),  # stated otherwise: nothing is left of rest
    ],
)
def test_a_battery_at_rest_has_a_band_of_its_own(supply: Supply, low: float, high: float) -> None:
    found = rested_volts(replace(filed_demo(), supply=supply))
    assert found is not None and (found.low, found.high) == (
        pytest.approx(low),
        pytest.approx(high),
    )


def test_volts_that_nobody_states_stay_open() -> None:
    job = filed_demo()
    bare = replace(job, supply=Supply(), ends={})
    assert rested_volts(bare) is None


def test_a_permanent_supply_is_read_at_rest_with_the_ignition_off() -> None:
    """With the ignition on the machine's whole band: its own loads draw, an engine may run."""
    rows = [row for row in survey(filed_demo()).block("volts") if row.red == "loom.1"]
    bands = {row.key: (row.low, row.high) for row in rows}
    assert bands == {OnOff.OFF: (12.0, 13.2), OnOff.ON: (9, 15)}


def test_nine_volts_at_first_power_are_no_good_feed() -> None:
    steps = [s for s in demo_given().power if s.red == "donor.3" and s.quantity == VOLTS]
    off = [s for s in steps if s.key == OnOff.OFF]
    assert off and all((s.low, s.high) == (12.0, 13.2) for s in off)
    assert Span(9, 15) in [Span(s.low, s.high) for s in steps if s.low and s.high]


def test_the_second_person_reads_a_battery_at_rest() -> None:
    wants = [step.want for step in every() if step.at == "battery"]
    assert wants == ["12 to 13.2 V"]


def test_a_supply_is_held_against_the_battery_itself() -> None:
    titles = [b.title for b in section("survey").blocks if isinstance(b, Steps) and b.title]
    sweeps = [title for title in titles if title.startswith("Volts, ignition")]
    assert len(sweeps) == 2 and all("within 0.2 V of the battery's own" in t for t in sweeps)


def test_a_ground_has_one_rule_beside_the_leads() -> None:
    """Its band counts the leads and what the paper lets; a good ground is their own ohms and no more than 0.1 over."""
    told = [
        step for step in steps_of(section("survey")) if "the touched leads + 0.1 Ω" in step.text
    ]
    assert [(step.at, step.want) for step in told] == [("loom.2 – chassis", "under 1.1 Ω")]


def test_whoever_touches_the_battery_is_warned_once_a_visit() -> None:
    """Where it is first taken off, and where it comes on at first power; nowhere else."""
    warned = [step for step in every() if AT_BATTERY in step.note]
    assert len(warned) == 2
    assert warned[0].text.startswith("Ignition off; waited") and warned[1].n.startswith("P")
    assert not any(AT_BATTERY in step.text for step in every())
