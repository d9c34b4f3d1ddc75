"""What the sheet wants of a reading is what a meter shows there, and nothing that no reading could miss."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from demo_jobs import DEMO
from sheet_cases import given_from, steps_of

from wiremap.content.compose import compose
from wiremap.content.fitted import FittedCard
from wiremap.content.gather import gather
from wiremap.content.given import Given
from wiremap.content.one_band import as_surveyed
from wiremap.content.outer_sleeve import outer_sleeves
from wiremap.content.pages.fitted_card import fitted_section
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.told_now import TOLD
from wiremap.evidence.expected import ZERO
from wiremap.graph import Harness
from wiremap.model import Address, OnOff, Span, frozen
from wiremap.ringout.before_start import before_start
from wiremap.ringout.unstated import unstated_buses, unstated_loads
from wiremap.survey.loaded import loaded_tests
from wiremap.survey.own_ground import OwnGrounds

OLD = """title: Old plug
cavities:
  1: {signal: Plus logic, function: permanent-supply, volts: 12, amps: 3, flow: to-unit, wire: 1.0 red}
  2: {signal: Plus outputs, function: switched-supply, volts: 12, amps: 5, flow: to-unit, wire: 1.5 red}
  3: {signal: Ground outputs, function: power-ground, volts: 0, amps: 5, wire: 1.5 brown}
  4: {signal: Ground logic, function: power-ground, volts: 0, amps: 3, wire: 1.0 brown}
  5: {signal: Buzzer relay, function: low-side-drive, volts: 12, amps: 0.2, flow: from-unit, wire: 0.5 blue}
  6: {signal: Lamp, function: lamp-feed, volts: 12, amps: 1, flow: from-unit, wire: 0.5 white}
  7: {signal: Level, function: analogue-input, flow: to-unit, wire: 0.5 grey}
  8: {signal: Bus high, function: can-high, pair: a, wire: 0.5 yellow}
  9: {signal: Bus low, function: can-low, pair: a, wire: 0.5 green}
