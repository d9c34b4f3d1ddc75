"""Each row of the sheet can fail, and has at hand what it is judged by: a fuse, a flag, a coil, a current."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from demo_jobs import DEMO
from sheet_cases import demo_given, steps_of
from test_sheet_readings import JOB, NEW, OLD, nine, part
from test_sheet_tarp import at, tarp, told

from wiremap.content.cautions import caution_steps
from wiremap.content.compose import compose
from wiremap.content.face_pieces import FaceBlock
from wiremap.content.gather import gather
from wiremap.content.given import Given
from wiremap.content.pages.stop_sleeves import sleeves_stop
from wiremap.content.pieces import Ledger, LeftOutRow, Warning
from wiremap.content.read_here import is_told, untold
from wiremap.content.steps import Slot, Step, Steps, TwoNames
from wiremap.content.told_how import told_how
from wiremap.content.words import few, folded
from wiremap.evidence.probe_points import kind_of
from wiremap.mistakes.drawn import drawn_of
from wiremap.mistakes.face_read import face_reads
from wiremap.model import Stop
from wiremap.ringout.sentinels import first_to_tell
from wiremap.sizing.stagger import lengths_to_cut
from wiremap.survey.alike import Alike
from wiremap.survey.rows import survey

MATES = JOB.replace("cut-tail", "mate").replace("pigtail", "mate").replace("tail_mm: 400, ", "")
ONE_WIRE = (
    "title: t\nid: t\nrevision: 1\nsupply: {volts: 12}\nends:\n"
    "  old: {pinout: old.yaml, is: cut-tail, side: machine, tail_mm: 400}\n"
    "  new: {pinout: new.yaml, is: pigtail, side: unit, tail_mm: 400}\ncircuits:\n"
    "  - {id: c1, join: [old.1, new.1]}\n"
)
FACED = (
    "half: wired\nconnector: {shell: big, contacts: socket, face: {view: mating, key: top, "
    "rows: [[1, 2, 3, 4, 5, 6, 7, 8, 9]]}}"
)
MATES = MATES.replace(", tail_mm: 400", "").replace("runs: [{between: [old, new], mm: 600}]\n", "")


def demo_told(key: str) -> list[Step]:
    """The steps of one section of the demo."""
    return [s for each in compose(demo_given()).sections if each.key == key for s in steps_of(each)]


# -- before the cut -------------------------------------------------------------------------------


def test_each_fuse_is_pulled_once_and_its_wire_goes_dead() -> None:
    """While the ignition is on, before the battery is off: with it off every wire is dead, whichever fuse was pulled."""
    steps = told("survey")
    pulled = [step for step in steps if "nothing else feeds it" in step.text]
    assert [step.at for step in pulled] == ["loom.1 – chassis", "loom.3 – chassis"]
    assert [step.text.split(", which sits at")[0] for step in pulled] == ["F3 7.5 A", "F8 5 A"]
    assert all(step.want == "under 0.1 V" and step.slot is Slot.BLANK for step in pulled)
    on, off = at(steps, "Ignition on."), at(steps, "all still asleep")
    assert all(on < steps.index(step) < off for step in pulled)
    titles = [
        block.title
        for each in compose(tarp()).sections
        for block in each.blocks
        if isinstance(block, Steps) and pulled[0] in block.steps
    ]
    assert titles == ["Its own fuse out, ignition still on"]


def test_fuses_are_out_before_the_first_wire_is_cut() -> None:
    """Where each sits was written down as it was pulled for its reading."""
    stop = [block for each in compose(demo_given()).sections for block in each.blocks]
    (cut,) = (block for block in stop if isinstance(block, TwoNames) and block.stop is Stop.CUT)
    assert cut.steps[0].text.endswith(
        "as is any other source; out now, if one is still in: F7 10 A, socket fuse 15 A."
    )
    pulled = [step.text for step in demo_told("survey") if "nothing else feeds it" in step.text]
    assert pulled and all("which sits at ________, out: dead" in text for text in pulled)
    (out,) = (step.text for step in demo_told("survey") if "it stays out" in step.text)
    assert "socket fuse 15 A, which sits at ________, taken out" in out


def test_every_breakout_lead_comes_out_again() -> None:
    """That of the wire in service once its T is read, that of the old plug as this is kept."""
    (whole,) = (step.text for step in demo_told("ringout") if "the T is whole" in step.text)
    assert "breakout lead in, then out for good" in whole
    (kept,) = (step.text for step in demo_told("keep") if step.text.startswith("old plug"))
    assert "breakout lead out of it" in kept


def test_a_crimp_and_a_colour_are_doubted_first() -> None:
    """A die is proved before the first crimp that stays; a wire of another colour is not cut; a stud is greased."""
    (joints,) = (each for each in compose(demo_given()).sections if each.key == "joints")
    assert "Another colour than the one told: stop before it is cut" in joints.lead
    assert any(step.text.startswith("A sample crimp") for step in demo_told("parts"))
    assert any("grease over it" in step.text for step in demo_told("ringout"))


def test_a_wire_that_its_own_switch_feeds_is_live_first() -> None:
    """The lamps of the demo's adapter: with the switch off they are dead, whichever fuse is out."""
    given, _ = gather(DEMO / "adapter" / "job.yaml")
    assert given is not None
    pulled = {s.at: s.text for s in part(given, "survey") if "nothing else feeds it" in s.text}
    assert pulled["lamp.1 – chassis"].startswith("live first, by its own switch if it has one; F11")
    assert given.survey is not None and not given.survey.alike  # no load hangs behind a feed


