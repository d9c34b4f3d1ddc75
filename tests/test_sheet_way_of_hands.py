"""What each row of a splice's sheet speaks of, and that what was taken out or off comes back in its turn."""

from __future__ import annotations

from sheet_cases import demo_given, steps_of
from test_flag_order import adapter_given
from test_sheet_tarp import at, told

from wiremap.content.compose import ANNEX_PARTS, compose
from wiremap.content.pieces import Ledger, Strip, StripJoint
from wiremap.content.steps import Slot, Step
from wiremap.sheet.strip import APART, strip_pieces


def row(key: str, words: str) -> Step:
    """The one step of a section of the tarpaulin's sheet that says these words."""
    steps = told(key)
    return steps[at(steps, words)]


def test_the_wire_that_beeps_is_the_one_left_on_the_old_plug() -> None:
    """Of three pieces the middle one lies loose; why these three alone stands at the first."""
    rows = [s for s in told("joints") if s.want == "beep"]
    assert [s.at for s in rows] == ["loom.1", "loom.2", "loom.4"]
    for step in rows:
        assert step.text.startswith("parted, the wire left on the old plug: its cut end beeps")
        assert "piece" not in step.text
    assert rows[0].note.startswith("Only loom.1, loom.2, loom.4: a face read mirrored or turned")
    assert "no sooner than at first power or at work" in rows[0].note
    assert not any(step.note for step in rows[1:])


def test_a_broken_wire_does_not_pass_for_a_coil_on_plus() -> None:
    """Read to chassis it has no upper end: the volts of the same wire tell the open one."""
    (coil,) = (s for s in told("survey") if s.want == "over 1.4 \N{GREEK CAPITAL LETTER OMEGA}")
    volts = [s for s in told("survey") if s.at == "loom.4" and s.unit == "V"]
    assert coil.at == "loom.4 \N{EN DASH} chassis"
    assert coil.note.startswith(f"OL, and under 0.1 V at {volts[-1].n}: broken")
    others = [s for s in told("survey") if s.unit != "V" and s.n != coil.n]
    assert not any("OL, and under" in s.note for s in others)


def test_whoever_parts_the_battery_parts_every_other_source() -> None:
    """A trailer is fed through its coupling: told at the first page and wherever the battery goes off."""
    assert "coupling of a trailer" in row("job", "Every source").text
    off = [
        (key, s)
        for key in ("survey", "ringout", "power", "mating")
        for s in told(key)
        if "minus first" in s.text
    ]
    assert {key for key, _ in off} == {"survey", "ringout", "power", "mating"}
    for key, step in off:
        assert "every other source off" in step.text, (key, step.text)
    assert "as is any other source" in row("stop-cut", "the battery is off").text


def test_a_cap_is_sealed_when_the_sleeves_are() -> None:
    """A wire that is capped may still be wanted when the ring-out finds a wrong one."""
    assert row("joints", "cap on").text == "cap on, tied back; sealed after the ring-out"
    sealed = row("sleeves", "Caps sealed")
    assert sealed.text.endswith(": unit.7") and sealed.slot is Slot.BOX


def test_the_way_back_has_lamps_before_fuses_and_the_ignition_on_before_its_volts() -> None:
    """No full fuse onto new joints, no volts of an ignition that is off."""
    way = told("way-back")
    lamps = way[at(way, "in place of F3 7.5 A, F8 5 A")].text
    assert (
        lamps.index("5 W lamp") < lamps.index("no lamp burns on") < lamps.index("each fuse again")
    )
    volts = way[at(way, "the volts of its row")].text
    assert "ignition off, then on" in volts


def test_what_is_off_or_unplugged_for_a_row_comes_back_in_its_turn() -> None:
    """The ignition stays on for the fuses pulled next; another load comes back as its fuse does."""
    assert row("survey", "Lights and switches on").text.endswith("the ignition stays on")
    power = told("power")
    fits = [s for s in power if s.text.startswith("Lamp out, fit")]
    assert "is plugged in again" in fits[0].note
    unplugs = at(power, "Ignition off: no lamp burns")
    assert "unplug that till the fuse is in" in power[unplugs].note
    assert unplugs < power.index(fits[0])


def test_rows_name_what_they_speak_of() -> None:
    """Which plug is unmated, which outputs go on together."""
    assert "unmated: unit; other control units" in row("ringout", "minus first").text
    assert row("work", "on together").text.startswith("unit.4 and unit.2 on together")


# -- the demo's adapter ---------------------------------------------------------------------------