"""
NEW = OLD.replace("Old plug", "New plug").replace("Plus", "Feed").replace("Ground", "Earth")
JOINS = "".join(f"  - {{id: c{n}, join: [old.{n}, new.{n}]}}\n" for n in range(1, 10))
JOB = (
    "title: Nine wires\nid: nine\nrevision: 1\nsupply: {volts: 12, min_volts: 10, max_volts: 15}\nends:\n"
    "  old: {pinout: old.yaml, is: cut-tail, side: machine, tail_mm: 400, fed: {1: {fuse: F1, fuse_amps: 5}}}\n"
    "  new: {pinout: new.yaml, is: pigtail, side: unit, tail_mm: 400}\n"
    f"runs: [{{between: [old, new], mm: 600}}]\ncircuits:\n{JOINS}"
)


def nine(folder: Path, old: str = OLD, new: str = NEW, *, more: str = "", job: str = JOB) -> Given:
    """A splice of nine wires: two feeds with a ground each, loads that nobody states."""
    return given_from(folder, job + more, old=old, new=new)


def part(given: Given, key: str) -> list[Step]:
    """The steps of one section."""
    made = compose(given, print_held=True).sections
    return steps_of(next(each for each in made if each.key == key))


def at(steps: list[Step], address: str) -> list[Step]:
    """The steps that are read there."""
    return [step for step in steps if step.at.split(" ")[0] == address]


# -- a lamp over a feed and its own ground ----------------------------------------------------------


def test_before_the_cut_the_lamp_stands_over_the_feeds_own_ground(tmp_path: Path) -> None:
    """Not over the first ground of the plug; a feed that comes with the ignition has its turn with it on."""
    given = nine(tmp_path)
    found = [(test.supply, test.ground, test.key) for test in loaded_tests(given.job)]
    assert found == [
        (Address("old", "1"), Address("old", "4"), None),
        (Address("old", "2"), Address("old", "3"), OnOff.ON),
    ]
    rows = [s for s in part(given, "survey") if "between them" in s.text]
    assert [s.text.startswith("ignition on, ") for s in rows] == [False, True]


@pytest.mark.parametrize("function", ["start-supply", "wake"])
def test_no_lamp_hangs_on_a_starters_feed_or_a_wake_line(tmp_path: Path, function: str) -> None:
    """Nobody cranks an engine for a lamp; a wake line feeds none."""
    given = nine(tmp_path, OLD.replace("switched-supply", function))
    assert [test.supply for test in loaded_tests(given.job)] == ["old.1"]


@pytest.mark.parametrize(
    ("old", "new", "own"),
    [
        ("serves: [1], ", "", "3"),  # a paper says so of the machine's ground
        ("", "serves: [1], ", "3"),  # or of the unit's, which this one is joined with
        ("serves: [2], ", "", "4"),
        ("", "", "4"),  # else the names tell
    ],
)
def test_what_a_paper_says_of_a_ground_goes_before_its_name(
    tmp_path: Path, old: str, new: str, own: str
) -> None:
    """On either side of the joint."""
    plain = "function: power-ground, volts: 0, amps: 5"
    given = nine(tmp_path, OLD.replace(plain, old + plain), NEW.replace(plain, new + plain))
    assert loaded_tests(given.job)[0].ground == Address("old", own)


def test_grounds_that_nothing_tells_apart_are_all_its_own(tmp_path: Path) -> None:
    """The words that every ground bears tell nothing."""
    old, new = (text.replace(" logic", "").replace(" outputs", "") for text in (OLD, NEW))
    grounds = [Address("old", "3"), Address("old", "4")]
    assert OwnGrounds(nine(tmp_path, old, new).job).own(Address("old", "1"), grounds) == grounds
    assert OwnGrounds(nine(tmp_path).job).own(Address("old", "1"), grounds) == grounds[1:]


def test_at_first_power_each_ground_carries_its_own_feeds_lamp_once(tmp_path: Path) -> None:
    """The feed that comes with the ignition has its ground then; none is lit a second time."""
    lit = [(s.red, s.black) for s in nine(tmp_path).power if "burns fully" in s.do]
    assert lit == [("new.1", "new.4"), ("new.2", "new.3")]


# -- bands that mean something ----------------------------------------------------------------------


def test_a_load_on_the_plus_side_may_read_anything_but_a_short(tmp_path: Path) -> None:
    """Its other end is fed: what lies there is not known, but nothing less than its own coil."""
    (ohms,) = (s for s in at(part(nine(tmp_path), "survey"), "old.5") if s.unit == "Ω")
    assert ohms.want == "over 1.4 Ω"


def wanted_as(block: Steps) -> bool:
    """Whether something in a block is wanted as it was."""
    return any(step.want.startswith("as S") for step in block.steps)


def test_a_line_that_the_machine_holds_is_wanted_as_it_was(tmp_path: Path) -> None:
    """No band from nothing to all that the battery gives: the row of the survey, until it is in the notebook."""
    given = nine(tmp_path)
    rows = {s.n: (s.at, s.want) for s in part(given, "survey")}
    wanted = [s.want for s in at(part(given, "power"), "new.5")]
    named = [want.removeprefix("as ").removesuffix(", on the tag") for want in wanted]
    assert named == [f"S{row.n}" for row in as_surveyed(given).values()]
    assert [rows[name] for name in named] == [("old.5", "at most 15 V")] * 2
    first = next(s for s in compose(given, print_held=True).sections if s.key == "power")
    leads = [b.lead for b in first.blocks if isinstance(b, Steps) and wanted_as(b)]
    assert leads and all("within 0.5 V or 10 % of it" in lead for lead in leads)
    words = "on the ignition key's tag"
    tagged = {s.n for s in part(given, "survey") if words in s.text and s.n[0] == "S"}
    assert tagged == {*named, *(n for n, row in rows.items() if row[0] == "old.8 – old.9")}


@pytest.mark.parametrize(
    ("volts", "most"), [("", None), ("volts: 12, ", None), ("volts: [0, 5], ", 5.5)]
)
def test_a_switch_of_the_machine_may_be_closed(
    tmp_path: Path, volts: str, most: float | None
) -> None:
    """Its wire shows plus or nothing: as before the cut, and never more than the input is made for."""
    plain = "function: analogue-input, "
    old, new = (text.replace(plain, f"function: digital-input, {volts}") for text in (OLD, NEW))
    steps = [s for s in nine(tmp_path, old, new).power if s.red == "new.7" and s.stage == "volts"]
    assert [(s.key, s.high) for s in steps] == [(OnOff.ON, most)]


@pytest.mark.parametrize(
    ("said", "moves"),
    [
        ("Level, function: analogue-input", "unmoved: old.5, old.7"),
        ("Door, function: digital-input", "changed by its own switch or door alone: old.7"),
        ("Seven, function: unknown", ""),
    ],
)
def test_a_switch_moves_while_switches_are_tried(tmp_path: Path, said: str, moves: str) -> None:
    """What tells a unit how a switch stands is not wanted unmoved; of the unknown nothing is."""
    old = OLD.replace("Level, function: analogue-input", said)
    made = compose(nine(tmp_path, old), print_held=True).sections
    blocks = next(each for each in made if each.key == "survey").blocks
    (sweep,) = (b for b in blocks if isinstance(b, Steps) and "every switch on" in b.title)
    assert moves in sweep.lead and ("old.7" in sweep.lead) == bool(moves)


@pytest.mark.parametrize(("read", "band"), [(0.0, ZERO), (12.4, None)])
def test_what_was_read_before_the_cut_is_its_band(
    tmp_path: Path, read: float, band: Span | None
) -> None:
    """Nothing stays nothing; the machine's volts within a tenth or so."""
    (tmp_path / "seen.yaml").write_text(
        "wiremap: notebook/1\nentries:\n"
        f"  - {{kind: survey, red: old.5, black: battery minus, volts: {read}, key: on, by: K, date: 2026-01-02}}\n",
        encoding="utf-8",
    )
    given = nine(tmp_path, more="readings: [seen.yaml]\n")
    (step,) = (
        s for s in given.power if s.red == "new.5" and s.key == OnOff.ON and s.stage == "volts"
    )
    assert step.low is not None and step.high is not None
    assert step.low <= read <= step.high and not step.low <= 12.4 - read <= step.high
    assert band is None or (step.low, step.high) == (band.low, band.high)