def test_a_fuse_without_a_name_is_found_so(tmp_path: Path) -> None:
    """The job does not name it: the one whose wire goes dead."""
    given = nine(tmp_path)
    (found,) = (
        s for s in part(given, "survey") if "found so, which sits at ________, out: dead" in s.text
    )
    assert found.at == "old.2 – chassis"


def test_loads_of_which_one_is_unstated_are_told_apart_by_hand() -> None:
    """A coil of 1.4 ohm and more and a lamp of any ohms read alike, whatever they are: their wires could be exchanged."""
    (alike,) = (step for step in told("survey") if "struck off each" in step.text)
    assert alike.text.startswith("Unplug one load after another, see which contact opens")
    assert alike.text.endswith(": loom.4 Warning buzzer relay, loom.5 Tarp lamp")
    assert alike.slot is Slot.BOX  # one that shows at another's contact leaves it empty
    rows = told("survey")
    assert rows.index(alike) < at(rows, "told by these readings")


def test_loads_that_read_alike_by_way_of_a_third_are_one_group(tmp_path: Path) -> None:
    """One of any ohms overlaps all; of two switches the hand moves one, never unplugged with the loads."""
    old = (
        "title: Old plug\ncavities:\n"
        "  1: {signal: Valve, function: high-side-drive, ohms: 7, wire: 0.5 white}\n"
        "  2: {signal: Lamp, function: lamp-feed, wire: 0.5 blue}\n"
        "  3: {signal: Coil, function: high-side-drive, ohms: 70, wire: 0.5 grey}\n"
    )
    made = survey(nine(tmp_path, old, old.replace("Old", "New"), job=ONE_WIRE).job)
    assert [each.points for each in made.alike] == [("old.1", "old.2", "old.3")]


def test_two_sensor_supplies_without_returns_of_their_own_are_told_apart_by_hand() -> None:
    """Exchanged they read alike to the one return; where the names tell whose each is, the other's return tells."""
    plug = (
        "title: t\nhalf: wired\ncavities:\n"
        "  1: {{signal: Plus {one}, function: sensor-supply, volts: 5, wire: 0.5 green}}\n"
        "  2: {{signal: Plus {two}, function: sensor-supply, volts: 5, wire: 0.5 white}}\n"
        "  3: {{signal: Return {one}, function: sensor-return, volts: 0, wire: 0.5 blue}}\n"
        "  4: {{signal: Return {two}, function: sensor-return, volts: 0, wire: 0.5 pink}}\n"
    )
    for one, two, alike in (("", "", ("old.1", "old.2")), ("A", "B", None)):
        with TemporaryDirectory() as folder:
            text = plug.format(one=one, two=two)
            made = survey(nine(Path(folder), text, text, job=ONE_WIRE).job)
        assert [each.points for each in made.alike] == ([alike] if alike else [])
        assert all("unplug one sensor after another" in each.how for each in made.alike)


