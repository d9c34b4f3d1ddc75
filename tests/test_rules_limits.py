"""Every limit that the rules judge by: at the limit, just below it and just above."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

import wiremap.rules
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.model import Address, Extra, ExtraKind, Job, Side, Span, Twist, frozen
from wiremap.rules import View, run
from wiremap.rules.limits import limit
from wiremap.rules.signals import band, most_volts
from wiremap.rules.unjudged import not_judged
from wiremap.trade.tables import table

CASES = Path(__file__).parent / "cases"
RULES = Path(wiremap.rules.__file__).parent
EDGE = 1e-6


def good(case: str) -> Job:
    """The good job of a case."""
    loaded = load_job(CASES / case / "good.yaml")
    assert loaded.value is not None
    return loaded.value


def with_cavity(job: Job, address: str, **fields: object) -> Job:
    """The job with some of a contact's statements changed."""
    end, name = address.split(".")
    pinout = job.ends[end].pinout
    cavities = {**pinout.cavities, name: replace(pinout.cavities[name], **fields)}  # type: ignore[arg-type]
    changed = replace(job.ends[end], pinout=replace(pinout, cavities=frozen(cavities)))
    return replace(job, ends=frozen({**job.ends, end: changed}))


def fired(job: Job, rule: str) -> bool:
    """Whether a rule speaks of the job."""
    return rule in {finding.rule for finding in run(Harness(job))}


def across(ohms: float, watts: float) -> Job:
    """A resistor from supply to ground."""
    job = good("resistor-overloaded")
    part = replace(job.extras["P9"], ohms=ohms, watts=watts)
    return replace(job, extras=frozen({"P9": part}))


def test_every_limit_is_held_here_or_by_its_rule() -> None:
    """A new row of the table needs a boundary."""
    held = {
        "as-wire-ohms", "asleep-added-amps", "asleep-amps", "drain-ohms", "guard-bridge-ohms", "holding-share", "least-watts",
        "legs-touch-ohms", "live-volts", "loaded-amps", "no-terminator-ohms", "nominal-margin", "pushed-amps",
        "reference-margin", "same-size-share", "slow-kbit-s", "stands-over-nominal", "stub-mm", "stub-slow-mm",
        "higher-system-volts", "lower-system-volts", "ohms-margin", "cold-share", "heater-share", "full-on-ratio", "terminator-least-ohms",
        "terminator-watts", "terminator-most-ohms", "untwisted-mm", "untwisted-slow-mm",
    }  # fmt: skip
    rows = {row["name"] for row in table("judging.toml").rows}
    assert held == rows, "test the limit at its value, below and above, then name it here"


def test_every_limit_is_read_by_its_name() -> None:
    """A row that no rule asks for is a figure that nobody uses, and a name without a row a slip."""
    read = set()
    for path in sorted(RULES.rglob("*.py")):
        read |= set(re.findall(r'limit\("([a-z-]+)"\)', path.read_text(encoding="utf-8")))
    assert {row["name"] for row in table("judging.toml").rows} == read


def test_a_nominal_figure_speaks_for_a_quarter_around_it() -> None:
    """12 V means 9 to 15 V; a stated range means itself."""
    quarter = limit("nominal-margin")
    assert Span(9.0, 15.0) == band(Span.of(12), quarter)
    assert Span(9, 16) == band(Span(9, 16), quarter)
    assert 16.0 == pytest.approx(most_volts(Span.of(12)))
    assert 16.5 == most_volts(Span(9, 16.5))
    assert 32.0 == pytest.approx(most_volts(Span(12, 24)))  # the two systems, not a range
    for near in (
        Span(12 - EDGE, 24),
        Span(12 + EDGE, 24),
        Span(12, 24 - EDGE),
        Span(12, 24 + EDGE),
    ):
        assert near.high == most_volts(near)


@pytest.mark.parametrize(
    ("volts", "unlike"), [(5.0, False), (6.1, False), (6.12, True), (8.0, True)]
)
def test_a_sensor_supply_speaks_for_a_tenth_around_it(volts: float, unlike: bool) -> None:
    """5.5 V is the most of 5 V, and 6.11 V the highest figure whose tenth below reaches it."""
    job = good("volts-unlike")
    for address, stated in (("loom.8", volts), ("donor.8", 5.0)):
        job = with_cavity(job, address, volts=Span.of(stated))
    assert unlike == fired(job, "volts-unlike")


