"""What is stated of loads, held against their words, their ohms, their like and what feeds them together."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from test_rules_limits import EDGE, good, with_cavity

from wiremap.base import Finding
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.model import Accepts, Job, Link, Span, frozen
from wiremap.rules import run
from wiremap.rules.limits import limit
from wiremap.trade.loads import kind_of_load, told_watts, way_of_motor
from wiremap.trade.tables import table

CASES = Path(__file__).parent / "cases"
SMALL = tomllib.loads((Path(__file__).parent / "small_loads.toml").read_text("utf-8"))


def told(job: Job, *rules: str) -> list[Finding]:
    """The findings of these rules."""
    return [finding for finding in run(Harness(job)) if finding.rule in rules]


@pytest.mark.parametrize(
    ("wording", "watts"),
    [
        ("Cab heater 150 W", 150.0),
        ("2 x 55 W work lamps", 110.0),
        ("Rundumleuchte 24V 70W", 70.0),
        ("Preheat 1,5 kW", 1500.0),
        ("Radio 4x50W", None),
        ("alternator W", None),
        ("bulb 21/5W", None),
        ("55 W left, 55 W right", None),
    ],
)
def test_watts_of_a_wording(wording: str, watts: float | None) -> None:
    """One figure counts, of several none; what gives sound tells what it gives, not what it draws."""
    assert watts == told_watts(wording)


@pytest.mark.parametrize(
    ("kind", "wordings"),
    [
        ("seat-heater", ["Seat heater left", "Sitzheizung li.", "siège chauffant", "calefacción asiento", "sedile riscaldato",
                         "stoelverwarming", "podgrzewanie siedzenia", "sätesvärme stolsvärme", "istuinlämmitin"]),
        ("fuel-heater", ["fuel filter heater", "Kraftstoffheizung", "réchauffage carburant réchauffeur", "calentador de combustible",
                         "riscaldatore gasolio", "brandstofverwarming", "podgrzewacz paliwa", "bränslevärmare", "polttoaineen lämmitin"]),
        ("small-heater", ["mirror heater", "Spiegelheizung", "rétroviseur chauffant", "espejo calefactado", "specchi riscaldati",
                          "spiegelverwarming", "lusterka podgrzewane", "spegelvärme spegel", "peilin lämmitin"]),
        ("air-compressor", ["Air compressor", "Luftkompressor", "compresseur d'air", "compresor de aire", "compressore aria",
                            "luchtcompressor", "sprężarka powietrza", "ilmakompressori"]),
    ],
)  # fmt: skip
def test_kinds_in_nine_languages(kind: str, wordings: list[str]) -> None:
    """A mirror's heater is not held against what a cab's draws."""
    assert [kind] * len(wordings) == [
        named.name if (named := kind_of_load(wording)) else wording for wording in wordings
    ]


@pytest.mark.parametrize(
    "wording",
    ["Seat heater switch", "heater relay", "Sitzheizung Taster", "wiper motor relay coil", "témoin chauffage", "heater fan request"],
)  # fmt: skip
def test_what_only_switches_a_load_is_none(wording: str) -> None:
    assert kind_of_load(wording) is None


@pytest.mark.parametrize("sort", SMALL)
def test_what_draws_little_by_its_nature_is_not_cautioned(sort: str) -> None:
    """Parts that stand beside a load, and small ones of its sort, at amps that are usual of them."""
    cautioned = []
    for load in SMALL[sort]:
        kind = kind_of_load(load["called"])
        watts = load["amps"] * load["volts"]
        if kind is not None and told_watts(load["called"]) is None and watts < kind.least_watts:
            cautioned.append((load["called"], kind.name, watts))
    assert cautioned == []


@pytest.mark.parametrize(
    ("called", "kind"),
    [
        ("Cab heater", "room-heater"),
        ("Standheizung", "room-heater"),
        ("Hopper bed heater", "room-heater"),
        ("chauffage cabine", "room-heater"),
        ("Radiator fan motor", "radiator-fan"),
        ("Heater blower motor", "cab-blower"),
        ("Wiper motor pump side", "wiper-motor"),
        ("Low beam light left", "headlamp"),
        ("Main beam LED", "headlamp"),
        ("Fuel filter heater feed", "fuel-heater"),
    ],
)
def test_a_load_is_what_its_own_words_say(called: str, kind: str) -> None:
    """What only names a part of the load or where it is takes no caution away."""
    named = kind_of_load(called)
    assert named is not None and named.name == kind


def at_edge(rule: str, by: float) -> Job:
    """A job at the limit of a rule, its figure that much greater: what bears more, or states more."""
    if rule == "outputs-over-fuse":  # two loads of 4 A
        return with_fuse(good(rule), 8.0 + by)
    if rule == "outputs-over-supply":
        return with_cavity(good(rule), "unit.1", amps=8.0 + by)
    if rule == "grounds-over-contacts":  # two loads of 4 A sunk, 1 A drawn
        return with_cavity(good(rule), "unit.2", accepts=Accepts(amps=9.0 + by))
    if rule == "return-below-feeds":  # a fuse of 10 A, and 5 A behind the other
        return with_cavity(good(rule), "unit.2", accepts=Accepts(amps=15.0 + by), amps=10.0)
    if rule == "watts-against-amps":  # 60 W at 12 V, a tenth more is believed
        amps = 60 / 12 / (1 + limit("ohms-margin")) + by
        return with_cavity(good(rule), "loom.3", signal="Floor plate 60 W", amps=amps)
    return with_cavity(good(rule), "loom.3", signal="Seat heater", amps=15 / 12 + by)


@pytest.mark.parametrize(
    "rule",
    [
        "outputs-over-fuse",
        "outputs-over-supply",
        "grounds-over-contacts",
        "return-below-feeds",
        "watts-against-amps",
        "amps-below-kind",
    ],
)
def test_rules_of_loads_just_below_at_and_just_above(rule: str) -> None:
    """Less than is needed is told; just enough is none too little, nor is a little more."""
    assert [bool(told(at_edge(rule, by), rule)) for by in (-EDGE, 0.0, EDGE)] == [
        True,
        False,
        False,
    ]


def test_every_word_is_met_by_itself() -> None:
    """No word of the table stands behind one of another kind that takes its place."""
    for row in table("loads.toml").section("kind"):
        for word in row["words"]:
            named = kind_of_load(word.replace(" + ", " "))
            assert named is not None and named.name == row["name"], word
            assert kind_of_load(f"{word.replace(' + ', ' ')} 12") is named
            assert not any(map(str.isdigit, word)), "a number only tells which of several it is"


def heater(ohms: float, amps: float, title: str = "cab heater") -> Job:
    """A unit of so many ohms from supply to ground, stated to draw so much."""
    job = good("amps-below-kind")
    inside = (Link(a="1", b="2", ohms=Span(ohms, ohms)),)
    unit = job.ends["unit"]
    changed = replace(unit, pinout=replace(unit.pinout, title=title, inside=inside))
    return with_cavity(
        replace(job, ends=frozen({**job.ends, "unit": changed})), "unit.1", amps=amps
    )


def test_a_heater_draws_half_of_what_its_ohms_at_rest_would() -> None:
    """1.2 ohm at 12 V are 10 A, of a PTC heater 5 A; a tenth more is still believed, no more."""
    believed = 12 / 1.2 * limit("heater-share") / (1 + limit("ohms-margin"))
    assert [] == told(heater(1.2, believed * (1 + EDGE)), "ohms-against-amps")
    (found,) = told(heater(1.2, believed * (1 - EDGE)), "ohms-against-amps")
    assert ("unit.1",) == found.subject
    assert "1.2 ohm at rest, 2 times that at work" in found.message


def test_of_another_unit_a_tenth_is_believed() -> None:
    """Electronics read few ohms at rest and draw little."""
    assert [] == told(heater(1.2, 1.0, "terminal"), "ohms-against-amps")
    assert told(heater(1.2, 0.9, "terminal"), "ohms-against-amps")


def test_one_motor_never_goes_both_ways() -> None:
    """Up and down of one motor count once, two motors each."""
    assert way_of_motor("Fenster auf")[0] == way_of_motor("Fenster ab")[0]
    bad = CASES / "outputs-over-fuse"
    pair = load_job(bad / "bad.yaml").value
    assert pair is not None
    assert told(pair, "outputs-over-fuse")
    for number, way in ((3, "up"), (4, "down")):
        pair = with_cavity(pair, f"loom.{number}", signal=f"Flap {way}")
    assert [] == told(pair, "outputs-over-fuse")
    assert "4 A" in told(pair, "outputs-over-supply")[0].message


def test_outputs_at_the_fuse_and_just_over() -> None:
    """Two of 4 A: 8 A of fuse may stay; the fuse of a feed that nobody states judges nothing."""
    job = good("outputs-over-fuse")
    rules = ("outputs-over-fuse", "outputs-over-supply")
    assert [] == told(with_fuse(job, 8.0), *rules)
    over = told(with_fuse(job, 8.0 - EDGE), *rules)
    assert ["outputs-over-fuse"] == [finding.rule for finding in over]
    assert [] == told(with_fuse(job, None), *rules)


def with_fuse(job: Job, amps: float | None) -> Job:
    """The job with another fuse before its first contact."""
    loom = job.ends["loom"]
    fed = {**loom.fed, "1": replace(loom.fed["1"], fuse_amps=amps)}
    return replace(job, ends=frozen({**job.ends, "loom": replace(loom, fed=frozen(fed))}))


@pytest.mark.parametrize("rule", ["ground-below-fuse", "contact-current"])
def test_a_ground_contact_is_held_against_the_fuse(rule: str) -> None:
    """A fault in the unit comes back through its ground contact, 8 A, for as long as 10 A hold."""
    job = with_fuse(good("amps-below-kind"), 10.0)
    accepts = Accepts(amps=8.0)
    job = with_cavity(
        job, "unit.2", accepts=accepts, amps=9.0 if rule == "contact-current" else 5.0
    )
    about = {"unit.2", "minus"}
    found = [finding for finding in told(job, rule) if about & {*finding.subject}]
    assert found
    assert "8 A" in found[0].message
    assert [] == told(with_fuse(job, 7.5), "ground-below-fuse")
