"""First power: lock-out, lamp, volts of the unmated face, loaded grounds, order of fuses, sleep; readings judged."""

from __future__ import annotations

from dataclasses import replace

from wiremap.evidence import probe_print
from wiremap.graph import Harness
from wiremap.model import Entry, Fed, Job, Supply, frozen
from wiremap.ringout.fuses import fuses_kept, fuses_out
from wiremap.ringout.outset import outset
from wiremap.ringout.power import STAGES, power_judge, power_plan
from wiremap.sizing.job import size_job


def volts(job: Job, key: str) -> dict[str, tuple[float | None, float | None]]:
    return {s.red: (s.low, s.high) for s in power_plan(Harness(job)) if s.stage == "volts" and s.key == key and s.red}


def test_stages_in_order(demo: Job) -> None:
    """What moves is blocked before the battery, the lamp comes before a fuse, mating before sleep."""
    stages = [STAGES.index(s.stage) for s in power_plan(Harness(demo))]
    assert stages == sorted(stages)
    assert set(stages) == set(range(len(STAGES)))
    assert "donor.12" in power_plan(Harness(demo))[0].do
    assert len({s.n for s in power_plan(Harness(demo))}) == len(power_plan(Harness(demo)))


def test_a_ring_out_begins_with_fuses_and_names(demo: Job) -> None:
    """Battery, each fuse by name with its rating, their order back, where each name is probed, no bare probe."""
    told = outset(Harness(demo))
    text = "\n".join(told)
    assert "battery disconnected" in told[0]
    assert "fuses out: F7 10 A, socket fuse 15 A, F1 2 A (holder empty)" in text
    assert "in this order: F7 5 A, socket fuse 15 A, F1 2 A" in text
    loom = next(x for x in told if x.startswith("loom.N"))
    assert "machine-side cut end" in loom and "before the sleeve is shrunk" in loom
    assert all(any(x.startswith(name) for x in told) for name in ("donor.N", "gateway.N", "feed.N (as feed.16)", "F1.a", "G1", "R1.a"))
    assert "no bare probe into a socket contact" in told[-1]
    bench = "\n".join(outset(Harness(demo), "adapter"))
    assert "F7" not in bench and "F1 2 A (holder empty)" in bench and "battery" not in bench


def does(job: Job) -> list[str]:
    return [s.do for s in power_plan(Harness(job))]


def test_a_fuse_goes_in_by_a_step_of_its_own_with_its_rating(demo: Job) -> None:
    """F7 comes out as the 10 A found and goes back as 5 A before any load; F1 waits for its turn; nothing else comes out."""
    told = does(demo)
    fit = told.index("lamp out, fit F7 5 A in place of the 10 A found")
    assert told.index("out: F7 10 A, it feeds loom.1") < fit < next(i for i, d in enumerate(told) if "burns fully" in d)
    assert fit < told.index("lamp out, fit F1 2 A in its empty holder")
    assert [f.name for f in fuses_out(Harness(demo))] == ["F7", "socket fuse", "F1"]
    for name, rating in (("F7", "10 A"), ("socket fuse", "15 A"), ("F1", "2 A")):
        assert any(f"{name} {rating}" in d for d in told)
    for d in told:
        if "fit " in d or d.startswith("take F"):
            assert " A" in d, d


def test_a_fuse_that_feeds_no_joint_stays_in(demo: Job) -> None:
    """F9 at a capped contact is named as staying in; without it nothing of the kind is said."""
    loom = demo.ends["loom"]
    ends = {**demo.ends, "loom": replace(loom, fed=frozen({**loom.fed, "14": Fed("14", "F9", 7.5)}))}
    h = Harness(replace(demo, ends=frozen(ends)))
    assert fuses_kept(h) == ("F9",) and "F9" not in [f.name for f in fuses_out(h)]
    assert any("other fuses stay in, also F9" in s.do for s in power_plan(h))


