"""First power: lock-out, lamp, volts of the unmated face, loaded grounds, order of fuses, sleep; readings judged."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from wiremap.check import check_job
from wiremap.content.fitted import FittedCard
from wiremap.content.given import Given
from wiremap.content.next_power import after_power
from wiremap.content.next_step import KEEP
from wiremap.content.pages.fitted_card import fitted_section
from wiremap.content.stops_passed import owed_before
from wiremap.entries.forms import POWER_FORM
from wiremap.entries.notebook import added, append, readings_from
from wiremap.entries.probe_lines import batch
from wiremap.evidence import probe_print
from wiremap.evidence.stamping import stamped
from wiremap.files import load_notebook
from wiremap.firstpower.carried import carried_amps, expected_amps
from wiremap.firstpower.judge import PowerVerdict, power_judge
from wiremap.firstpower.lines import power_lines, power_reader
from wiremap.firstpower.mating import BATTERY_ON
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import PowerStage, PowerStep
from wiremap.graph import Harness
from wiremap.model import (
    Address,
    Entry,
    EntryKind,
    Fed,
    Job,
    Notebook,
    OnOff,
    Seen,
    Span,
    Stop,
    Supply,
    frozen,
)
from wiremap.naming import Meaning
from wiremap.reports.power import power_brief
from wiremap.ringout.before_start import before_start
from wiremap.ringout.fuses import Fuse, fuses_kept, fuses_out
from wiremap.sizing.job import size_job
from wiremap.survey.lines import typed_survey

PASSED = tuple(
    Entry(kind=EntryKind.STOP_PASSED, stop=stop, by="RK", second="AM")
    for stop in (Stop.BATTERY, Stop.MATING)
)


def judged_power(harness: Harness, entries: Iterable[Entry]) -> PowerVerdict:
    """The verdict over readings taken once both stops were passed."""
    return power_judge(harness, [*PASSED, *entries])


def volts(job: Job, key: str) -> dict[str, tuple[float | None, float | None]]:
    return {
        s.red: (s.low, s.high)
        for s in power_plan(Harness(job))
        if s.stage == "volts" and s.key == key and s.red
    }


def test_stages_in_order(demo: Job) -> None:
    """What moves is blocked before the battery, the lamp comes before a fuse, mating before sleep."""
    stages = [list(PowerStage).index(s.stage) for s in power_plan(Harness(demo))]
    assert stages == sorted(stages)
    assert set(stages) == set(range(len(PowerStage)))
    assert "donor.12" in power_plan(Harness(demo))[0].do
    assert len({s.n for s in power_plan(Harness(demo))}) == len(power_plan(Harness(demo)))


def test_a_ring_out_begins_with_fuses_and_names(demo: Job) -> None:
    """Battery, each fuse by name with its rating, their order back, where each name is probed, no bare probe."""
    told = before_start(Harness(demo))
    text = "\n".join(told)
    assert "battery disconnected" in told[0]
    assert "fuses out: F7 10 A, socket fuse 15 A, F1 2 A (holder empty)" in text
    assert "in this order: F7 5 A, socket fuse 15 A, F1 2 A" in text
    loom = next(x for x in told if x.startswith("loom.N"))
    assert "machine-side cut end" in loom and "before the sleeve is shrunk" in loom
    assert all(
        any(x.startswith(name) for x in told)
        for name in ("donor.N", "gateway.N", "feed.N (as feed.16)", "F1.a", "G1", "R1.a")
    )
    assert "no bare probe into a socket contact" in told[-1]
    bench = "\n".join(before_start(Harness(demo), "adapter"))
    assert "F7" not in bench and "F1 2 A (holder empty)" in bench and "battery" not in bench


def does(job: Job) -> list[str]:
    return [s.do for s in power_plan(Harness(job))]


def test_a_fuse_goes_in_by_a_step_of_its_own_with_its_rating(demo: Job) -> None:
    """F7 comes out as the 10 A found and goes back as 5 A before any load; F1 waits for its turn; nothing else comes out."""
    told = does(demo)
    fit = told.index("lamp out, fit F7 5 A in place of the 10 A found")
    assert (
        told.index("out: F7 10 A, it feeds loom.1")
        < fit
        < next(i for i, d in enumerate(told) if "burns fully" in d)
    )
    assert fit < told.index("lamp out, fit F1 2 A in its empty holder")
    assert [f.name for f in fuses_out(Harness(demo))] == ["F7", "socket fuse", "F1"]
    assert [f.feeds for f in fuses_out(Harness(demo)) if f.name == "F1"] == [("gateway.8",)]
    for name, rating in (("F7", "10 A"), ("socket fuse", "15 A"), ("F1", "2 A")):
        assert any(f"{name} {rating}" in d for d in told)
    for d in told:
        if "fit " in d or d.startswith("take F"):
            assert " A" in d, d


def test_every_fuse_that_is_not_as_found_is_read_off_by_eye(demo: Job) -> None:
    """One step names each with its size once all are in for good; as found and untold, none does."""
    steps = power_plan(Harness(demo))
    (step,) = [s for s in steps if s.do.startswith("read off")]
    assert step.looks and step.do.endswith(": F7 5 A (10 A was found), F1 2 A")
    assert all(s.n < step.n for s in steps if "fit " in s.do)
    assert not any(s.n < step.n for s in steps if s.stage in ("work", "sleep"))
    kept = {name: replace(fed, found_amps=None) for name, fed in demo.ends["loom"].fed.items()}
    loom = replace(demo.ends["loom"], fed=frozen(kept))
    told = does(replace(demo, ends=frozen({**demo.ends, "loom": loom})))
    assert "read off each fuse itself: F1 2 A" in told


def test_a_fuse_that_feeds_no_joint_stays_in(demo: Job) -> None:
    """F9 at a capped contact is named as staying in; without it nothing of the kind is said."""
    loom = demo.ends["loom"]
    ends = {
        **demo.ends,
        "loom": replace(
            loom, fed=frozen({**loom.fed, "14": Fed(cavity="14", fuse="F9", fuse_amps=7.5)})
        ),
    }
    h = Harness(replace(demo, ends=frozen(ends)))
    assert fuses_kept(h) == ("F9",) and "F9" not in [f.name for f in fuses_out(h)]
    assert any("other fuses stay in, also F9" in s.do for s in power_plan(h))


def test_a_feed_that_nobody_named_is_told(demo: Job) -> None:
    """A supply without a stated fuse is looked for by pulling fuses; one without any fuse gets a lamp at the battery."""
    loom = demo.ends["loom"]
    for fed, word in (
        ({}, "out: the fuse of loom.1 (rating not stated)"),
        (
            {"1": Fed(cavity="1", unfused=True)},
            "in the battery's minus lead for loom.1: no fuse protects it",
        ),
    ):
        job = replace(demo, ends=frozen({**demo.ends, "loom": replace(loom, fed=frozen(fed))}))
        assert any(word in d for d in does(job)), word


def test_the_in_line_unit_is_read_before_it_is_mated(demo: Job) -> None:
    """F1 in, gateway.8 at 9 to 15 V (the leaflet allows 16, the machine gives 15), then F1 out, battery off, mate, lamp, battery on, asleep, F1 in again, bus lines."""
    steps = [s for s in power_plan(Harness(demo)) if s.stage in ("in-line", "mate")]
    told = [s.do for s in steps]
    (feed,) = [s for s in steps if s.state == "F1 in"]
    assert (feed.red, feed.black, feed.low, feed.high) == ("gateway.8", "gateway.7", 9, 15)
    order = [
        told.index("lamp out, fit F1 2 A in its empty holder"),
        steps.index(feed),
        told.index("take F1 2 A out"),
        told.index("battery off, minus first, every other source off"),
        told.index("mate gateway"),
        told.index("a 5 W lamp of 12 V or a limited feed (0.5 A) in place of F1 2 A"),
        told.index(f"{BATTERY_ON}: a lamp may flash and glow, not burn on"),
        next(i for i, s in enumerate(steps) if s.state == "gateway asleep"),
        told.index("lamp out, fit F1 2 A again"),
        next(i for i, s in enumerate(steps) if s.state == "gateway mated"),
    ]
    assert order == sorted(order) and len(set(order)) == len(order)
    assert {s.red for s in steps if s.state == "gateway mated"} == {"donor.8", "donor.9"}
    assert all(
        s.low is not None and s.high is not None and s.source
        for s in steps
        if s.state == "gateway mated"
    )


def test_one_deed_or_one_reading_a_step(demo: Job) -> None:
    """No step is both keys, several deeds or a reading without its unit; every volt reading has limits and one blank."""
    for s in power_plan(Harness(demo)):
        assert "ignition off and on" not in s.do and ";" not in s.do.replace("spray; it hangs", "")
        assert s.quantity in ("", "V", "A")
        if s.quantity == "V":
            assert (
                s.red and s.black and s.low is not None and s.high is not None and s.low < s.high
            ), s.do
    read = [(s.red, s.black, s.key, s.state) for s in power_plan(Harness(demo)) if s.quantity]
    assert len(read) == len(set(read)) and all(red and black for red, black, _, _ in read)


def test_limits_of_the_loaded_drop(demo: Job) -> None:
    """Ohm's law by hand: 21 W at 12 V is 1.75 A; loom 4 m of 0.75 mm2 and 1 mm2 tail at their sized ohms."""
    steps = [s for s in power_plan(Harness(demo)) if s.state == "lamp on"]
    assert {s.red for s in steps} == {
        "donor.1",
        "donor.2",
        "donor.3",
        "donor.4",
        "gateway.7",
        "gateway.8",
    }
    sized = next(d for f in size_job(Harness(demo)).feeds for d in f.drops if d.load == "donor.4")
    ohms = 0.020 + sum(x.ohms_hot for x in sized.out)
    most = next(s.high for s in steps if s.red == "donor.4")
    assert most is not None and 1.75 * ohms < most <= 1.75 * ohms * 1.2 + 0.01
    assert all(s.source for s in steps) and max(s.high or 0 for s in steps) < 1.2  # 10 % of 12 V


