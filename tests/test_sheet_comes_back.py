"""What a row has unplugged another row plugs in; what a row reads was cut, placed or fed by then."""

from __future__ import annotations

from sheet_cases import steps_of
from test_flag_order import adapter_given
from test_sheet_tarp import at, demo_steps, told

from wiremap.content.compose import compose


def test_control_units_of_the_ring_out_are_plugged_in_before_the_battery() -> None:
    """With them unplugged nothing drives the bus that first power wants awake."""
    for steps in (demo_steps, told):
        off = steps("ringout")
        assert "other control units on these wires unplugged, each named on the key's tag" in (
            off[at(off, "minus first")].text
        )
        stop = steps("stop-battery")
        (back,) = (s.text for s in stop if s.text.startswith("Plugged in again"))
        assert "other control units, as the key's tag names them" in back
        assert back.endswith("all else unplugged for the ring-out.")
        assert at(stop, "Plugged in again") < [step.at for step in stop].index("battery")


def test_a_harness_rung_out_on_the_bench_has_nothing_to_plug_in_again() -> None:
    """Nothing was connected there."""
    sections = compose(adapter_given()).sections
    stop = steps_of(next(each for each in sections if each.key == "stop-battery"))
    assert not any("Plugged in again" in step.text for step in stop)


def test_a_load_unplugged_for_its_lamp_is_in_for_the_current_asleep() -> None:
    """The figure on the tag has it too; left out, an "at most" is met too easily."""
    power = told("power")
    asleep = power[at(power, "lamps still in place")]
    assert "what was unplugged for a lamp too, for this reading alone" in asleep.note


def test_another_load_is_unplugged_for_the_lamp_of_the_mating_too() -> None:
    """Else it burns that lamp, and a unit mated rightly is unmated; a fuse of the job's own has none."""
    for steps, fuse in ((demo_steps("mating"), "F7 5 A"), (told("mating"), "F3 7.5 A")):
        lamps = [s for s in steps if f"in place of {fuse}" in s.text]
        assert [s.note.startswith("another load on its fuse") for s in lamps] == [True]
        (back,) = (s for s in steps if s.text.startswith(f"Lamp out, fit {fuse} again"))
        assert "is plugged in again" in back.note
    (own,) = (s for s in demo_steps("mating") if "in place of F1 2 A" in s.text)
    assert "another load" not in own.note


def test_a_wire_in_service_is_cut_before_its_half_is_rung() -> None:
    """Its colour stands there, both names heard of the cut, and another wire is made whole again."""
    joints = demo_steps("joints")
    proved = next(s for s in joints if s.at == "feed.16" and s.want == "beep")
    assert proved.text.index("RD/YE red/yellow") < proved.text.index("cut at its mark")
    assert proved.text.index("cut at its mark") < proved.text.index("its half to the face beeps")
    assert proved.text.endswith("silent: another wire, joined again as it was")
    (line,) = (line for s in joints for line in s.lines if line.at == "feed.16")
    assert "both halves in" in line.text and "cut" not in line.text
    cut = demo_steps("stop-cut")
    assert "Also cut, in its turn at its mark, in service: feed.16." in (
        cut[at(cut, "will be parted")].text
    )
    assert not any("in service" in step.text for step in told("stop-cut"))


def test_the_flag_of_a_tapped_wire_goes_on_where_its_place_is_decided() -> None:
    """At the faces its place is not known yet; a job without a T speaks of none."""
    for step in (*demo_steps("faces"), *told("faces")):
        assert "of a T" not in step.text
    (placed,) = (s for s in demo_steps("feed") if "decided now" in s.text)
    assert "feed.16" in placed.at and "the flag of feed.16 beside its mark" in placed.text


def test_a_load_that_is_open_already_is_told_by_its_volts() -> None:
    """Its plus switched off, it reads open before it is unplugged: no contact opens then."""
    survey = told("survey")
    alike = survey[at(survey, "Unplug one load after another")].text
    assert "battery and ignition on, which loses its volts; then ignition off, battery off" in alike
    known = demo_steps("survey")
    assert "open already" not in known[at(known, "Unplug one load after another")].text
