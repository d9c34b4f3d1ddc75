"""What the sheet of an adapter asks of hands can be done as it stands, at the face that is there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from careful_job import UNIT, WIRED, careful
from sheet_cases import demo_given, read, steps_of

from wiremap.base import Accepted
from wiremap.content.cautions import closed_by_survey
from wiremap.content.compose import compose
from wiremap.content.face_pieces import FaceBlock
from wiremap.content.given import Given
from wiremap.content.one_band import loss_wanted
from wiremap.content.small_faces import machine_faces, small_faces, unit_faces
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.told_now import TOLD
from wiremap.model import PROBED_FROM, Contacts, KeyAt
from wiremap.sheet import pdf
from wiremap.survey.loaded import loaded_tests


def seen(block: FaceBlock) -> tuple[list[list[str]], KeyAt | None, Contacts | None]:
    """What one looks at in a drawn face: rows of names, its keyway, pins or sockets."""
    (view,) = block.views
    names = [[hole.name for hole in row if hole is not None] for row in view.rows]
    return names, view.key, view.contacts


def test_the_units_own_plug_is_drawn_as_the_half_that_mates(tmp_path: Path) -> None:
    """Its paper shows it, and so is it drawn; the adapter's half is its mirror, of the other kind."""
    given = careful(tmp_path)
    (own,) = unit_faces(given, {"new"})
    (ours,) = small_faces(given, {"new"}, PROBED_FROM)
    printed = [[str(n) for n in range(1, 7)], [str(n) for n in range(7, 13)]]
    turned = [row[::-1] for row in printed]
    assert seen(own) == (printed, KeyAt.RIGHT, Contacts.SOCKET)
    assert seen(ours) == (turned, KeyAt.LEFT, Contacts.PIN)


def test_of_every_plug_both_halves_are_drawn_as_they_mate(tmp_path: Path) -> None:
    """The machine's own half and the adapter's are as little alike as the unit's and ours."""
    given = careful(tmp_path)
    (machine,) = machine_faces(given)
    (ours,) = small_faces(given, {"old"}, PROBED_FROM)
    (names, key, contacts), (others, other_key, other) = seen(machine), seen(ours)
    assert [row[::-1] for row in names] == others
    assert {key, other_key} == {KeyAt.LEFT, KeyAt.RIGHT}
    assert {contacts, other} == {Contacts.PIN, Contacts.SOCKET}


def tells(given: Given) -> dict[tuple[str, ...], str]:
    """Which contacts are told apart by which deed."""
    assert given.survey is not None
    return {alike.points: alike.tell for alike in given.survey.alike}


def test_a_sensor_that_needs_volts_is_told_without_them(tmp_path: Path) -> None:
    """With the battery off no hand changes what it reads; one of stated ohms is worked by hand."""
    tell = tells(careful(tmp_path))["old.8", "old.9"]
    assert "by hand" not in tell and "beeps to chassis" in tell
    ohms = "".join(f"  - {{between: [{n}, 6], ohms: [200, 5000]}}\n" for n in (8, 9))
    stated = careful(tmp_path, old=f"{WIRED}behind:\n{ohms}")
    assert "by hand" in tells(stated)["old.8", "old.9"]


def test_a_sensor_of_no_told_return_is_read_to_each(tmp_path: Path) -> None:
    """Open at one return says nothing while the other was not tried."""
    given = careful(tmp_path)
    assert given.survey is not None
    read = [(row.red, row.black) for row in given.survey.block("ohms")]
    for sensor in ("old.8", "old.9"):
        assert [black for red, black in read if red == sensor] == ["old.6", "old.7"]
    served = WIRED.replace("Sensor return B, ", "Sensor return B, serves: [8, 9], ")
    given = careful(tmp_path, old=served)
    assert given.survey is not None
    read = [(row.red, row.black) for row in given.survey.block("ohms")]
    assert [black for red, black in read if red == "old.8"] == ["old.7"]


@pytest.mark.parametrize(("drawn", "all_on"), [(8, True), (6, True), (5.9, False), (4, False)])
def test_no_more_is_switched_on_together_than_the_unit_may_draw(
    tmp_path: Path, drawn: float, *, all_on: bool
) -> None:
    """Two valves of 3 A: all of them where the unit is stated to draw 6 A, never beyond it."""
    given = careful(tmp_path, drawn=drawn)
    open_yet = [f for f in given.findings if f.rule == "outputs-over-supply"]
    (step,) = (s for s in given.power if s.state == "outputs on together")
    assert bool(open_yet) is not all_on
    assert step.do.startswith("new.10 and new.11 on together") is all_on
    assert (f"of new at most {drawn:g} A" in step.do) is not all_on