def test_volts_follow_the_machine(demo: Job) -> None:
    """24 V: live contacts at what two batteries rest at, the lamp of 24 V; nothing stated: no band, and the verdict waits for it."""
    job = replace(demo, supply=Supply(volts=24.0, min_volts=18.0, max_volts=32.0))
    assert volts(job, "off")["donor.3"] == (24, 26.4)
    assert any("lamp of 24 V" in d for d in does(job)) and not any("12 V" in d for d in does(job))
    bare = {
        n: replace(
            e,
            pinout=replace(
                e.pinout,
                cavities=frozen({k: replace(c, volts=None) for k, c in e.pinout.cavities.items()}),
            ),
        )
        for n, e in demo.ends.items()
    }
    unknown = replace(demo, supply=Supply(), ends=frozen(bare))
    h = Harness(unknown)
    assert volts(unknown, "off")["donor.3"] == (None, None) and volts(unknown, "off")[
        "donor.5"
    ] == (-0.1, 0.1)
    assert not any("12 V" in d for d in does(unknown))
    left = judged_power(h, read(unknown))
    assert left.verdict == "incomplete" and "donor.3" in {s.red for s in left.left}


def test_volts_of_the_demo_face(demo: Job) -> None:
    """3 and 4 12 V, 7 with the key only, 5 stays 0 V, every other below 0.1 V (the demo's own figures)."""
    off, on = volts(demo, "off"), volts(demo, "on")
    assert {"donor.3", "donor.4"} == {
        p for p, (low, _) in off.items() if low is not None and low > 1
    }
    assert {"donor.3", "donor.4", "donor.7"} == {
        p for p, (low, _) in on.items() if low is not None and low > 2
    }
    assert on["gateway.1"] == (2.0, 3.5) and on["gateway.2"] == (1.5, 3.0)  # the bus, awake
    assert on["donor.5"] == (-0.1, 0.1)
    assert on["gateway.8"] == (-0.1, 0.1)  # its own fuse is still out


def test_both_legs_of_supply_and_ground_carry_a_lamp(demo: Job) -> None:
    """A beep proves no crimp: 3 against 1, 4 against 2; never a lamp on another contact."""
    loads = [
        (s.red, s.black)
        for s in power_plan(Harness(demo))
        if s.stage == "load" and "burns fully" in s.do
    ]
    assert loads == [("donor.3", "donor.1"), ("donor.4", "donor.2")]