def test_another_lamp_has_another_limit() -> None:
    """Volts are lost in proportion to the current: a lamp of 10 W under the limit of 21 W hides half of a fault."""
    titles = [b for s in compose(tarp()).sections for b in s.blocks if isinstance(b, Steps)]
    (before,) = (block for block in titles if block.title.startswith("Under load"))
    assert "half the watts, half the volts" in before.lead
    (lamp,) = (s for s in told("power") if "burns fully" in s.text)
    assert "of another lamp the limits go by its watts" in lamp.note


def test_the_sleep_current_waits_till_the_units_sleep() -> None:
    """They run on after the ignition is off: read at once, the figure is that of a machine awake."""
    for steps in (told("survey"), demo_told("survey")):
        (asleep,) = (s for s in steps if s.unit == "A")
        assert "wait till the current falls no more (up to 75 min)" in asleep.text


def test_no_wire_is_cut_that_no_reading_tells() -> None:
    """loom.6 reads under 0.1 V whatever it is: its caution and its joint ask for the same, a person who says it."""
    (caution,) = (
        b for each in compose(tarp()).sections for b in each.blocks if isinstance(b, Warning)
    )
    read, untold = caution.lines[-2:]
    assert read.startswith("Not surveyed: loom.4, loom.5. Do not cut")
    assert "tells what it is: loom.6. Do not cut before a named person has said it." in untold
    (asked,) = (s for s in told("joints") if s.at == "loom.6")
    assert "no reading of this sheet tells what it is: what it is, and who says so" in asked.text
    assert asked.slot is Slot.LINE and "till then not cut" in asked.text
    names = [s.n for s in told("joints")]
    assert names[names.index(asked.n) + 1] == "J6"


def test_what_the_machine_and_the_unit_bring_to_a_bus_stand_together(tmp_path: Path) -> None:
    """Under each other, at the face of the unit's own plug; the caution on the first page has no blank of its own."""
    given = nine(tmp_path, new=NEW.replace("cavities:", f"{FACED}\ncavities:"), job=MATES)
    steps = part(given, "survey")
    rows = [s for s in steps if s.n.startswith("S") and s.unit == "Ω"]
    assert [s.at for s in rows[-2:]] == ["old.8 – old.9", "new.8 – new.9"]
    blocks = next(s for s in compose(given, print_held=True).sections if s.key == "survey").blocks
    where = next(n for n, b in enumerate(blocks) if isinstance(b, Steps) and rows[-1] in b.steps)
    face = blocks[where - 1]
    assert isinstance(face, FaceBlock) and face.name == "new"
    terminators = [s for s in part(given, "job") if "terminators" in s.text]
    assert all(
        s.slot is Slot.NONE and s.text.endswith("in the unit; ticked behind the survey's readings")
        for s in terminators
    )


def test_an_adapter_asks_of_a_person_once_what_no_reading_tells(tmp_path: Path) -> None:
    """Where the line for it is: the first page does not send there."""
    plug = OLD + "  10: {signal: Sensor plus, function: sensor-supply, volts: 5, wire: 0.5 pink}\n"
    job = MATES + "  - {id: c10, join: [old.10, new.10]}\n"
    given = nine(tmp_path, plug, plug.replace("Old", "New"), job=job)
    assert untold(given) == ["old.7", "old.10"]
    asked = [s for s in part(given, "not-judged") if "not mated before a named" in s.text]
    (row,) = asked
    assert row.slot is Slot.BLANK
    assert "; old.7, old.10: no reading of this sheet tells it: not mated" in row.text
    first = next(s for s in compose(given, print_held=True).sections if s.key == "job")
    lines = [line for b in first.blocks if isinstance(b, Warning) for line in b.lines]
    assert not [line for line in lines if "named person" in line]
    (unread,) = (line for line in lines if line.startswith("Not surveyed"))
    assert "old.10" in unread  # as the head of the page counts them


def test_as_many_rows_are_not_judged_as_the_head_counts(tmp_path: Path) -> None:
    """What readings tell of some contacts and a person of others is one row, not two."""
    plug = OLD + "  10: {signal: Sensor plus, function: sensor-supply, volts: 5, wire: 0.5 pink}\n"
    job = MATES + "  - {id: c10, join: [old.10, new.10]}\n"
    for given in (tarp(), nine(tmp_path, plug, plug.replace("Old", "New"), job=job)):
        mixed = next(each.left for each in told_how(given) if each.ways > 1)
        named = [s for s in part(given, "not-judged") if s.at == few(mixed.subject)]
        assert [s.text.partition(";")[0] for s in named] == [mixed.why]
    assert len(part(tarp(), "not-judged")) == len(tarp().not_judged)