def test_loads_over_their_fuse_are_never_all_on(tmp_path: Path) -> None:
    """What the fuse before the unit bears is the most that is asked for, signed or not."""
    given = careful(tmp_path, drawn=20)
    (step,) = (s for s in given.power if s.state == "outputs on together")
    assert step.do.startswith("new.10 and new.11 on together")
    heavy = WIRED.replace("amps: 3,", "amps: 9,")
    given = careful(tmp_path, drawn=20, old=heavy)
    assert any(f.rule == "outputs-over-fuse" for f in given.findings)
    (step,) = (s for s in given.power if s.state == "outputs on together")
    assert "of new at most 10 A by their papers (all come to 18 A)" in step.do
    alone = [s.do for s in given.power if "on alone" in s.do]
    assert len(alone) == 2 and all(", 9 A, on alone" in do for do in alone)


def test_what_the_machine_may_lose_leaves_the_share_of_our_wires(tmp_path: Path) -> None:
    """Longer wires of ours raise what the whole way may lose, never what the machine alone may."""
    limits, wholes = [], []
    for length_mm in (500, 2000, 4000):
        given = careful(tmp_path, length_mm=length_mm)
        (test,) = loaded_tests(given.job)
        wanted = loss_wanted(given, test)
        assert wanted is not None
        limits.append(wanted)
        wholes.append(round(sum(step.high or 0.0 for step in given.power if step.is_loss), 3))
    assert wholes == sorted(set(wholes)) and wholes[0] > limits[0]
    assert max(limits) - min(limits) <= 0.02  # rounded to what a meter shows


def rows(given: Given, key: str) -> list[Step]:
    """The steps of a section, stops among them."""
    return steps_of(next(s for s in compose(given, print_held=True).sections if s.key == key))


def test_the_count_of_a_stop_holds_every_row_of_it(tmp_path: Path) -> None:
    """It stands below what the second person says and reads, and says which boxes it means."""
    given = careful(tmp_path)
    keys = ("stop-sleeves", "stop-battery", "stop-mating", "sign")
    for key in keys:
        *others, last = [step for step in rows(given, key) if step.slot is not Slot.NONE]
        assert last.counts and "every box above this line" in last.text, key
        assert others and not any(step.counts for step in others), key


def test_the_first_page_says_what_is_counted(tmp_path: Path) -> None:
    """What wrong or left open means, and what becomes of the count once one is closed."""
    (job,) = (s for s in compose(careful(tmp_path), print_held=True).sections if s.key == "job")
    (lead,) = (b.lead for b in job.blocks if isinstance(b, Steps) and b.lead)
    assert "no tick" in lead and "not what is wanted" in lead and "closed later" in lead


def test_a_row_names_the_row_that_it_needs(tmp_path: Path) -> None:
    """The caution names the survey's rows that tell it, the unit's row that of the machine's pair."""
    given = careful(tmp_path)
    survey = rows(given, "survey")
    (pair,) = (step.n for step in survey if step.at == "old.3 – old.4")
    (own,) = (step for step in survey if step.at == "new.3 – new.4")
    assert own.note.startswith(f"With {pair}: ")
    (caution,) = (s for s in rows(given, "job") if "terminators of" in s.text)
    assert f"read at {pair} and {own.n} in the unit" in caution.text


def test_what_no_reading_tells_is_not_to_be_measured(tmp_path: Path) -> None:
    """Of what is known from a document alone the sensors' supply is said by a person, once."""
    given = careful(tmp_path)
    (caution,) = (s for s in rows(given, "job") if "from a document alone" in s.text)
    assert caution.text.endswith("; old.5: said by name below")
    (asked,) = (s for s in rows(given, "not-judged") if "named person" in s.text)
    assert "old.5" in asked.text and asked.slot is Slot.BLANK
    agreed = replace(given, not_judged=())  # two papers say so: no row of the survey ticks it
    (caution,) = (s for s in rows(agreed, "job") if "from a document alone" in s.text)
    assert caution.slot is Slot.LINE
    assert caution.text.endswith("; old.5: no reading of this sheet tells, only a signature")


def test_a_caution_that_the_survey_closes_is_ticked_behind_it_alone(tmp_path: Path) -> None:
    """Its readings stand pages later: with a line of its own the first page is turned back to."""
    given = careful(tmp_path)
    (caution,) = (s for s in rows(given, "job") if "from a document alone" in s.text)
    assert "read in the survey, ticked behind the survey's readings" in caution.text
    assert caution.slot is Slot.NONE
    (tick,) = (s for s in rows(given, "survey") if f"({caution.n})" in s.text)
    assert tick.slot is Slot.BOX and TOLD in tick.text
    signed = [
        f.accepted_as(Accepted(by="RK", date="2026-03-03", why="known")) for f in given.cautions
    ]
    closed = closed_by_survey(replace(given, findings=tuple(signed)))
    assert not closed  # nothing is left to read