def test_sleep_current_is_the_stated_one(demo: Job) -> None:
    """The in-line unit alone: 1 mA by its leaflet; with the new unit, whose leaflet is silent, what one added unit may draw: 30 mA."""
    steps = power_plan(Harness(demo))
    assert next(s for s in steps if s.stage == "mate" and s.quantity == "A").high == 0.001
    assert (
        steps[-1].quantity == "A"
        and steps[-1].high == 0.03
        and "does not state" in steps[-1].source
    )


AMPS = {"fuses out": 0.03, "gateway asleep": 0.0008, "fuses in": 0.0312, "outputs on together": 3.3}


def read(job: Job, **wrong: float) -> list[Entry]:
    """An entry for every reading of the list, each as it should be but for the points named with another figure."""
    steps = [s for s in power_plan(Harness(job)) if s.quantity and s.red]
    return [
        Entry(
            kind=EntryKind.POWER,
            by="RK",
            red=(str(s.red),),
            key=s.key,
            state=s.state,
            volts=None
            if s.quantity == "A"
            else wrong.get(
                str(s.red).replace(".", "_"),
                12.0 if (s.low or 0) > 5 else 2.5 if (s.low or 0) > 1 else 0.0,
            ),
            amps=AMPS[str(s.state)] if s.quantity == "A" else None,
        )
        for s in steps
    ]


def test_readings_are_judged(demo: Job) -> None:
    """All as expected pass; 12 V on the reference fails by name; one missing is incomplete."""
    h = Harness(demo)
    assert judged_power(h, read(demo)).verdict == "unfinished"
    bad = judged_power(h, read(demo, donor_5=12.0))
    assert bad.verdict == "fail" and {"donor.5"} == {s.red for s, _, _ in bad.wrong}
    assert "do not mate" in bad.wrong[0][2]
    for k in (0, 1, -1):
        assert (
            judged_power(h, [e for e in read(demo) if e != read(demo)[k]]).verdict == "incomplete"
        )
    poor = [
        replace(e, volts=0.9) if e.red == ("donor.2",) and e.state == "lamp on" else e
        for e in read(demo)
    ]
    assert [(s.red, s.state) for s, _, _ in judged_power(h, poor).wrong] == [("donor.2", "lamp on")]
    assert judged_power(h, [replace(e, of="0" * 12) for e in read(demo)]).verdict == "incomplete"


def test_a_repair_voids_first_power(demo: Job) -> None:
    """Figures, deeds and stops before it are told as void and wanted again; the same file then counts anew."""
    steps = power_plan(Harness(demo))
    figures = read(demo)
    looks = [step.n for step in power_judge(Harness(demo), figures, steps).seen.left]
    done, _ = power_lines("\n".join(f"{n} done" for n in looks), steps, by="RK")
    stops = [Entry(kind=EntryKind.STOP_PASSED, stop=stop, by="RK", second="AM") for stop in Stop]
    whole = [*stops, *figures, *done]
    mended = Entry(kind=EntryKind.MENDED, points=(Address("donor", "3"),), by="RK")
    judged = power_judge(Harness(demo), [*whole, mended], steps)
    fresh = power_judge(Harness(demo), [], steps)
    assert (judged.verdict, judged.left, judged.seen) == ("incomplete", fresh.left, fresh.seen)
    assert judged.void == len(figures) + len(done) + 2 and fresh.void == 0
    assert f"{judged.void} lines of first power" in list(judged.told())[1]
    assert power_judge(Harness(demo), [*whole, mended, *whole], steps).verdict == "pass"
    typed = (*figures, *done)
    assert added(whole, typed) == ()
    assert added([*whole, mended], typed) == typed


def test_after_a_repair_the_stops_are_passed_again(demo: Job) -> None:
    """Those before the sleeves and the battery; what is cut stays cut."""
    stops = [Entry(kind=EntryKind.STOP_PASSED, stop=stop, by="RK", second="AM") for stop in Stop]
    mended = Entry(kind=EntryKind.MENDED, points=(Address("donor", "3"),), by="RK")

    def owed(*entries: Entry) -> tuple[Stop, ...]:
        return owed_before(replace(demo, notebooks=(Notebook("n.yaml", entries),)), Stop.MATING)

    assert owed() == (Stop.CUT, Stop.SLEEVES, Stop.BATTERY)
    assert owed(*stops) == ()
    assert owed(*stops, mended) == (Stop.SLEEVES, Stop.BATTERY)


def test_eyes_and_stops_are_wanted_for_a_pass(demo: Job) -> None:
    """Figures alone are no pass: lamps and outputs are looked at, both stops passed, and what is not so fails."""
    steps = power_plan(Harness(demo))
    figures = read(demo)
    judged = power_judge(Harness(demo), figures, steps)
    assert judged.left and judged.seen.stops == (Stop.BATTERY, Stop.MATING)
    looks = [step.n for step in judged.seen.left]
    assert any("no lamp burns" in step.do for step in judged.seen.left)
    assert any("works and nothing else" in step.do for step in judged.seen.left)
    assert f"{len(looks)} things to look at; stops not passed: battery, mating" in next(
        judged.told()
    )
    done, faults = power_lines("\n".join(f"{n} done" for n in looks), steps, by="RK")
    assert not faults and len(done) == len(looks)
    seen = judged_power(Harness(demo), figures)
    assert (seen.verdict, len(seen.seen.left)) == ("unfinished", len(looks))
    passing = judged_power(Harness(demo), [*figures, *done])
    assert passing.verdict == "pass"
    assert {1, 2} <= {step.n for step in passing.seen.unnoted}  # chocked, pressure off
    assert "nobody has noted that these were done" in " ".join(passing.told())
    hands = "\n".join(f"{step.n} done" for step in passing.seen.unnoted)
    noted, faults = power_lines(hands, steps, by="RK")
    assert not faults and not judged_power(Harness(demo), [*figures, *done, *noted]).seen.unnoted
    not_so, _ = power_lines(f"{looks[-1]} not so", steps, by="RK")
    assert judged_power(Harness(demo), [*figures, *done, *not_so]).verdict == "fail"
    assert (
        "type what the meter shows"
        in power_lines(f"{judged_figure(steps)} done", steps)[1][0].message
    )