@pytest.mark.parametrize(
    ("watts", "over"), [(225.0, False), (225.0 - EDGE, True), (225.0 + EDGE, False)]
)
def test_watts_of_a_resistor(watts: float, over: bool) -> None:
    """15 V across 1 ohm are 225 W, by hand."""
    assert over is fired(across(1.0, watts), "resistor-overloaded")


@pytest.mark.parametrize(("ohms", "over"), [(1800.0, False), (1799.0, True), (1801.0, False)])
def test_a_resistor_of_unstated_watts_counts_as_the_smallest(ohms: float, over: bool) -> None:
    """An eighth of a watt at 15 V is 1800 ohm, by hand."""
    job = across(ohms, 1.0)
    part = replace(job.extras["P9"], watts=None)
    assert over is fired(replace(job, extras=frozen({"P9": part})), "resistor-overloaded")


@pytest.mark.parametrize(("ohms", "over"), [(8334.0, False), (8333.0, True)])
def test_what_a_resistor_may_push_into_an_input(ohms: float, over: bool) -> None:
    """15 V into an input that stands 5 V times 4/3, at most 1 mA: 8333 ohm, by hand."""
    job = with_cavity(good("resistor-lets-through"), "donor.11", volts=Span.of(5))
    job = with_cavity(job, "loom.11", volts=Span.of(5))
    part = replace(job.extras["P9"], ohms=ohms)
    assert over is fired(replace(job, extras=frozen({"P9": part})), "resistor-lets-through")


@pytest.mark.parametrize(("ohms", "wire"), [(10.0, False), (9.99, True), (10.01, False)])
def test_a_resistor_of_so_few_ohms_is_a_wire(ohms: float, wire: bool) -> None:
    """Ten ohm part two signals, a little less does not."""
    job = good("resistor-as-wire")
    part = replace(job.extras["P9"], ohms=ohms)
    assert wire is fired(replace(job, extras=frozen({"P9": part})), "resistor-as-wire")


@pytest.mark.parametrize(("ohms", "holds"), [(150.0, False), (149.0, True), (151.0, False)])
def test_ohms_that_hold_a_load_on(ohms: float, holds: bool) -> None:
    """A load of 1 A that has an output of its own may be held by a tenth of it: 15 V over 150 ohm."""
    job = good("resistor-as-wire")
    join = {"valve": (*job.circuit("valve").join, "P9.b"), "horn": job.circuit("horn").join[:2]}
    circuits = [
        replace(c, join=join[c.id], join_places=()) if c.id in join else c for c in job.circuits
    ]
    part = replace(job.extras["P9"], ohms=ohms)
    job = replace(job, extras=frozen({"P9": part}), circuits=tuple(circuits))
    assert holds is fired(job, "resistor-as-wire")


@pytest.mark.parametrize(("amps", "over"), [(0.03, False), (0.0299, False), (0.0301, True)])
def test_current_asleep_of_one_unit(amps: float, over: bool) -> None:
    """Of makers' figures 2004 to 2023 for a whole vehicle, 25 to 50 mA: one added unit is asked about above 30 mA."""
    assert over is fired(
        with_cavity(good("sleep-current"), "donor.1", asleep_amps=amps), "sleep-current"
    )


@pytest.mark.parametrize(("amps", "over"), [(0.025, False), (0.0249, False), (0.0251, True)])
def test_current_asleep_of_two_units(amps: float, over: bool) -> None:
    """Each below thirty milliamperes: fifty together are borne, and told as of the job."""
    told = asleep(two_units(amps))
    assert over is bool(told)
    assert all("asleep the job draws" in each and "donor" not in each for each in told)


def two_units(amps: float) -> Job:
    """The good job with a second unit like the first on the same supply."""
    job = with_cavity(good("sleep-current"), "donor.1", asleep_amps=amps)
    (supply,) = (c for c in job.circuits if c.id == "supply")
    wider = replace(supply, join=(*supply.join, Address("second", "1")), join_places=())
    ends = frozen({**job.ends, "second": replace(job.ends["donor"], name="second")})
    circuits = tuple(wider if c is supply else c for c in job.circuits)
    return replace(job, ends=ends, circuits=circuits)


def asleep(job: Job) -> list[str]:
    return [f.message for f in run(Harness(job)) if f.rule == "sleep-current"]


@pytest.mark.parametrize("amps", [None, 0.0, 0.02])
def test_a_current_asleep_that_nobody_states_is_not_judged(amps: float | None) -> None:
    """A unit on a permanent supply without the figure is told; one that states none or a little is judged."""
    job = with_cavity(good("sleep-current"), "donor.1", asleep_amps=amps)
    told = [n.subject for n in not_judged(View(Harness(job))) if "asleep" in n.why]
    assert told == ([("donor.1",)] if amps is None else [])