def test_ohms_that_go_on_over_a_page_say_again_how_they_are_read() -> None:
    """Volts first, leads and all: the heading stands on each page, as over the volts."""
    blocks = next(s for s in compose(tarp()).sections if s.key == "survey").blocks
    again = [b.title for b in blocks if isinstance(b, Steps) and b.title_again]
    assert [title.split(",")[0] for title in again] == ["Volts", "Volts", "Ohms"]


def test_what_nobody_states_has_a_most_or_a_use(tmp_path: Path) -> None:
    """More volts than the machine's own supply gives come from elsewhere; of ohms it is said what they are for."""
    old = OLD.replace("Bus high, function: can-high, pair: a", "Odd, function: unknown")
    job = JOB.replace("max_volts: 15", "max_volts: 16")
    rows = [s for s in part(nine(tmp_path, old, old, job=job), "survey") if s.n.startswith("S")]
    volts = {s.at: s.want for s in rows if s.unit == "V"}
    assert volts["old.5"] == volts["old.8"] == "at most 16 V"
    noted = {s.at: s.text for s in rows if s.want == "note it"}
    assert noted["old.8 – chassis"].endswith("helps to name it")
    assert noted["old.6 – chassis"].endswith("told by hand below")  # it reads like the relay
    alone = OLD.replace("low-side-drive", "digital-input").replace(
        "flow: from-unit, wire: 0.5 b", "wire: 0.5 b"
    )
    (lamp,) = (
        s.text
        for s in part(nine(tmp_path, alone), "survey")
        if s.want == "note it" and s.unit == "Ω"
    )
    assert lamp.endswith("a bulb reads under 200 Ω, an LED lamp anything")


def test_many_contacts_are_named_whole_and_short(tmp_path: Path) -> None:
    """Runs of numbers end by end; cavities with nothing in them share a row of the map and of the parts."""
    names = [f"old.{n}" for n in (*range(1, 10), *range(14, 34))]
    assert few(names) == "old.1-9, 14-33"
    plug = OLD.replace("half: wired", "half: wired\nconnector: {sealed: true}")
    plug += "".join(f"  {n}: {{function: unused}}\n" for n in (20, 22, 23, 24))
    given = nine(tmp_path, plug, job=MATES)
    rows = [
        b
        for s in compose(given, print_held=True).sections
        for b in s.blocks
        if isinstance(b, LeftOutRow)
    ]
    assert ("old.20", "old.22", "old.23", "old.24") in [row.points for row in rows]
    assert folded(rows[-1].points) == "old.20, 22-24"


# -- joints and ring-out --------------------------------------------------------------------------


@pytest.mark.parametrize("given", [tarp, demo_given])
def test_flags_are_proved_at_the_first_wires_parted(given: object) -> None:
    """At a bare joint a wire is known by its flag: its piece on the old plug shows a face read from the wrong side."""
    assert callable(given)
    made: Given = given()
    steps = [s for each in compose(made).sections if each.key == "joints" for s in steps_of(each)]
    proved = [s for s in steps if "flagged by the right face" in s.text]
    assert proved and all(s.want == "beep" and s.slot is Slot.BOX for s in proved)
    drawn = drawn_of(made.harness, kind_of(made.harness))
    for mistake in face_reads(drawn, "loom"):
        seats = dict(mistake.seats)
        moved = [s for s in proved if seats.get(s.at, s.at) != s.at]
        assert moved, mistake
    for step in proved:  # before the crimp of its own joint, which comes right behind it
        behind = steps[steps.index(step) + 1 :]
        joint = next(s for s in behind if s.n.startswith("J"))
        assert step.at in [line.at for line in joint.lines]


def test_only_wires_that_tell_more_are_asked_for() -> None:
    """Each contact tells a misreading that none before it did; another plug's tells none of this one."""
    harness = demo_given().harness
    kind = kind_of(harness)
    found = first_to_tell(harness, "loom", [f"loom.{n}" for n in (6, 7, 1, 13)], kind)
    assert found[0] == "loom.6" and set(found) < {"loom.6", "loom.7", "loom.1", "loom.13"}
    assert first_to_tell(harness, "loom", ["donor.1"], kind) == []