def test_what_is_in_order_beyond_a_stop_counts_once_it_was_passed(demo: Job) -> None:
    """Read and looked at before two people passed the stop: left, and said; passed afterwards, it is read again."""
    steps = power_plan(Harness(demo))
    figures = read(demo)
    looks = "\n".join(f"{step.n} done" for step in steps if step.looks)
    done, _ = power_lines(looks, steps, by="RK")
    battery, mating = PASSED
    at = next(step.n for step in steps if step.stop == Stop.MATING)
    judged = power_judge(Harness(demo), [battery, *figures, *done, mating], steps)
    assert judged.verdict == "incomplete"
    assert [step.n for step in judged.left] == [s.n for s in steps if s.quantity and s.n > at]
    assert [step.n for step in judged.seen.left] == [s.n for s in steps if s.looks and s.n > at]
    assert judged.due == judged.left[0] or judged.due == judged.seen.left[0]
    (told,) = judged.unfit
    assert "before the two-name stop mating was passed" in told.message
    whole = [battery, *figures, *done, mating, *figures, *done]
    assert power_judge(Harness(demo), whole, steps).verdict == "pass"


def test_what_is_wrong_beyond_a_stop_is_wrong_all_the_same(demo: Job) -> None:
    """A void reading takes no danger away."""
    assert power_judge(Harness(demo), read(demo, donor_5=12.0)).verdict == "fail"


def test_a_stop_is_due_before_what_lies_beyond_it(demo: Job) -> None:
    """First the battery's, then what is read at the open faces, then that of mating."""
    steps = power_plan(Harness(demo))
    at = next(step.n for step in steps if step.stop == Stop.MATING)
    battery, _ = PASSED
    assert power_judge(Harness(demo), [], steps).due is Stop.BATTERY
    begun = power_judge(Harness(demo), [battery], steps).due
    assert isinstance(begun, PowerStep) and begun.n < at
    early = "\n".join(f"{step.n} done" for step in steps if step.looks and step.n < at)
    done, _ = power_lines(early, steps, by="RK")
    assert power_judge(Harness(demo), [battery, *read(demo), *done], steps).due is Stop.MATING


def judged_figure(steps: tuple[PowerStep, ...]) -> int:
    """The number of a step that is read."""
    return next(step.n for step in steps if step.quantity)


def test_the_list_names_the_two_name_stops_where_they_stand(demo: Job) -> None:
    """Short and in full."""
    told = "\n".join(power_brief(power_plan(Harness(demo))))
    assert "the two-name stop battery" in told and "the two-name stop mating" in told


def test_a_reading_from_the_battery_s_post_is_judged(demo: Job) -> None:
    """Volts lost on the way are read from battery plus or minus, which are no points of the job; so is its fingerprint."""
    h = Harness(demo)
    lost = Entry(
        kind=EntryKind.POWER,
        by="RK",
        red=("donor.3",),
        black=("battery plus",),
        state="lamp on",
        volts=1.4,
    )
    assert [(s.red, v) for s, v, _ in judged_power(h, [lost]).wrong] == [("donor.3", 1.4)]
    assert judged_power(h, [replace(lost, of=probe_print(h, ("donor.3", "battery plus")))]).wrong
    assert not judged_power(h, [replace(lost, black=("nowhere",))]).wrong


def test_too_many_volts_are_called_so(demo: Job) -> None:
    """24.5 V on a 12 V supply contact is no want of a joint."""
    high = Entry(
        kind=EntryKind.POWER,
        by="RK",
        red=("donor.3",),
        black=("donor.1",),
        key=OnOff.ON,
        volts=24.5,
    )
    (found,) = judged_power(Harness(demo), [high]).wrong
    assert "too many volts, do not mate" in found[2]


def amps(demo: Job, **shown: float) -> PowerVerdict:
    """The verdict with other amps at some states."""
    return judged_power(
        Harness(demo),
        [replace(e, amps=shown.get(str(e.state).replace(" ", "_"), e.amps)) for e in read(demo)],
    )


def test_amps_are_judged_against_the_leaflet(demo: Job) -> None:
    """The in-line unit's own 1 mA: 5 mA is too much, 0 A shows a meter that cannot see it; a clamp the wrong way round is no fault."""
    assert amps(demo).verdict == amps(demo, gateway_asleep=-0.0008).verdict == "unfinished"
    ((step, value, why),) = amps(demo, gateway_asleep=0.005).wrong
    assert (step.state, value) == ("gateway asleep", 0.005)
    assert "too much flows" in why and "0.001 A is the most" in why and "empties a battery" in why
    ((_, _, why),) = amps(demo, gateway_asleep=0.0).wrong
    assert why.startswith("nothing flows")
    assert amps(demo, gateway_asleep=0.005).as_dict()["wrong"][0]["amps"] == 0.005


def test_sleep_is_judged_by_what_is_drawn_more_than_before(demo: Job) -> None:
    """With 1 mA stated for every unit, 30 mA before and 31.2 after pass 2 mA, 33 do not, and without the figure before none is judged."""
    donor = demo.ends["donor"]
    cavities = {
        n: replace(c, asleep_amps=0.001) if n == "3" else c
        for n, c in donor.pinout.cavities.items()
    }
    job = replace(
        demo,
        ends=frozen(
            {
                **demo.ends,
                "donor": replace(donor, pinout=replace(donor.pinout, cavities=frozen(cavities))),
            }
        ),
    )
    asleep = power_plan(Harness(job))[-1]
    assert asleep.high == 0.002 and "sum of what the units are stated" in asleep.source
    assert amps(job).verdict == "unfinished"
    ((_, _, why),) = amps(job, fuses_in=0.033).wrong
    assert "0.003 A more than the 0.03 A before" in why
    left = judged_power(Harness(job), [e for e in read(job) if e.state != "fuses out"])
    assert [s.state for s in left.left] == [
        "fuses out",
        "fuses in",
    ] and left.verdict == "incomplete"