@pytest.mark.parametrize(
    ("rate", "mm", "over"),
    [
        (250.0, 100.0, False),
        (250.0, 100.1, True),
        (250.1, 50.0, False),
        (250.1, 50.1, True),
        (None, 50.1, True),
    ],
)
def test_untwisted_length_by_the_rate(rate: float | None, mm: float, over: bool) -> None:
    """100 mm up to 250 kbit/s, 50 mm above and where nobody says."""
    job = good("bit-rate-missing")
    for address in ("loom.5", "loom.6", "donor.5", "donor.6"):
        job = with_cavity(job, address, kbit_s=rate)
    twist = Twist(name="b", circuits=("bus-hi", "bus-lo"), mm=100, untwisted_mm=mm)
    assert over is fired(replace(job, twists=frozen({"b": twist})), "untwisted")


@pytest.mark.parametrize(
    ("ohms", "so"),
    [(50.0, None), (49.9, "one too many"), (65.0, None), (65.1, "one is missing"),
     (1000.0, "one is missing"), (1000.1, "none"), (5.0, "one too many"), (4.9, "the two wires touch")],
)  # fmt: skip
def test_terminators(ohms: float, so: str | None) -> None:
    """Two of 100 to 130 ohm side by side are 50 to 65 ohm."""
    job = good("bit-rate-missing")
    ends = dict(job.ends)
    for name, end in job.ends.items():
        links = [link for link in (*end.pinout.inside, *end.pinout.behind) if link.a != "5"]
        if end.side is Side.MACHINE:
            first = next(link for link in end.pinout.behind if link.a == "5")
            links = [replace(first, ohms=Span.of(ohms)), *links]
            pinout = replace(end.pinout, behind=tuple(links))
        else:
            pinout = replace(end.pinout, inside=tuple(links))
        ends[name] = replace(end, pinout=pinout)
    found = [f for f in run(Harness(replace(job, ends=frozen(ends)))) if f.rule == "terminators"]
    assert ([so] if so else []) == [f.message.rpartition(": ")[2] for f in found]


@pytest.mark.parametrize(
    ("rate", "mm", "over"),
    [(250.0, 1000.0, False), (250.0, 1001.0, True), (250.1, 300.0, False), (250.1, 301.0, True)],
)
def test_length_of_a_stub_by_the_rate(rate: float, mm: float, over: bool) -> None:
    """A metre up to 250 kbit/s, 300 mm above."""
    loaded = load_job(CASES / "bus-stub" / "bad.yaml")
    assert loaded.value is not None
    job = loaded.value
    for address in ("loom.5", "loom.6", "donor.5", "donor.6", "display.1", "display.2"):
        job = with_cavity(job, address, kbit_s=rate)
    long = [replace(c, length_mm=mm) if c.id.startswith("bus") else c for c in job.circuits]
    found = [f for f in run(Harness(replace(job, circuits=tuple(long)))) if f.rule == "bus-stub"]
    assert over is any("display.1" in f.subject for f in found)


@pytest.mark.parametrize(("ohms", "bridged"), [(1000.0, False), (999.0, True), (1001.0, False)])
def test_ohms_that_can_hold_a_guard_loop_shut(ohms: float, bridged: bool) -> None:
    """A part of a kilohm or more is no bridge."""
    job = good("guard-bridged")
    part = Extra(name="P9", kind=ExtraKind.RESISTOR, ohms=ohms, watts=1.0)
    ends = {"guard-out": "P9.a", "guard-back": "P9.b"}
    circuits = [
        replace(c, join=(*c.join, ends[c.id]), join_places=()) if c.id in ends else c
        for c in job.circuits
    ]
    job = replace(job, extras=frozen({"P9": part}), circuits=tuple(circuits))
    assert bridged is fired(job, "guard-bridged")


@pytest.mark.parametrize(("ohms", "grounded"), [(1.0, True), (1.01, False), (0.99, True)])
def test_ohms_of_a_drain_to_ground(ohms: float, grounded: bool) -> None:
    """A shield grounded inside the unit through at most an ohm is grounded."""
    job = good("drain-grounds")
    ends = {}
    for name, end in job.ends.items():
        links = tuple(replace(link, ohms=Span.of(ohms)) for link in end.pinout.inside)
        ends[name] = replace(end, pinout=replace(end.pinout, inside=links))
    assert grounded is not fired(replace(job, ends=frozen(ends)), "drain-grounds")