def test_a_feed_that_nobody_named_is_told(demo: Job) -> None:
    """A supply without a stated fuse is looked for by pulling fuses; one without any fuse gets a lamp at the battery."""
    loom = demo.ends["loom"]
    for fed, word in (({}, "out: the fuse of loom.1 (rating not stated)"),
                      ({"1": Fed("1", unfused=True)}, "in the battery's minus lead for loom.1: no fuse protects it")):
        job = replace(demo, ends=frozen({**demo.ends, "loom": replace(loom, fed=frozen(fed))}))
        assert any(word in d for d in does(job)), word


def test_the_in_line_unit_is_read_before_it_is_mated(demo: Job) -> None:
    """F1 in, gateway.8 at the leaflet's 9 to 16 V, then F1 out, mate, lamp in its place, asleep, F1 in, bus lines."""
    steps = [s for s in power_plan(Harness(demo)) if s.stage == "in-line"]
    told = [s.do for s in steps]
    (feed,) = [s for s in steps if s.state == "F1 in"]
    assert (feed.red, feed.black, feed.low, feed.high) == ("gateway.8", "gateway.7", 9, 16)
    order = [told.index("lamp out, fit F1 2 A in its empty holder"), steps.index(feed), told.index("take F1 2 A out"),
             told.index("mate gateway"), next(i for i, d in enumerate(told) if "may glow" in d),
             next(i for i, d in enumerate(told) if "gateway asleep" in d), told.index("fit F1 2 A in its empty holder"),
             next(i for i, s in enumerate(steps) if s.state == "gateway mated")]
    assert order == sorted(order) and len(set(order)) == len(order)
    assert {s.red for s in steps if s.state == "gateway mated"} == {"donor.8", "donor.9"}
    assert all(s.low is not None and s.high is not None and s.source for s in steps if s.state == "gateway mated")


def test_one_deed_or_one_reading_a_step(demo: Job) -> None:
    """No step is both keys, several deeds or a reading without its unit; every volt reading has limits and one blank."""
    for s in power_plan(Harness(demo)):
        assert "key off and on" not in s.do and ";" not in s.do.replace("spray; it hangs", "")
        assert s.quantity in ("", "V", "A")
        if s.quantity == "V":
            assert s.red and s.black and s.low is not None and s.high is not None and s.low < s.high, s.do
    volts = [(s.red, s.key, s.state) for s in power_plan(Harness(demo)) if s.quantity == "V"]
    assert len(volts) == len(set(volts))


def test_limits_of_the_loaded_drop(demo: Job) -> None:
    """Ohm's law by hand: 21 W at 12 V is 1.75 A; loom 4 m of 0.75 mm2 and 1 mm2 tail at their sized ohms."""
    steps = [s for s in power_plan(Harness(demo)) if s.state == "lamp on"]
    assert {s.red for s in steps} == {"donor.1", "donor.2", "donor.3", "donor.4", "gateway.7", "gateway.8"}
    sized = next(d for f in size_job(Harness(demo)).feeds for d in f.drops if d.load == "donor.4")
    ohms = 0.020 + sum(x.ohms_hot for x in sized.out)
    most = next(s.high for s in steps if s.red == "donor.4")
    assert most is not None and 1.75 * ohms < most <= 1.75 * ohms * 1.2 + 0.01
    assert all(s.source for s in steps) and max(s.high or 0 for s in steps) < 1.2  # 10 % of 12 V


def test_volts_follow_the_machine(demo: Job) -> None:
    """24 V: live contacts at 24 V, the lamp of 24 V; nothing stated: no band, and the verdict waits for it."""
    job = replace(demo, supply=Supply(volts=24.0, min_volts=18.0, max_volts=32.0))
    assert volts(job, "off")["donor.3"] == (18, 32)
    assert any("lamp of 24 V" in d for d in does(job)) and not any("12 V" in d for d in does(job))
    bare = {n: replace(e, pinout=replace(e.pinout, cavities=frozen({k: replace(c, volts=None) for k, c in e.pinout.cavities.items()})))
            for n, e in demo.ends.items()}
    unknown = replace(demo, supply=Supply(), ends=frozen(bare))
    h = Harness(unknown)
    assert volts(unknown, "off")["donor.3"] == (None, None) and volts(unknown, "off")["donor.5"] == (-0.1, 0.1)
    assert not any("12 V" in d for d in does(unknown))
    left = power_judge(h, read(unknown))
    assert left.verdict == "incomplete" and "donor.3" in {s.red for s in left.left}


