"""A six-wire splice from paper alone: what stands at a step is enough to do it, and can fail.

`tests/tarp` is a job as an electrician would write it: half of its cavities are not read yet.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest
from sheet_cases import demo_given, steps_of

from wiremap.content import joint_notes
from wiremap.content.compose import compose
from wiremap.content.fuses_pulled import service_fuses_out
from wiremap.content.gather import gather
from wiremap.content.given import Given
from wiremap.content.steps import Slot, Step, Steps
from wiremap.graph import Harness, Joint
from wiremap.model import OnOff
from wiremap.sizing.joint_sides import JointSides, joint_sides

TARP = Path(__file__).resolve().parent / "tarp" / "job.yaml"


@lru_cache(maxsize=1)
def tarp() -> Given:
    """The job, checked, sized and planned."""
    given, _ = gather(TARP)
    assert given is not None
    return given


def told(key: str) -> list[Step]:
    """The steps of one section."""
    found = [each for each in compose(tarp()).sections if each.key == key]
    return [step for section in found for step in steps_of(section)]


def at(steps: list[Step], words: str) -> int:
    """Where the one step stands that says these words."""
    (found,) = (n for n, step in enumerate(steps) if words in step.text)
    return found


def test_pressure_comes_back_while_the_ignition_is_off() -> None:
    """The unit is live by then: what can move must not move as the blocks go."""
    work = told("work")
    off = at(work, "Ignition off, blocks away, pressure back, everyone clear")
    assert at(work, "One hand at what stops it all, ignition on") == off + 1


def test_all_that_needs_the_ignition_comes_before_the_sleep() -> None:
    """After the last sleep current the ignition is off and stays so."""
    work = told("work")
    asleep = at(work, "Ignition off, wait till the current falls no more")
    assert at(work, "struck off one by one") < asleep
    assert at(work, "Fault memory read once more") < asleep


def test_a_row_that_an_empty_cavity_reads_alike_tells_nothing() -> None:
    """loom.6 is only ever wanted under 0.1 V: it is looked for, and nothing ticks it."""
    (run,) = (step for step in told("not-judged") if step.slot is Slot.BLANK)
    assert run.at == "loom, unit"  # the sender holds up no other wire: it is named at its joint
    (later,) = (step for step in told("not-judged") if step.slot is Slot.NONE)
    assert later.at == "loom.4, loom.5, loom.6"
    assert "; loom.4, loom.5: the survey reads it, ticked at its end;" in later.text
    assert later.text.endswith("; loom.6: said by name at its joint, before it is cut")
    ticked = [step for step in told("survey") if "nobody measured it" in step.text]
    assert [step.text.partition(": ")[0] for step in ticked] == ["loom.4, loom.5"]
    notes = {step.n: step.note for step in told("joints")}
    assert "known by the readings of this sheet alone" in notes["J4"]
    assert "known by the readings" not in notes["J6"]


def test_ohms_for_the_notebook_are_of_the_wires_they_are_read_at() -> None:
    """Of the three loads unplugged only two have a row of ohms."""
    (unplugged,) = (step for step in told("ringout") if "at its far end" in step.text)
    assert "loom.6" in unplugged.text
    assert "loom.4 or loom.5 that cannot be: S12, S13 into the notebook" in unplugged.note


def test_a_sleeve_waits_on_the_wire_that_has_room_for_it() -> None:
    """loom.1 and unit.6 are cut to 50 mm: flag, sleeve and bare end together are 51 mm."""
    wants = {step.n: step.want for step in told("joints") if step.n.startswith("J")}
    assert wants["J1"] == "sleeve on unit.1"
    assert wants["J6"] == "sleeve on loom.6"


def test_a_sleeve_does_not_wait_where_a_part_leads_back_to_the_joint() -> None:
    """R1 bridges J3 and J4: what waits on donor.9 or donor.8 comes over neither joint any more."""
    sections = [part for part in compose(demo_given()).sections if part.key == "joints"]
    wants = {step.n: step.want for step in steps_of(sections[0])}
    assert wants["J3"].endswith("on gateway.4") and wants["J4"].endswith("on gateway.3")
    assert wants["J5"].endswith("on loom.1")  # two wires of the unit on the other side
    assert wants["J17"].endswith("on feed.16")


def test_the_lamp_is_away_before_the_sleep_current() -> None:
    """A lamp between feed and ground would be read as what the machine draws; each test says how the key stands."""
    survey = told("survey")
    lamp, asleep = (
        at(survey, "with a lamp of 21 W"),
        at(survey, "current in the battery's minus lead"),
    )
    assert survey[lamp].text.startswith("ignition off, ")
    assert survey[asleep].text.startswith("Lamp away, ignition off, wait") and lamp < asleep


def test_a_wire_in_service_is_proved_dead_while_the_battery_is_on() -> None:
    """With the battery off every wire is dead, whichever fuse was pulled."""
    parts = {part.key: steps_of(part) for part in compose(demo_given()).sections}
    survey = parts["survey"]
    proved, off = at(survey, "so it is the right one"), at(survey, "Battery off, minus first")
    assert survey[proved].at == "feed.16 – chassis" and survey[proved].want == "under 0.1 V"
    assert proved < off
    assert "battery on, ignition off: socket fuse 15 A" in survey[proved].text
    (title,) = {
        block.title
        for part in compose(demo_given()).sections
        for block in part.blocks
        if isinstance(block, Steps) and survey[proved] in block.steps
    }
    assert title.endswith("battery still on")


def test_a_wire_in_service_beeps_to_its_contact_before_it_is_joined() -> None:
    """Dead it is in any case, with the battery off: the beep tells that the right one is cut."""
    joints = demo_steps("joints")
    beeps = at(
        joints, "its half to the face beeps at this contact, breakout lead in its mating face"
    )
    assert (joints[beeps].at, joints[beeps].want) == ("feed.16", "beep")
    assert joints[beeps].text.startswith("1.0 mm2 RD/YE red/yellow, socket fuse 15 A still out")
    assert next(step.n for step in joints[beeps + 1 :] if step.n) == "J17"
    assert not any("dead before it is cut" in step.text for step in joints)


def test_a_wire_that_the_ignition_feeds_is_proved_with_it_on() -> None:
    """With the ignition off it is dead, whichever fuse was pulled."""
    given = demo_given()
    assert given.survey is not None
    rows = [r for r in given.survey.rows if r.red != "feed.16" or r.key == OnOff.ON]
    switched = replace(given, survey=replace(given.survey, rows=tuple(rows)))
    (block,) = service_fuses_out(switched)
    assert "ignition on for this row" in block.steps[0].text


def test_the_way_back_is_as_safe_as_the_way_there() -> None:
    """Nothing can move before the battery is on again, the feed carries a lamp, parts are counted."""
    steps = told("way-back")
    on = at(steps, "battery on, plus first")
    assert at(steps, "Chock and block") < on and at(steps, "key tagged") < on
    assert at(steps, "volts without it less those with it at most 0.54 V") > on
    assert not any("outputs of this job" in step.text for step in steps)
    assert "12 barrels and sleeves" in steps[0].text


def test_the_way_back_counts_the_wire_in_service_too() -> None:
    """14 wires of the old plug, a piece between both their ends, and the one that the T had cut."""
    first = demo_steps("way-back")[0].text
    assert "29 barrels and sleeves (14 for 0.35, 6 for 0.5, 8 for 0.75, 1 for 1.0 mm2)" in first


def test_faults_of_plugs_apart_are_cleared_before_anything_is_tried() -> None:
    """The ignition was on without the unit: without that nothing new could hardly pass."""
    work = told("work")
    assert at(work, "fault memory read, noted, cleared") < at(work, "blocks away, pressure back")
    assert at(work, "struck off one by one") < at(work, "nothing came back, nothing new")


def test_what_a_job_drives_is_called_its_outputs() -> None:
    """A buzzer hangs on one of them, and raises nothing."""
    (blocked,) = (step.text for step in told("job") if "Chock and block" in step.text)
    assert "what is raised (outputs of this job: unit.4 Buzzer relay out)" in blocked


def test_a_ground_is_not_watched_while_the_lights_burn() -> None:
    """What it loses by their current is the machine's, and is read under a lamp; one meter watches one wire at a time."""
    (block,) = (
        block
        for part in compose(tarp()).sections
        for block in part.blocks
        if isinstance(block, Steps) and block.title == "Volts, lights and every switch on"
    )
    assert block.lead.startswith("Every switch worked at one contact after another; ")
    assert "loom.2" not in block.lead and "loom.5" in block.lead