def test_what_hands_lay_by_is_ticked_before_no_card_is_written(tmp_path: Path) -> None:
    """The card that asks where it is kept stands on a later page."""
    for given in (careful(tmp_path), demo_given()):
        kept = rows(given, "keep")
        assert kept and not any("card" in step.text for step in kept)


def test_a_lamp_on_the_way_back_is_told_as_at_first_power(tmp_path: Path) -> None:
    """Another load on its fuse lights it too: that is no short."""
    given = careful(tmp_path)
    (again,) = (s for s in rows(given, "way-back") if "no lamp burns on" in s.text)
    assert "a short, or another load on its fuse: unplugged till the fuse is in" in again.text
    assert "lights off" in again.text
    assert any("a short, or another load on its fuse: unplug" in step.why for step in given.power)


def test_the_count_behind_cut_up_pages_says_that_they_are_gone(tmp_path: Path) -> None:
    """The page that bears it lies on top by then."""
    for given in (careful(tmp_path), demo_given()):
        pages = [page.text for page in read(pdf(compose(given, print_held=True)))]
        cut = [n for n, text in enumerate(pages, 1) if "cut on the lines" in text]
        behind = [text for text in pages if "cut up)" in text]
        assert cut and len(behind) == 1
        assert f"what page {cut[0] - 1} carries ({cut[0]}" in " ".join(behind[0].split())


def test_several_points_say_how_they_are_read_on_their_own_page(tmp_path: Path) -> None:
    """The second ring-out does not send back to the first for it."""
    alone = careful(tmp_path)
    assert alone.plan is not None
    first, *_ = alone.second
    changed = replace(first, red=("old.1", "old.10"))
    several = replace(alone, plan=replace(alone.plan, second=(changed,)))
    leads = []
    for given in (alone, several):
        again = next(s for s in compose(given, print_held=True).sections if s.key == "sleeves")
        (block,) = (b for b in again.blocks if isinstance(b, Steps) and "Second" in b.title)
        leads.append(block.lead)
    assert not leads[0]
    assert "behind a dash" in leads[1] and "one after the other" in leads[1]


def test_the_way_back_needs_no_other_page(tmp_path: Path) -> None:
    """Made safe before anything, with the machine's own face and how a lamp's volts are taken."""
    given = careful(tmp_path)
    (way,) = (s for s in compose(given, print_held=True).sections if s.key == "way-back")
    faces = [block for block in way.blocks if isinstance(block, FaceBlock)]
    assert [seen(face) for face in faces] == [seen(face) for face in machine_faces(given)]
    steps = steps_of(way)
    assert steps[0].text.startswith("Chock and block") and "pressure off" in steps[0].text
    assert not any("Chock" in step.text for step in steps[1:])
    (lamp,) = (step for step in steps if step.at == "old.1 – old.2")
    assert "the volts without it less those with it" in lamp.text
    assert way.whole and way.faces_again


def test_the_way_back_of_a_splice_stays_one_page() -> None:
    """It lies in the bag by itself; the plug that was cut is in the hand there, wire by wire."""
    pages = [page.text for page in read(pdf(compose(demo_given()))) if "The way back" in page.text]
    assert len(pages) == 1 and "Faults cleared" in pages[0]


def test_a_diode_lies_by_what_its_output_switches(tmp_path: Path) -> None:
    """Cathode to the plus side of the coil: the output's wire, or the feed where it switches ground."""
    (plus,) = (s for s in rows(careful(tmp_path), "job") if "look at each coil" in s.text)
    assert plus.text.endswith("cathode to the output's wire")
    drives = {"Valve left, function: high": "Valve left, function: low"}
    old, unit = WIRED, UNIT
    for one, other in drives.items():
        old, unit = old.replace(one, other), unit.replace(one, other)
    (both,) = (
        s for s in rows(careful(tmp_path, old=old, new=unit), "job") if "each coil" in s.text
    )
    assert (
        "the feed of the coil (new.10)" in both.text and "the output's wire (new.11)" in both.text
    )


def test_an_open_coil_of_an_adapter_is_found_out_before_a_plug_is_mated(tmp_path: Path) -> None:
    """Nothing is cut into a machine whose plugs are only parted."""
    sinks = (paper.replace("high-side-drive", "low-side-drive") for paper in (WIRED, UNIT))
    given = careful(tmp_path, **dict(zip(("old", "new"), sinks, strict=True)))
    notes = [s.note for s in rows(given, "survey") if s.note.startswith("OL, and under")]
    assert notes and all("found out before a plug is mated" in note for note in notes)


def test_a_caution_of_what_a_unit_draws_asks_what_a_hand_can_write(tmp_path: Path) -> None:
    """No word of a file on paper: which outputs are never on together."""
    given = careful(tmp_path, drawn=4)
    (asked,) = (s for s in rows(given, "job") if "it is stated to draw" in s.text)
    assert "never on together, and who says so" in asked.text and "`" not in asked.text