@pytest.mark.parametrize(("volts", "live"), [(6.0, True), (5.9, False), (6.1, True)])
def test_from_where_a_line_is_live(volts: float, live: bool) -> None:
    """A key line of so many volts is a positive on a ground's metal."""
    job = good("supply-to-ground")
    for address in ("loom.4", "donor.4"):
        job = with_cavity(job, address, volts=Span.of(volts))
    supply = replace(job.supply, volts=None, min_volts=None, max_volts=None)
    circuits = [c for c in job.circuits if c.id not in ("wake", "ground")]
    ground = next(c for c in job.circuits if c.id == "ground")
    tied = replace(ground, join=(*ground.join, "loom.4"), join_places=())
    job = replace(job, supply=supply, circuits=(*circuits, tied))
    found = [f for f in run(Harness(job)) if f.rule == "supply-to-ground"]
    assert live is any("loom.4" in f.subject for f in found)


def test_class_b_is_told_in_one_place() -> None:
    """60 V DC and 30 V AC are worked on, what lies above them is not, of either sign."""
    job = good("class-b")
    for volts, refused in ((60.0, False), (60.1, True), (-60.1, True)):
        assert refused is fired(with_cavity(job, "loom.3", volts=Span.of(volts)), "class-b")
    for volts_ac, refused in ((30.0, False), (30.1, True)):
        assert refused is fired(with_cavity(job, "loom.3", volts_ac=volts_ac), "class-b")


@pytest.mark.parametrize(("amps", "told"), [(0.5, True), (0.49, False), (0.51, True)])
def test_from_what_current_a_wire_counts_as_loaded(amps: float, told: bool) -> None:
    """With the bundle unsaid a circuit of half an ampere is named, one of less is not."""
    job = good("protection-unjudged")
    for address in ("loom.3", "donor.3"):
        job = with_cavity(job, address, amps=amps)
    unsaid = replace(job, surroundings=replace(job.surroundings, bundle=None))
    (found,) = [f for f in run(Harness(unsaid)) if f.rule == "protection-unjudged"]
    assert told is ("valve" in found.subject)


@pytest.mark.parametrize(
    ("signal", "pulsed", "amps"),
    [
        ("Spreader valve", False, 1 / 1.1),  # 12 ohm at 12 V; a coil is made within a tenth
        ("Work light", False, 0.1 / 1.1),  # at work a filament has ten times its ohms
        ("Spreader valve", True, 0.5),  # a driver holds a coil at half of what it draws full on
    ],
)
def test_how_far_ohms_may_draw_more_than_is_stated(signal: str, pulsed: bool, amps: float) -> None:
    job = good("ohms-against-amps")
    for address in ("loom.3", "donor.3"):
        job = with_cavity(job, address, signal=signal, pwm_hz=120.0 if pulsed else None)
    for stated, told in ((amps, False), (amps * (1 + EDGE), False), (amps * (1 - EDGE), True)):
        assert told is fired(with_cavity(job, "loom.3", amps=stated), "ohms-against-amps")


@pytest.mark.parametrize(("watts", "told"), [(0.25, False), (0.249, True), (0.251, False)])
def test_what_a_terminator_is_made_for(watts: float, told: bool) -> None:
    job = good("terminator-weak")
    part = replace(job.extras["R1"], watts=watts)
    weak = replace(job, extras=frozen({**job.extras, "R1": part}))
    assert told is fired(weak, "terminator-weak")
    unsaid = replace(job, extras=frozen({**job.extras, "R1": replace(part, watts=None)}))
    assert fired(unsaid, "terminator-weak")


@pytest.mark.parametrize("ohms", [50.0, 65.0, 100.0, 130.0])
def test_which_ohms_end_a_bus_or_both_its_ends(ohms: float) -> None:
    job = good("terminator-weak")
    for value, told in ((ohms, True), (49.0, False), (66.0, False), (99.0, False), (131.0, False)):
        part = replace(job.extras["R1"], watts=0.1, ohms=value)
        other = replace(job, extras=frozen({"R1": part}))
        assert told is fired(other, "terminator-weak")
        assert (told and value < 100) is fired(other, "terminators-together")


@pytest.mark.parametrize(("mm", "told"), [(1000, False), (1001, True), (999, False)])
def test_how_far_a_node_lies_beyond_its_terminator(mm: float, told: bool) -> None:
    """The terminator lies across the joint: the node's own tail is a branch, at 250 kbit/s of a metre."""
    job = good("terminator-weak")
    unit = replace(job.ends["unit"], tail_mm=mm)
    assert told is fired(replace(job, ends=frozen({**job.ends, "unit": unit})), "bus-stub")