def test_the_first_readings_name_the_plugs_that_they_tell_of() -> None:
    """The loom is probed at its joints, by its flags: of its face they tell nothing."""
    titles = {}
    for name, given in (("tarp", tarp()), ("demo", demo_given())):
        blocks = next(s for s in compose(given).sections if s.key == "ringout").blocks
        titles[name] = next(b.title for b in blocks if isinstance(b, Steps) and b.title)
    assert titles["tarp"] == "First: was unit read the wrong way round?"
    assert titles["demo"] == "First: was donor or gateway read the wrong way round?"


def test_another_load_behind_a_fuse_is_told_where_silence_is_asked() -> None:
    """The fuse out parts a wire from its source, not from what else hangs behind that fuse."""
    notes = [s.note for s in told("ringout") if "another load behind" in s.note]
    assert [note.split("another load behind ")[1] for note in notes] == [
        "F3 7.5 A, unplugged till the battery stop",
        "F8 5 A, unplugged till the battery stop",
    ]
    rows = [s for s in told("ringout") if "another load behind" in s.note]
    assert all(s.want == "silent" for s in rows)
    (both,) = (s.note for s in demo_told("ringout") if "another load behind" in s.note)
    assert both.endswith(
        "another load behind F7 10 A or socket fuse 15 A, unplugged till the battery stop"
    )


def test_loads_are_left_connected_or_unplugged_never_both() -> None:
    """What nobody states the ohms of is unplugged, all others stay."""
    first, second = told("ringout")[:2]
    assert "left connected" not in first.text
    assert second.text.startswith("Unplugged at its far end") and "all other sensors" in second.text
    assert "sensors, valves and terminators left connected" in demo_told("ringout")[0].text


def test_two_loads_in_a_row_pass_where_each_passes_by_itself() -> None:
    """1.4 and 6.1 ohm are right singly, leads and all: read in a row, 7.5 ohm is right too."""
    rows = {s.at.split(" – ")[0]: s.want for s in demo_told("ringout") if "joins" not in s.text}
    assert (rows["loom.3"], rows["loom.5"]) == ("6.1 to 9 Ω", "6.1 to 9 Ω")
    across = [s.want for s in demo_told("ringout") if s.at == "loom.4 – loom.3"]
    alone = [s.want for s in demo_told("ringout") if s.at == "loom.4 – the 11 clipped together"]
    assert (alone, across) == (["1.4 to 51.5 Ω"], ["7.5 to 60.5 Ω"])


def test_what_a_hand_tells_is_told() -> None:
    """A sensor worked by hand changes at its own contact: the first page asks nobody to say what it is."""
    given = tarp()
    assert given.survey is not None
    assert is_told(given, ("loom.5",)) and not is_told(given, ("loom.6",))
    moved = Alike(("loom.6",), 0.0, 1.0, "work it by hand")
    worked = replace(given, survey=replace(given.survey, alike=(moved,)))
    assert is_told(worked, ("loom.6",))


def test_a_diode_no_row_fits_is_not_laid_out() -> None:
    """Drawn into the job it is a part of the next print; this one says stop, and what it must bear."""
    assert not [s for s in told("parts") if "diode" in s.text]
    (coil,) = (s.text for s in caution_steps(tarp()) if "diode" in s.text)
    assert "with nothing: stop, first a diode drawn into the job" in coil
    assert "120 V or more" in coil


def test_the_way_back_lifts_a_guard_only_where_there_is_one() -> None:
    """A shut guard beeps two cavities together; where no loop is joined nobody looks for one."""
    (row,) = (s.text for s in demo_told("way-back") if "beeps to its own wire" in s.text)
    assert row.startswith("Guards lifted") and "guards shut" in row
    (row,) = (s.text for s in told("way-back") if "beeps to its own wire" in s.text)
    assert "guard" not in row.lower()