def test_a_figure_of_the_wrong_kind_is_refused(demo: Job) -> None:
    """Ohms or amps where volts are read, volts where amps are, no figure at all, no key where both are read: told, and left."""
    h = Harness(demo)
    face = Entry(kind=EntryKind.POWER, by="RK", red=("donor.3",), black=("donor.1",), key=OnOff.ON)
    for entry, word in (
        (replace(face, ohms=Span(12.0, 12.0)), "in volts, not in ohms"),
        (replace(face, seen="beep"), "not in ohms"),
        (replace(face, amps=1.0), "in volts, not in amps"),
        (face, "no figure is noted"),
        (
            replace(face, volts=12.0, key=None),
            "say ignition off (step 15) or ignition on (step 21)",
        ),
        (replace(face, volts=12.0, state="lamp off"), "not with `lamp off`"),
        (
            replace(face, volts=12.0, black=("gateway.7",)),
            "no reading of first power is taken at donor.3 to gateway.7",
        ),
        (
            Entry(kind=EntryKind.POWER, red=("battery minus",), state="fuses in", volts=0.1),
            "in amps, not in volts",
        ),
    ):
        judged = judged_power(h, [entry])
        (found,) = judged.unfit
        assert word in found.message
        assert (
            judged.verdict == "incomplete"
            and not judged.wrong
            and len(judged.left) == len(read(demo))
        )
        assert any(line.startswith("not counted: ") and word in line for line in judged.told())
    assert not judged_power(h, read(demo)).unfit
    assert not judged_power(
        h, [Entry(kind=EntryKind.PROBE, red=("donor.3",), black=("donor.1",), seen=Seen.SILENT)]
    ).unfit  # the ring-out's own


def test_volts_lost_count_without_their_sign(demo: Job) -> None:
    """The sheet says battery plus to donor.3, the list donor.3 to battery plus: either way round 1.4 V is too much, 0.2 V is not."""
    h = Harness(demo)
    for probes in (("donor.3", "battery plus"), ("battery plus", "donor.3")):
        for volts, wrong in ((-1.4, 1), (1.4, 1), (-0.2, 0), (0.2, 0)):
            lost = Entry(
                kind=EntryKind.POWER, red=probes[:1], black=probes[1:], state="lamp on", volts=volts
            )
            judged = judged_power(h, [lost])
            assert (len(judged.wrong), judged.unfit) == (wrong, ())


def test_a_saved_reading_against_the_chassis_still_counts(demo: Job) -> None:
    """A face without a ground of its own is read against the chassis, which is no metal of the job: its fingerprint holds."""
    bare = replace(demo, circuits=tuple(c for c in demo.circuits if c.id != "gw-gnd"))
    h = Harness(bare)
    step = next(
        s for s in power_plan(h) if s.red == "gateway.4" and s.key == "on" and s.black == "chassis"
    )
    for black in ("chassis", "battery minus"):
        entry = stamped(
            h,
            Entry(
                kind=EntryKind.POWER, red=("gateway.4",), black=(black,), key=OnOff.ON, volts=9.0
            ),
        )
        assert [s for s, _, _ in judged_power(h, [entry]).wrong] == [step]


def test_amps_are_kept_in_a_notebook(tmp_path: Path, demo: Job) -> None:
    """An entry with amps is written, read back the same, and judged; amps beyond any meter are refused."""
    entry = stamped(
        Harness(demo),
        Entry(
            kind=EntryKind.POWER,
            by="RK",
            date="2026-03-02",
            red=("F1.a",),
            black=("F1.b",),
            key=OnOff.OFF,
            state="gateway asleep",
            amps=0.0008,
        ),
    )
    assert append(tmp_path / "n.yaml", [entry]) is None
    loaded = load_notebook(tmp_path / "n.yaml")
    assert loaded.value is not None and [replace(e, place=None) for e in loaded.value.entries] == [
        entry
    ]
    assert "gateway asleep" not in {
        s.state for s in judged_power(Harness(demo), loaded.value.entries).left
    }
    refused = append(tmp_path / "n.yaml", [replace(entry, amps=5000.0)])
    assert refused is not None and "amps" in refused.message


def test_the_test_lamp_is_moved_and_taken_away(demo: Job) -> None:
    """Between its burning at a face and any other deed the list says where it goes."""
    told = [
        s.do for s in power_plan(Harness(demo)) if s.stage in ("load", "in-line", "mate", "sleep")
    ]
    assert "the lamp moved to donor.4 and donor.2 burns fully" in told
    burning = False
    for s in power_plan(Harness(demo)):
        lamp = "burns fully" in s.do
        if burning and not lamp and s.state != "lamp on":
            assert s.do.startswith("test lamp away, "), s.do
            burning = False
        burning = burning or lamp
    assert not burning and sum("test lamp away" in d for d in told) == 2


def test_the_first_feed_of_a_mated_unit_goes_through_a_lamp(demo: Job) -> None:
    """Battery off, mate, lamp for F7, battery on, F7 in, key on; no lamp where nothing flows with the key off (common practice)."""
    told = [s.do for s in unit_mated(demo)]
    lamp = next(d for d in told if "in place of F7 5 A" in d)
    assert "5 W lamp" in lamp and "limited feed" in lamp
    order = (
        "ignition off",
        "take F7 5 A out",
        "battery off, minus first, every other source off",
        "mate donor",
        lamp,
        f"{BATTERY_ON}: a lamp may flash and glow, not burn on",
        "lamp out, fit F7 5 A again",
        "ignition on",
    )
    assert [told.index(d) for d in order] == list(range(len(order)))
    steps = unit_mated(switched(demo))
    assert not any("W lamp" in s.do or "lamp out" in s.do for s in steps)
    assert "a lamp starves it" in next(s.why for s in steps if s.do == "fit F7 5 A again")


def unit_mated(job: Job) -> list[PowerStep]:
    """The steps that mate the unit, behind those of the in-line unit."""
    steps = [s for s in power_plan(Harness(job)) if s.stage == "mate"]
    last = max(i for i, step in enumerate(steps) if step.state == "gateway mated")
    return steps[last + 1 :]


def test_one_stop_covers_every_mating(demo: Job) -> None:
    """It stands before the first; the second mating says so, and that nothing is left open by then."""
    mating = [step for step in power_plan(Harness(demo)) if step.mates]
    assert [step.stop for step in mating] == [Stop.MATING, None]
    assert "the mating stop passed, which covers each unit" in mating[1].why