def test_volts_of_the_demo_face(demo: Job) -> None:
    """3 and 4 12 V, 7 with the key only, 5 stays 0 V, every other below 0.1 V (the demo's own figures)."""
    off, on = volts(demo, "off"), volts(demo, "on")
    assert {"donor.3", "donor.4"} == {p for p, (low, _) in off.items() if low is not None and low > 1}
    assert {"donor.3", "donor.4", "donor.7"} == {p for p, (low, _) in on.items() if low is not None and low > 1}
    assert on["donor.5"] == (-0.1, 0.1)
    assert on["gateway.8"] == (-0.1, 0.1)  # its own fuse is still out


def test_both_legs_of_supply_and_ground_carry_a_lamp(demo: Job) -> None:
    """A beep proves no crimp: 3 against 1, 4 against 2; never a lamp on another contact."""
    loads = [(s.red, s.black) for s in power_plan(Harness(demo)) if s.stage == "load" and "burns fully" in s.do]
    assert loads == [("donor.3", "donor.1"), ("donor.4", "donor.2")]


def test_sleep_current_is_the_stated_one(demo: Job) -> None:
    """The in-line unit alone: 1 mA by its leaflet; with the new unit, whose leaflet is silent, there is no limit to judge by."""
    steps = power_plan(Harness(demo))
    assert next(s for s in steps if s.stage == "in-line" and s.quantity == "A").high == 0.001
    assert steps[-1].quantity == "A" and steps[-1].high is None


def read(job: Job, **wrong: float) -> list[Entry]:
    steps = [s for s in power_plan(Harness(job)) if s.quantity == "V" and s.red]
    return [
        Entry(
            "power",
            by="RK",
            red=(str(s.red),),
            key=s.key,
            state=s.state,
            volts=wrong.get(str(s.red).replace(".", "_"), 12.0 if (s.low or 0) > 5 else 2.5 if (s.low or 0) > 1 else 0.0),
        )
        for s in steps
    ]


def test_readings_are_judged(demo: Job) -> None:
    """All as expected pass; 12 V on the reference fails by name; one missing is incomplete."""
    h = Harness(demo)
    assert power_judge(h, read(demo)).verdict == "pass"
    bad = power_judge(h, read(demo, donor_5=12.0))
    assert bad.verdict == "fail" and {"donor.5"} == {s.red for s, _, _ in bad.wrong}
    assert "do not mate" in bad.wrong[0][2]
    assert power_judge(h, read(demo)[1:]).verdict == "incomplete"
    poor = [replace(e, volts=0.9) if e.red == ("donor.2",) and e.state == "lamp on" else e for e in read(demo)]
    assert [(s.red, s.state) for s, _, _ in power_judge(h, poor).wrong] == [("donor.2", "lamp on")]
    assert power_judge(h, [replace(e, of="0" * 12) for e in read(demo)]).verdict == "incomplete"


def test_a_reading_from_the_battery_s_post_is_judged(demo: Job) -> None:
    """Volts lost on the way are read from battery plus or minus, which are no points of the job; so is its fingerprint."""
    h = Harness(demo)
    lost = Entry("power", by="RK", red=("donor.3",), black=("battery plus",), state="lamp on", volts=1.4)
    assert [(s.red, v) for s, v, _ in power_judge(h, [lost]).wrong] == [("donor.3", 1.4)]
    assert power_judge(h, [replace(lost, of=probe_print(h, ("donor.3", "battery plus")))]).wrong
    assert not power_judge(h, [replace(lost, black=("nowhere",))]).wrong


def test_too_many_volts_are_called_so(demo: Job) -> None:
    """24.5 V on a 12 V supply contact is no want of a joint."""
    high = Entry("power", by="RK", red=("donor.3",), black=("donor.1",), key="on", volts=24.5)
    (found,) = power_judge(Harness(demo), [high]).wrong
    assert "too many volts, do not mate" in found[2]