def head(key: str) -> list[Step]:
    """The steps of one section of the adapter's sheet."""
    sheet = compose(adapter_given(), ANNEX_PARTS)
    return steps_of(next(each for each in sheet.sections if each.key == key))


def test_what_was_blocked_for_the_survey_is_given_back_where_nothing_moves() -> None:
    """The adapter drives nothing, yet wheels were chocked and pressure taken: in the order of the way back."""
    assert any("Chock and block" in step.text for step in head("job"))
    work = head("work")
    back = at(work, "Ignition off, blocks away, pressure back, everyone clear.")
    assert work[back + 1].text == "One hand at what stops it all, ignition on."
    assert back < at(work, "Work lamp left (lamp.1) on alone")


def test_a_notebook_of_another_build_leaves_every_row_to_read() -> None:
    """The sheet builds a harness: what was read on the one before says nothing of its crimps."""
    lead = next(s.lead for s in compose(adapter_given()).sections if s.key == "ringout")
    rows = len(adapter_given().probes)
    assert lead.startswith(f"The notebook has {rows} of these {rows} rows, of the harness that was")
    assert f"built by this sheet, crimped or opened since, all {rows} are read." in lead
    assert "none is left" not in lead


def test_switches_are_off_before_a_wire_must_be_dead() -> None:
    """A work lamp's own switch decides its volts: off before sweep, fuse and sleep, on only where it is wanted."""
    survey, power, work = head("survey"), head("power"), head("work")
    swept = [step.n for step in survey].index("S1")
    assert "lights and every switch off" in survey[swept - 1].text
    pulled = [step.text for step in survey if "by its own switch" in step.text]
    assert len(pulled) == 2 and all(text.endswith("that switch off again") for text in pulled)
    told = [step.text for step in power]
    assert told.index("The machine's own lights and switches off.") < told.index(
        "Ignition off, battery on, plus first, every other source on."
    )
    after = [step.text for step in work]
    assert after.index("Those switches off again.") < at(work, "Ignition off, wait till")


def test_nothing_is_added_asleep_where_every_feed_is_switched() -> None:
    """Lamps by their switch, the camera by the ignition: nothing of it is fed while the machine sleeps."""
    (less,) = (step for step in head("work") if step.text.endswith("what this job added"))
    assert less.want == "at most 0.001 A"
    (asleep,) = (step for step in adapter_given().power if step.stage == "sleep" and step.quantity)
    assert asleep.source.startswith("nothing here is fed with the ignition off")
    (fed,) = (step for step in demo_given().power if step.stage == "sleep" and step.quantity)
    assert not fed.source.startswith("nothing here is fed")


def test_a_leg_that_no_last_reading_goes_through_is_told() -> None:
    """camera.1 is read to head.6 alone: the leg to head.5 is as open as a circuit that is not read."""
    through = {
        p for probe in adapter_given().second if probe.is_through for p in probe.red + probe.black
    }
    assert "head.6" in through and "head.5" not in through
    (told,) = (s.text for s in head("sign") if "not read through again" in s.text)
    assert "head.5 and " in told


def test_a_figure_of_a_fuse_that_is_not_in_says_which() -> None:
    """1 A would do for camera.6; F23 of 3 A is in."""
    sheet = compose(adapter_given(), ["sources"])
    cells = [
        row[0] for s in sheet.sections for b in s.blocks if isinstance(b, Ledger) for row in b.rows
    ]
    named = [cell for cell in cells if "camera.6" in cell]
    assert any("camera.6 (were F23 1 A; it is 3 A)" in cell for cell in named)


def test_a_tug_has_its_figure_and_digits_are_read_before_the_first_crimp() -> None:
    """What a sample holds stands in the row of the tug, and what was laid out for the run is put on by a row."""
    joints = head("joints")
    tugs = [step.text for step in joints if step.want == "tug"]
    assert tugs == ["each wire pulled by itself, gently: a sample crimp holds 60 N"]
    assert joints[0].at == "lamp, head, camera" and "digits read aloud" in joints[0].text
    assert at(joints, "before the first crimp") == 0
    closed = head("sleeves")
    assert at(closed, "strain relief on") < at(closed, "Laid and tied where it will lie")


def test_no_figure_of_a_scale_is_read_with_the_words_of_the_strip_above() -> None:
    """Strips lie further apart than a scale's figures stand above their own line."""
    spots = tuple(StripJoint(n, f"j{n}", at_mm, 25.0) for n, at_mm in enumerate((30.0, 250.0), 1))
    _, first, last = strip_pieces(Strip(run_mm=330.0, spots=spots, keep_out=()))
    assert round(first.height - last.height, 6) == APART