def test_no_contact_closes_while_the_battery_is_on(demo: Job) -> None:
    """Every mating has battery off before it and battery on behind it, of a feed that hangs on the key too."""
    for job in (demo, switched(demo)):
        live, mated = True, 0
        for do in does(job):
            live = (
                False
                if "battery off" in do or "battery disconnected" in do
                else True
                if "battery on" in do
                else live
            )
            if do.startswith("mate "):
                assert not live, do
                mated += 1
        assert mated == 2 and live


def test_a_limited_feed_has_its_amps_and_stands_for_no_load(demo: Job) -> None:
    """5 W at 12 V are 0.42 A, at 24 V 0.21 A, rounded up to a tenth; between supply and ground only a lamp loads."""
    for volts, amps in ((12.0, "0.5 A"), (24.0, "0.3 A")):
        told = does(
            replace(
                demo, supply=Supply(volts=volts, min_volts=volts * 0.75, max_volts=volts * 1.25)
            )
        )
        feeds = [d for d in told if "limited feed" in d]
        assert len(feeds) == 5 and all(f"limited feed ({amps})" in d for d in feeds)
        assert not any("limited feed" in d for d in told if "burns fully" in d)


def test_a_blanked_cavity_has_nothing_to_touch(demo: Job) -> None:
    """gateway.6 gets a plug and no contact; without the plug it is read."""
    assert "gateway.6" not in volts(demo, "on")
    left = {
        a: replace(e, treat="leave") if a == "gateway.6" else e for a, e in demo.not_joined.items()
    }
    assert "gateway.6" in volts(replace(demo, not_joined=frozen(left)), "on")


def test_a_wire_that_is_called_unused_is_read_all_the_same(demo: Job) -> None:
    """donor.11 has a wire and is capped: 4.8 V on it fail whatever it is called; donor.20 has no wire."""
    donor = demo.ends["donor"]
    cavities = dict(donor.pinout.cavities)
    cavities["11"] = replace(cavities["11"], reading=Meaning("unused"))
    pinout = replace(donor.pinout, cavities=frozen(cavities))
    job = replace(demo, ends=frozen({**demo.ends, "donor": replace(donor, pinout=pinout)}))
    assert "donor.11" in volts(job, "on") and "donor.20" not in volts(job, "on")
    judged = judged_power(Harness(job), read(job, donor_11=4.8))
    assert judged.verdict == "fail"
    assert [step.red for step, _, why in judged.wrong if "called unused" in why] == ["donor.11"]


def test_each_output_is_tried_by_itself_at_the_end(demo: Job) -> None:
    """Pressure back with the ignition off, each valve alone; without outputs only what was locked out comes back."""
    work = [s.do for s in power_plan(Harness(demo)) if s.stage == "work"]
    assert work[0] == "ignition off, blocks away, pressure back, everyone clear"
    assert work[1] == "one hand at what stops it all, ignition on"
    assert [d for d in work if "alone" in d] == [
        "at the new unit's controls Spreading disc valve (donor.12) on alone: Spinner valve (loom.3) "
        "works and nothing else",
        "at the new unit's controls Floor belt valve (donor.13) on alone: Conveyor valve (loom.5) "
        "works and nothing else",
    ]
    still = replace(
        demo, circuits=tuple(c for c in demo.circuits if c.id not in ("spinner", "conveyor"))
    )
    assert [s.do for s in power_plan(Harness(still)) if s.stage == "work"] == work[:2]


def test_all_outputs_together_are_read_against_the_fuse(demo: Job) -> None:
    """A fuse carries 110 % for hours: that it does not blow in a minute shows nothing; at 60 C it shall carry 5 x 0.75 x 0.956 A."""
    (together,) = (s for s in power_plan(Harness(demo)) if s.quantity == "A" and s.stage == "work")
    assert "donor.12 and donor.13 on together, up to a minute, " in together.do
    assert "none against its stop: current through F7 5 A" in together.do
    assert (together.low, together.high) == (0.0, 3.58)
    assert together.why.startswith("3.3 A are expected; over the limit a load draws too much")


def test_a_fuse_that_sits_warm_carries_less(demo: Job) -> None:
    """At 25 C three quarters of its rating; nobody expects a figure where a load is not stated."""
    harness = Harness(demo)
    sizes = size_job(harness)
    fuse = Fuse(name="F7", amps=5.0, feeds=("loom.1",))
    assert carried_amps(fuse, replace(sizes, ambient_C=25.0, feeds=())) == 3.75
    assert carried_amps(replace(fuse, amps=None), sizes) is None
    assert expected_amps(fuse, replace(sizes, feeds=())) is None
    own = Fuse(name="F1", amps=2.0, own=True, feeds=("gateway.8",))
    assert (carried_amps(own, sizes), expected_amps(own, sizes)) == (1.43, 0.15)


def test_a_guard_is_opened_at_rest_and_shut_at_rest(demo: Job) -> None:
    """No hand is there but with all of it off and the key held; with it open nothing moves, and shutting it starts nothing."""
    work = [s for s in power_plan(Harness(demo)) if s.stage == "work"]
    first = next(n for n, step in enumerate(work) if "guard loop" in step.do)
    opened, tried, shut, still = work[first:]
    for at_guard in (opened, shut):
        hands = at_guard.do.partition("the guard loop")[0]
        assert "engine, ignition and pressure off, the key with whoever goes there" in hands
        assert at_guard.turns is OnOff.OFF
    assert opened.do.endswith("the guard loop opened at its guard")
    assert tried.looks and tried.do.endswith("switched on: nothing moves")
    assert still.looks and still.do.endswith("nothing starts by itself")
    for from_far in (tried, still):
        assert from_far.do.startswith("everyone out of reach, then pressure and ignition on")


def test_amps_are_read_when_the_machine_has_gone_to_sleep(demo: Job) -> None:
    """Each reading in amps, or the deed before it, says how long to wait."""
    steps = power_plan(Harness(demo))
    read = [i for i, s in enumerate(steps) if s.quantity == "A" and s.stage != "work"]
    assert len(read) == 3 and all(
        "75 min" in steps[i].do or "75 min" in steps[i - 1].do for i in read
    )


def switched(demo: Job) -> Job:
    """The demo with its feed live only while the key is on."""
    loom = demo.ends["loom"]
    cavities = {
        n: replace(c, reading=replace(c.reading, function="switched-supply")) if n == "1" else c
        for n, c in loom.pinout.cavities.items()
    }
    return replace(
        demo,
        ends=frozen(
            {
                **demo.ends,
                "loom": replace(loom, pinout=replace(loom.pinout, cavities=frozen(cavities))),
            }
        ),
    )