def test_each_row_of_what_the_notebook_lacks_is_called_not_read_yet(tmp_path: Path) -> None:
    """Also one that is only noted: the head of the page counts the cavity and promises the words."""
    (tmp_path / "seen.yaml").write_text(
        "wiremap: notebook/1\nentries:\n"
        "  - {kind: survey, red: old.1, black: battery minus, volts: 12.4, key: off, by: K, date: 2026-01-02}\n",
        encoding="utf-8",
    )
    given = nine(tmp_path, more="readings: [seen.yaml]\n")
    rows = {s.n: s for s in part(given, "survey") if s.n[:1] == "S"}
    owed = [n for n, step in rows.items() if "not read yet" in step.text]
    assert given.survey is not None
    lacking = set(given.not_surveyed)
    assert owed == [f"S{r.n}" for r in given.survey.rows if lacking & {r.red, r.black}]
    assert any(rows[n].want == "at most 15 V" for n in owed) and len(owed) < len(rows)


# -- loads that nobody states -----------------------------------------------------------------------


def test_a_load_of_which_nobody_states_the_ohms_is_unplugged_for_the_ring_out(
    tmp_path: Path,
) -> None:
    """Else silence is wanted where a lamp is found; it is plugged in again before the battery comes."""
    given = nine(tmp_path)
    assert given.unstated_loads == ("old.5", "old.6", "old.7")
    first = " ".join(f"{s.text} {s.note}" for s in part(given, "ringout")[:3])
    assert "Lamp (old.6)" in first and "far end" in first
    rows = {s.n: s.at for s in part(given, "survey")}
    (note,) = (s.note for s in part(given, "ringout") if "that cannot be" in s.note)
    entered = [word.strip(",") for word in note.split() if word.strip(",") in rows]
    assert {rows[n].split(" ")[0] for n in entered} == {"old.5", "old.6"}
    assert "old.5 or old.6 that cannot be" in note
    assert any("old.5, old.6, old.7" in s.text for s in part(given, "stop-battery"))
    assert any("old.5, old.6, old.7" in line for line in before_start(given.harness))


def test_a_load_that_a_paper_states_stays_in(tmp_path: Path) -> None:
    """Its ohms are wanted where it is read."""
    given = nine(tmp_path, OLD + "behind: [{between: [6, chassis], ohms: 6}]\n")
    assert given.unstated_loads == ("old.5", "old.7")
    assert unstated_loads(given.harness, "adapter") == ()


def test_a_load_that_the_survey_found_stays_in(tmp_path: Path) -> None:
    """What was read behind the loom is wanted again where it is read: nothing is unplugged for it."""
    (tmp_path / "read.yaml").write_text(
        "wiremap: notebook/1\nentries:\n"
        "  - {kind: survey, red: old.6, black: battery minus, seen: 2, by: K, date: 2026-01-02}\n",
        encoding="utf-8",
    )
    given = nine(tmp_path, more="readings: [read.yaml]\n")
    assert given.unstated_loads == ("old.5", "old.7")


def test_terminators_that_nobody_states_are_read_before_the_cut(tmp_path: Path) -> None:
    """They cannot be unplugged: what the survey showed is right again."""
    given = nine(tmp_path)
    assert unstated_buses(given.harness, "splice-in") == (("old.8", "old.9"),)
    (told,) = (s for s in part(given, "ringout") if s.at == "old.8 – old.9" and s.slot is Slot.NONE)
    (row,) = (s.n for s in part(given, "survey") if s.at == "old.8 – old.9")
    assert f"{row}, on the ignition key's tag, is right" in told.text
    behind = "behind: [{between: [8, 9], ohms: 60}]\n"
    stated = given_from(tmp_path, JOB, old=OLD + behind, new=NEW)
    assert unstated_buses(stated.harness, "splice-in") == ()