def test_a_run_may_lie_longer_by_slack_and_shorter_till_a_tie_comes_near() -> None:
    """Half the least slack of any joint stays; run short, the last joint meets the unit's tie at most."""
    (row,) = (s for s in demo_told("strip") if "else stop" in s.text)
    (run,) = demo_given().runs
    assert run.layout is not None
    least = min(cut.slack_mm for cut in lengths_to_cut(run.layout, run.window))
    last = max(joint.at_mm for joint in run.layout.placed)
    tie, _ = run.window.barred[-1]
    shortest, longest = (float(each) for each in row.want.removesuffix(" mm").split(" to "))
    assert longest == 390 + least / 2
    assert shortest == 390 - (tie - last)


def test_the_second_person_reads_supply_against_ground(tmp_path: Path) -> None:
    """Of all silences that one matters most, though the ring-out read it in a comb, behind that of a bus pair."""
    given = nine(tmp_path, job=MATES)
    assert given.plan is not None
    pair = next(p for p in given.probes if p.expect == "silent" and p.why and not p.state)
    pair = replace(pair, red=("old.8",), black=("old.9",))
    comb = replace(pair, red=("old.4",), black=("old.7", "old.1", "old.2"))
    stop = sleeves_stop(replace(given, plan=replace(given.plan, probes=(pair, comb))))
    (step,) = (s for s in steps_of(stop) if "second person" in s.text)
    assert (step.at, step.want) == ("old.4 – old.1", "silent")


# -- first power, at work, the way back -----------------------------------------------------------


def test_a_current_is_held_against_the_tag_in_its_own_column() -> None:
    """A tenth more, and at least a milliamp: a machine that sleeps at 2 mA does not fail for 0.3."""
    (row,) = (s for s in told("power") if s.unit == "A")
    assert row.want == "tag + 10 % or + 1 mA" and "whichever is more" in row.note


def test_what_the_job_adds_has_a_limit_where_no_paper_states_one() -> None:
    """The demo's new unit states none: of makers' figures for a whole machine, 30 mA for one added unit."""
    less = next(s for s in demo_told("work") if " less the last figure" in s.text)
    assert less.want == "at most 0.03 A"


def test_all_outputs_on_together_spare_what_must_not_stay_on() -> None:
    """A coil of short duty burns, a cylinder at its stop heats its valve."""
    (row,) = (s for s in demo_told("work") if "on together" in s.text)
    assert "none longer than it is made for, none against its stop" in row.text


def test_outputs_on_together_are_said_once(tmp_path: Path) -> None:
    """At each further fuse the same is on, no longer than before."""
    second = "fed: {1: {fuse: F1, fuse_amps: 5}, 2: {fuse: F2, fuse_amps: 7.5}}"
    given = nine(tmp_path, job=MATES.replace("fed: {1: {fuse: F1, fuse_amps: 5}}", second))
    first, again = (s.text for s in part(given, "work") if "on together" in s.text)
    assert "up to a minute" in first and "through F1 5 A" in first
    assert (
        again
        == "The same on together, no longer: current through F2 7.5 A, by a clamp on its wire."
    )


def test_the_way_back_bears_its_own_figures_and_tries_the_old_unit() -> None:
    """The lamp's limit, the volts of each wire; then the old unit is mated, battery off, and tried."""
    (table,) = (
        b
        for s in compose(tarp()).sections
        if s.key == "way-back"
        for b in s.blocks
        if isinstance(b, Ledger)
    )
    volts = {row[0]: row[-1] for row in table.rows}
    assert volts["loom.3"] == "under 0.1 | 10 to 15" and volts["loom.6"] == "under 0.1"
    assert volts["loom.4"] == "S3 | S8" and volts["loom.2"] == "– | under 0.1"
    steps = told("way-back")
    lamp, mated = at(steps, "a lamp of 21 W between them burns fully"), at(steps, "old unit mated")
    assert steps[lamp].text.endswith("those with it at most 0.54 V")
    tried = at(steps, "What the old unit did".lower())
    assert lamp < at(steps, "the volts of its row") < mated < tried
    assert "battery off" in steps[mated].text


def test_an_adapters_way_back_reads_before_the_plugs_are_closed(tmp_path: Path) -> None:
    """Nothing probes a plug that is mated: the lamp comes first, then what belongs on the machine's plug."""
    steps = part(nine(tmp_path, job=MATES), "way-back")
    mated = at(steps, "what was pulled off mated again")
    lamps = [n for n, s in enumerate(steps) if "burns fully" in s.text]
    assert lamps and max(lamps) < mated < at(steps, "it does again")