def test_a_keyed_feed_is_loaded_with_the_key_on(demo: Job) -> None:
    """With the key off no lamp could burn there."""
    load = [s.do for s in power_plan(Harness(switched(demo))) if s.stage == "load"]
    assert load.index("ignition on") < next(i for i, d in enumerate(load) if "burns fully" in d)
    assert "ignition on" not in [s.do for s in power_plan(Harness(demo)) if s.stage == "load"]


def test_fuse_rows_of_the_sign_off_follow_the_list(demo: Job) -> None:
    """Each fuse that goes in has one row, named and rated as in the steps, an unnamed one too."""
    loom = demo.ends["loom"]
    for fed, row in (
        (loom.fed, "F7: 5 A, never 10 A (found), at"),
        ({}, "the fuse of loom.1: rating not stated, at"),
        (
            {"1": Fed(cavity="1", fuse="F7", found_amps=10.0)},
            "F7: 10 A found; which goes back is not stated, at",
        ),
    ):
        job = replace(demo, ends=frozen({**demo.ends, "loom": replace(loom, fed=frozen(fed))}))
        rows = fuse_rows(job)
        assert rows == [row, "socket fuse: 15 A, at", "F1: 2 A, new, at"]
        assert len(rows) == len(fuses_out(Harness(job)))


def fuse_rows(job: Job) -> list[str]:
    """The fuses on the card that stays in the machine."""
    section = fitted_section(Given(harness=Harness(job)))
    assert section is not None and isinstance(section.blocks[0], FittedCard)
    (fuses,) = [part for part in section.blocks[0].right if part.title == "Fuses"]
    return [line.text for line in fuses.lines]


# -- lines as they are typed --------------------------------------------------------------------------


def lines(demo: Job, text: str) -> list[Entry]:
    """What lines say, none of them refused."""
    entries, findings = power_lines(
        text, power_plan(Harness(demo)), "bench.txt", "RK", "2026-03-02"
    )
    assert not findings, [f.message for f in findings]
    return [replace(e, place=None) for e in entries]


def entry(red: str, black: str, **more: Any) -> Entry:
    return Entry(
        kind=EntryKind.POWER, by="RK", date="2026-03-02", red=(red,), black=(black,), **more
    )


def test_a_line_names_a_step_or_its_probes(demo: Job) -> None:
    """The number as printed, or the probes with key and state: both give the same entry, with the place it was typed at."""
    on = entry("donor.3", "donor.1", key="on", volts=12.6)
    for text in (
        "21 12.6 V",
        "21. key on 12,6 V",
        "21. ignition on 12,6 V",
        "21 on 12.6V",
        "21 donor.3 12600 mV",
        "15/21 on 12.6 V",
        "donor.3 - donor.1 12.6 V key on",
        "donor.3 to donor.1 key on: 12.6 volts",
        "donor.3-donor.1 on 12.6 V",
        "donor.3 12.6 V key on  # with a good meter",
    ):
        assert lines(demo, text) == [on], text
    assert lines(demo, "16/22 0.02 -0.01 V, 14 0.35 A") == [
        entry("donor.4", "donor.1", key="off", volts=0.02),
        entry("donor.4", "donor.1", key="on", volts=-0.01),
        entry("battery minus", "chassis", key="off", state="fuses out", amps=0.35),
    ]
    assert lines(demo, "gateway.8 - gateway.7 12.3 V key on F1 in") == [
        entry("gateway.8", "gateway.7", key="on", state="F1 in", volts=12.3)
    ]
    lost = entry("donor.3", "battery plus", state="lamp on", volts=0.35)
    for text in (
        "48 0.35 V",
        "Battery plus to donor.3 350 mV",
        "donor.3 - battery plus 0.35 V lamp on",
    ):
        assert lines(demo, text) == [lost], text
    assert (
        lines(demo, "66 0.8 mA")
        == lines(demo, "F1.a - F1.b 800 uA")
        == [entry("F1.a", "F1.b", key="off", state="gateway asleep", amps=0.0008)]
    )
    placed, _ = power_lines("\n16 0 V, 22 0 V", power_plan(Harness(demo)), "bench.txt")
    assert [str(e.place) for e in placed] == ["bench.txt:2:1", "bench.txt:2:9"]


REFUSED = {
    "120 3 V": "there is no step 120: the list of first power ends at 91",
    "0 3 V": "there is no step 0",
    "44 3 V": "nothing is read at step 44 (ignition off)",
    "14 0.35 V": "step 14 is read in A, not in V",
    "16 0.35 A": "step 16 is read in V, not in A",
    "donor.3 - donor.1 3 A key on": "is read in V, not in A",
    "16 on 0.02 V": "step 16 is read with the ignition off; ignition on is step 22",
    "16/22 0.02 V": "say ignition off or ignition on",
    "16 0.02 0.03 V": "2 figures for 1 step",
    "donor.3 - donor.1 12.6 V": "step 15 (ignition off), step 21 (ignition on): say how the ignition stood",
    "gateway.8 - gateway.7 12.3 V key on": "step 43 (ignition on), step 56 (ignition on, F1 in)",
    "donor.1 - donor.3 12.6 V key on": "the red probe belongs on donor.3, the black one on donor.1",
    "donor.3 - gateway.7 12.6 V key on": "the black one stands on donor.1 or battery plus",
    "donro.3 - donor.1 12.6 V key on": "did you mean `donor.3`",
    "16 donor.3 0.02 V": "step 16 is read at donor.4 to donor.1, not at donor.3",
    "16 lamp on 0.02 V": "step 16 is read with no such state, not with lamp on",
    "donor.33 - donor.1 12.6 key on": "`12.6` has no unit: V, mV, A or mA",
    "16 7000": "up to 2000 V is taken",
    "16 7.4 ohm": "ohms are no reading of first power",
    "donor.3 - donor.1 4.7k": "ohms are no reading of first power",
    "donor.3 - donor.1 b": "no volts and no amps are said",
    "r122 s": "r122 is a reading of the ring-out",
    "16 3 V 4 A": "one line holds one reading",
    "16 off 3 V on": "one line holds one reading",
    "16 3000 V": "up to 2000 V is taken",
    "0.35 A": "neither a step nor its probes are named",
    "9-15 done": "step 14 is read in A: type what the meter shows; for the others: `9 to 13 done`",
    "9-120 done": "there is no step 120",
    "15-18 0 V": "no one figure stands for a run of steps",
}