def test_what_is_parted_for_a_reading_is_named(tmp_path: Path) -> None:
    """The lamp is unplugged, the ground unbolted: each reading says which."""
    behind = (
        "behind: [{between: [6, chassis], ohms: [0.3, 2]}, {between: [4, chassis], ohms: 0.2}]\n"
    )
    given = nine(tmp_path, OLD + behind)
    steps = part(given, "ringout")
    assert any("Lamp (old.6) unplugged at its far end" in s.text for s in steps)
    assert any("Ground logic (old.4) off its bolt" in s.text for s in steps)
    assert not any("parted outside" in s.text for s in steps)


# -- one figure for one thing ------------------------------------------------------------------------


def test_an_outer_sleeve_is_as_long_wherever_it_is_told(tmp_path: Path) -> None:
    """Cut longer by what it loses in shrinking, 15 % at most of those tabled; it waits on the unit's tail."""
    given = nine(tmp_path, job=JOB.replace("side: unit, tail_mm: 400", "side: unit, tail_mm: 1100"))
    (over,) = outer_sleeves(given)
    assert over.cut_mm * 0.85 >= over.long_mm > (over.cut_mm - 2) * 0.85
    (laid,) = (s.text for s in part(given, "parts") if "outer sleeve" in s.text)
    assert f"cut {over.cut_mm} mm long, {over.long_mm} mm once shrunk" in laid
    (slid,) = (s.text for s in part(given, "joints") if "outer sleeve" in s.text)
    assert f"cut {over.cut_mm} mm, and boot slid on: over the free end of new" in slid


def test_no_tube_is_slid_over_a_loom_that_is_cut_wire_by_wire(tmp_path: Path) -> None:
    """Its plug hangs on it until the last joint: where the unit's tail is too short, it is wrapped round."""
    given = nine(tmp_path)
    (over,) = outer_sleeves(given)
    assert not over.waits and not over.left_at_mm
    assert not any("slid on" in s.text for s in part(given, "joints"))
    told = [s.text for key in ("parts", "sleeves") for s in part(given, key)]
    assert sum("wrap-around sleeve" in text for text in told) == 2
    assert f", {over.long_mm} mm long" in " ".join(told) and "once shrunk" not in " ".join(told)


def test_rows_of_the_survey_are_not_named_where_they_tell(tmp_path: Path) -> None:
    """Nobody turns back for them: the count that is carried says that none is wrong."""
    told = [s for s in part(nine(tmp_path), "survey") if TOLD in s.text]
    assert told and all(s.slot is Slot.BOX for s in told)
    assert not any("S1" in s.text for s in told)


@pytest.mark.parametrize(("job", "changes"), [("job.yaml", True), ("adapter/job.yaml", True)])
def test_colours_change_at_joints_alone(job: str, changes: bool) -> None:
    """The demo's adapter has one; without any the card speaks of none."""
    given, _ = gather(DEMO / job)
    assert given is not None
    joints = replace(given, harness=without_joints(given.harness))
    for each, at_joints in ((given, changes), (joints, False)):
        section = fitted_section(each)
        assert section is not None
        (card,) = section.blocks
        assert isinstance(card, FittedCard)
        told = " ".join(line.text for piece in card.left for line in piece.lines)
        assert ("at the joints" in told) == at_joints and "flag and cavity" in told


def without_joints(harness: Harness) -> Harness:
    """The harness of the same job, its circuits from contact to contact alone."""
    whole = tuple(c for c in harness.job.circuits if not any(map(harness.joints_at, c.join)))
    return Harness(replace(harness.job, circuits=whole, not_joined=frozen()))


def test_an_adapter_without_joints_speaks_of_none(tmp_path: Path) -> None:
    """The demo's has one, and no tie goes on it."""
    mates = JOB.replace("cut-tail", "mate").replace("pigtail", "mate").replace(", tail_mm: 400", "")
    wires = mates.replace("runs: [{between: [old, new], mm: 600}]\n", "").replace(
        "]}\n", "], wire: 1.5 red, length_mm: 300}\n"
    )
    given = nine(tmp_path, job=wires)
    assert given.adapter and not any("joint" in s.text for s in part(given, "sleeves"))
    demo, _ = gather(DEMO / "adapter/job.yaml")
    assert demo is not None and any("no tie on a joint" in s.text for s in part(demo, "sleeves"))


@pytest.mark.parametrize(
    ("supply", "want"),
    [
        ("{volts: 12, min_volts: 10, max_volts: 15}", "12 to 13.2 V"),
        ("{volts: 24}", "24 to 26.4 V"),
    ],
)
def test_a_flat_battery_does_not_pass_its_stop(tmp_path: Path, supply: str, want: str) -> None:
    """Whoever stands at the stop reads the battery at rest: 2.0 to 2.2 V a cell (common practice)."""
    job = JOB.replace("{volts: 12, min_volts: 10, max_volts: 15}", supply)
    steps = part(nine(tmp_path, job=job), "stop-battery")
    assert [step.want for step in steps if step.unit == "V"] == [want]