def demo_steps(key: str) -> list[Step]:
    """The steps of one section of the demo."""
    found = [each for each in compose(demo_given()).sections if each.key == key]
    return [step for section in found for step in steps_of(section)]


def test_it_is_said_which_wire_looks_like_which() -> None:
    """Two wires meet in J2, and only the loom's looks like others."""
    notes = {step.n: step.note for step in told("joints")}
    assert "loom.2 looks like loom.1: go by the flag" in notes["J2"]
    assert "unit.5 looks like loom.3: go by the flag" in notes["J2"]


def test_a_lamp_that_the_unit_switches_is_tried_by_itself_too() -> None:
    """unit.2 lights the tarp lamp: two outputs exchanged show only so."""
    work = told("work")
    assert at(work, "Lamp out (unit.2) on alone: Tarp lamp (loom.5) works and nothing else") > 1
    assert "unit.2" not in work[at(work, "struck off one by one")].text


def test_a_part_between_two_joints_is_laid_as_it_can_be() -> None:
    """Both leads leave on the unit's side, and the sleeves of J3 at 90 and J4 at 115 mm meet: nothing lies straight between."""
    given = demo_given()
    joints = [given.harness.joints[name] for name in ("bus-b-hi", "bus-b-lo")]
    for joint, leg in zip(joints, ("R1.a", "R1.b"), strict=True):
        right = joint_sides(joint, given.harness).right
        assert leg in [conductor.point for conductor in right]
    (note,) = (step.note for step in demo_steps("joints") if "R1 lies" in step.note)
    assert "R1 lies beside the sleeve of R1.b, 25 mm apart: R1.a straight, R1.b past that" in note
    assert "trimmed" not in note


@pytest.mark.parametrize(
    ("away_mm", "lies"), [(25, "beside the sleeve"), (60, "trimmed to lie straight")]
)
def test_a_part_lies_straight_only_where_there_is_room(
    away_mm: int, lies: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Leads that leave towards each other, sleeves of 29 mm."""
    given = demo_given()
    far = given.harness.joints["bus-b-lo"]

    def turned(joint: Joint, harness: Harness) -> JointSides:
        sides = joint_sides(joint, harness)
        return JointSides(sides.right, sides.left) if joint.id == far.id else sides

    size = given.joint_size(far.id)
    assert size is not None
    moved = replace(size, at_mm=90.0 + away_mm)
    real = Given.joint_size
    monkeypatch.setattr(joint_notes, "joint_sides", turned)
    monkeypatch.setattr(
        Given, "joint_size", lambda of, name: moved if name == far.id else real(of, name)
    )
    (note,) = (step.note for step in demo_steps("joints") if "R1 lies" in step.note)
    assert lies in note