@pytest.mark.parametrize("text", REFUSED)
def test_a_line_that_fits_no_step_is_refused(demo: Job, text: str) -> None:
    """A number beyond the list, a deed, the wrong unit, a key that is missing or another step's, probes that are not asked for."""
    entries, (finding,) = power_lines(f"21 12.6 V\n{text}", power_plan(Harness(demo)), "bench.txt")
    assert [e.red for e in entries] == [("donor.3",)]
    assert REFUSED[text] in finding.message and text in finding.message
    assert finding.fault and finding.fix and str(finding.place) == "bench.txt:2:1"


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("3-10 done", range(3, 11)),
        ("3 to 5 done, 7 done", (3, 4, 5, 7)),
        ("10\u20139 ok", (9, 10)),
        ("3/4/12-13 yes", (3, 4, 12, 13)),
        ("3,4 done", (3, 4)),
        ("12 and 13 not so", (12, 13)),
    ],
)
def test_a_run_of_steps_is_ticked_in_one_line(demo: Job, text: str, numbers: Iterable[int]) -> None:
    """As by one line for each; whatever dash a phone makes, and however the numbers are parted."""
    steps = power_plan(Harness(demo))
    word = "not so" if "not" in text else "done"
    each = "\n".join(f"{n} {word}" for n in numbers)
    (run, wrong), (apart, _) = power_lines(text, steps), power_lines(each, steps)
    assert not wrong and [e.what for e in run] == [e.what for e in apart]


def test_ticks_are_told_where_they_go(demo: Job) -> None:
    """In the lines of the ring-out and of the survey no step is ticked and no number names a probe."""
    for typed in (batch("3-10 done")[1], typed_survey(demo, "3-10 done", "bench.txt").findings):
        assert "at first power alone" in typed[0].message
    for line in ("RO3 b", "3 b", "3-10 s"):
        assert "names its probes, not its number" in batch(line)[1][0].message


@pytest.mark.parametrize(
    ("text", "volts", "amps"),
    [
        ("15 25,4", [25.4], [None]),
        ("14 0.35", [None], [0.35]),
        ("donor.3 - donor.1 12.6 key on", [12.6], [None]),
        ("16/22 0.02 0.03", [0.02, 0.03], [None, None]),
    ],
)
def test_a_bare_figure_takes_the_unit_of_its_step(
    demo: Job, text: str, volts: list[float | None], amps: list[float | None]
) -> None:
    """A step is read in one unit: nothing is guessed."""
    entries, findings = power_lines(text, power_plan(Harness(demo)), "bench.txt")
    assert not findings
    assert [entry.volts for entry in entries] == volts
    assert [entry.amps for entry in entries] == amps


def test_every_step_can_be_typed_by_its_number_and_is_then_judged(demo: Job) -> None:
    """A line for each reading of the list, then none is left; lines without a reading are a fault."""
    steps = power_plan(Harness(demo))
    figures = {
        s.n: 0.0312
        if s.quantity == "A" and s.stage == "sleep"
        else s.high
        if s.high is not None
        else 0.03
        for s in steps
    }
    text = "\n".join(f"{s.n} {figures[s.n]} {s.quantity}" for s in steps if s.quantity)
    judged = judged_power(Harness(demo), lines(demo, text))
    assert (judged.verdict, judged.left, judged.wrong, judged.unfit) == ("unfinished", (), (), ())
    assert power_lines("# nothing yet", steps)[1][0].message == "there is no reading in it"


def test_the_form_that_help_prints_is_read(demo: Job) -> None:
    """Every example of the help text is taken as it stands."""
    examples = [re.split(r" {2,}", x.strip())[0] for x in POWER_FORM.splitlines()[1:]]
    assert len(examples) == 6 and len(lines(demo, "\n".join(examples))) == 6 + 8


def test_lines_and_notebooks_are_read_from_a_file(tmp_path: Path, demo: Job) -> None:
    """A file of lines, a notebook, and a file that is not there."""
    read = power_reader(power_plan(Harness(demo)))
    (tmp_path / "bench.txt").write_text("21 12.6 V\n", encoding="utf-8")
    (read_,), none = readings_from(tmp_path / "bench.txt", "RK", "", read)
    assert (read_.volts, read_.by, none) == (12.6, "RK", ())
    assert append(tmp_path / "n.yaml", [read_]) is None
    assert [e.volts for e in readings_from(tmp_path / "n.yaml", read=read)[0]] == [12.6]
    assert readings_from(tmp_path / "missing.txt", read=read)[1][0].rule == "no-such-file"


def test_stray_volts_say_what_they_would_do(demo: Job) -> None:
    """On the sensor reference the sensors die of them; elsewhere they are volts that do not belong."""
    told = {}
    for point in ("donor_5", "donor_16"):
        ((_, _, why),) = judged_power(Harness(demo), read(demo, **{point: 12.0})).wrong[:1]
        told[point] = why
    assert "the sensor reference touches a supply" in told["donor_5"]
    assert "sensor reference" not in told["donor_16"]
    assert all("do not mate" in why for why in told.values())


def test_volts_on_a_screen_are_told_by_contact(demo: Job) -> None:
    """A line for each band, with the contacts that it is read at."""
    steps = [step for step in power_plan(Harness(demo)) if step.stage == "volts"]
    told = " ".join(power_brief(steps))
    for step in steps:
        if step.red in ("donor.3", "donor.5", "donor.7"):
            assert f"{step.red}" in told


@pytest.mark.parametrize("saved", [True, False])
def test_what_was_read_is_kept_before_more_is_read(demo: Job, saved: bool) -> None:
    """Readings that stand in no file are lost with the screen; what was wrong comes before both."""
    checked, entries = check_job(demo), read(demo)
    judged = judged_power(Harness(demo), entries[:2])
    assert judged.left and not judged.wrong
    assert (after_power(checked, judged, saved=saved) == KEEP) is not saved
