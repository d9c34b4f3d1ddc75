"""Survey readings: causes in the order of practice, the last word on each, where they count."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wiremap.evidence import contradictions, judge_survey, settle
from wiremap.evidence.founded import unmeasured
from wiremap.evidence.judged_reading import SurveyReading
from wiremap.evidence.meter import displayed
from wiremap.evidence.survey_readings import proven_addresses
from wiremap.firstpower.plan import power_plan
from wiremap.graph import Harness
from wiremap.model import (
    CHASSIS,
    Entry,
    EntryKind,
    Job,
    Link,
    Notebook,
    OnOff,
    Span,
    frozen,
)
from wiremap.naming import Meaning
from wiremap.reports.survey_brief import verdicts_brief
from wiremap.survey.left import lacking
from wiremap.survey.lines import typed_survey
from wiremap.survey.questions import questions, questions_about
from wiremap.survey.rows import survey


def read(job: Job, lines: str) -> Job:
    """The job with typed readings among its notebooks."""
    entries, faults, _ = typed_survey(job, lines, "survey.txt", "RK", "2026-03-02")
    assert faults == ()
    return replace(job, notebooks=(Notebook("n.yaml", entries),))


def judged(job: Job, lines: str) -> tuple[SurveyReading, ...]:
    return judge_survey(read(job, lines))


def unknown(job: Job, cavity: str) -> Job:
    """The job whose loom has a contact that nobody knows, and states no load there."""
    loom = job.ends["loom"]
    cavities = dict(loom.pinout.cavities)
    cavities[cavity] = replace(cavities[cavity], reading=Meaning("unknown"), volts=None)
    behind = tuple(x for x in loom.pinout.behind if cavity not in (x.a, x.b))
    pinout = replace(loom.pinout, cavities=frozen(cavities), behind=behind)
    return replace(job, ends=frozen({**job.ends, "loom": replace(loom, pinout=pinout)}))


@pytest.mark.parametrize(
    ("true", "low", "high"),
    [
        (Span(108, 132), 105, 136),
        (Span(10_000, float("inf")), 9700, float("inf")),
        (Span(0, 0.5), 0, 1.1),
        (Span(6.75, 8.25), 6.1, 9.0),
    ],
)
def test_bands_are_what_a_display_shows(true: Span, low: float, high: float) -> None:
    """Three digits at most, two from a kilohm on, rounded outwards, never less than what 2 % and 0.5 ohm leave open."""
    assert displayed(true) == Span(low, high)


@pytest.mark.parametrize(
    ("line", "cause"),
    [
        ("loom.2 to chassis 12 ohm", "a poor ground: a dirty, painted or loose bolt"),
        ("loom.2 to chassis open", "its bolt undone or its wire broken"),
        ("loom.6 to loom.7 61 ohm", "two terminators lie on this pair"),
        ("loom.6 to loom.7 40 ohm", "one terminator too many"),
        ("loom.6 to loom.7 1 ohm", "the two wires touch"),
        ("loom.9 to loom.10 open", "a guard stands open, its wire is broken"),
        ("loom.3 to chassis open", "the load is unplugged"),
        ("loom.3 to chassis 2 ohm", "two loads side by side"),
        ("loom.8 to chassis 0.4 ohm", "joined to chassis: a power ground"),
    ],
)
def test_a_strange_reading_names_its_likeliest_causes(
    unread_demo: Job, line: str, cause: str
) -> None:
    """In the order of practice (common practice), and what to read to tell them apart."""
    (reading,) = judged(unread_demo, line)
    assert reading.verdict == "contradicts"
    assert reading.why.startswith(cause)
    assert "; to tell: " in reading.why


def test_a_better_reading_replaces_a_worse_one(unread_demo: Job) -> None:
    """The bolt is cleaned and read again: the last word counts, what was read before is told."""
    lines = "loom.2 to chassis 12 ohm\nloom.2 to chassis 0.2 ohm"
    first, second = judged(unread_demo, lines)
    assert (first.verdict, second.verdict) == ("replaced", "fits")
    assert second.before == (first.entry,)


def test_the_last_word_may_be_the_worse_one(unread_demo: Job) -> None:
    """A ground that was sound and is not any more contradicts the paper; not sure says nothing."""
    lines = "loom.2 to chassis 0.2 ohm\nloom.2 to chassis 12 ohm"
    assert [r.verdict for r in judged(unread_demo, lines)] == ["replaced", "contradicts"]


@pytest.mark.parametrize("line", ["loom.2 0.0 V key on", "loom.3 to chassis 7.5 ohm"])
def test_another_thing_replaces_nothing(unread_demo: Job, line: str) -> None:
    """Volts do not replace ohms; a reading of another point does not either."""
    assert judged(unread_demo, f"loom.2 to chassis 12 ohm\n{line}")[0].verdict == "contradicts"


def test_an_unknown_contact_is_read_in_ohms_too(unread_demo: Job) -> None:
    """Volts ignition off, on, then with all that can be switched on; then ohms to chassis."""
    rows = [r for r in survey(unknown(unread_demo, "12")).rows if r.red == "loom.12"]
    assert [(r.block, r.key, r.low) for r in rows] == [
        ("volts", "off", None),
        ("volts", "on", None),
        ("volts", "on", None),
        ("ohms", None, None),
    ]
    assert [r.state for r in rows] == [None, None, "lights and switches on", None]


def test_ohms_of_an_unknown_contact_are_expected_behind_the_loom(unread_demo: Job) -> None:
    """7.4 ohm to chassis, read before the cut, is what a meter finds there afterwards."""
    paper = unknown(unread_demo, "12")
    assert Harness(settle(paper)).ohms("loom.12", "chassis").low == float("inf")
    known = settle(read(paper, "loom.12 to chassis 7.4 ohm"))
    assert Harness(known).ohms("loom.12", "chassis", plugged=False).low == pytest.approx(7.4)
    assert known.ends["loom"].pinout.cavities["12"].basis != "measured"
    assert settle(known).ends["loom"].pinout.found == known.ends["loom"].pinout.found


def test_what_follows_from_other_readings_is_not_added_twice(unread_demo: Job) -> None:
    """Two loads of 7 ohm to chassis read 14 ohm between them: that is no third load."""
    paper = unknown(unknown(unread_demo, "12"), "13")
    lines = "loom.12 to loom.13 14 ohm\nloom.12 to chassis 7 ohm\nloom.13 to chassis 7 ohm"
    harness = Harness(settle(read(paper, lines)))
    assert harness.ohms("loom.12", "loom.13", plugged=False).high == pytest.approx(14.0)


def test_what_moves_is_locked_out_before_the_ignition_is_turned(unread_demo: Job) -> None:
    """Chock, lower or prop, pressure off, tag: in that order."""
    told = " ".join(survey(unread_demo).lock_out)
    words = ["chock", "lower or prop", "pressure off", "tag the ignition"]
    places = [told.index(word) for word in words]
    assert places == sorted(places)


@pytest.mark.parametrize(
    "line", [",", ":", "(", "):", "# only a remark, #", "-", "to", "loom.1 to"]
)
def test_a_line_without_words_is_told(unread_demo: Job, line: str) -> None:
    """Marks alone are no reading, and no fault of ours."""
    entries, faults, _ = typed_survey(unread_demo, line, "survey.txt")
    assert entries == () and [f.rule for f in faults]


def at_face(job: Job, point: str, key: str) -> Span | None:
    """What first power expects at a contact of the unmated face."""
    for step in power_plan(Harness(job)):
        if step.stage == "volts" and (step.red, step.key) == (point, key):
            assert step.low is not None and step.high is not None
            return Span(step.low, step.high)
    return None


def test_first_power_expects_what_was_read_before_the_cut(unread_demo: Job) -> None:
    """An output's line read 12.4 V with the ignition on: it is not called wrong at the new face."""
    known = settle(read(unread_demo, "loom.3 12.4 V ignition on\nloom.3 0.0 V ignition off"))
    at, off = at_face(known, "donor.12", "on"), at_face(known, "donor.12", "off")
    assert at is not None and at.low < 12.4 < at.high
    assert off is None  # nothing stood there with the ignition off: read with it on alone
    assert at_face(settle(unread_demo), "donor.12", "on") == Span(-0.1, 0.1)


@pytest.mark.parametrize(("unit", "most"), [("sensor-supply", 0.1), ("can-high", 3.6)])
def test_no_unknown_wire_is_expected_live_on_what_it_would_kill(
    unread_demo: Job, unit: str, most: float
) -> None:
    """Whatever the machine's wire shows, a reference or a bus of the unit shall not see it."""
    donor = unread_demo.ends["donor"]
    point = next(
        a for c in unread_demo.circuits if "loom.12" in c.join for a in c.join if a.end == "donor"
    )
    cavities = dict(donor.pinout.cavities)
    cavities[point.cavity] = replace(cavities[point.cavity], reading=Meaning(unit), volts=None)
    pinout = replace(donor.pinout, cavities=frozen(cavities))
    ends = frozen({**unread_demo.ends, "donor": replace(donor, pinout=pinout)})
    job = settle(read(unknown(replace(unread_demo, ends=ends), "12"), "loom.12 12.4 V ignition on"))
    at = at_face(job, str(point), "on")
    assert at is not None and at.high == most


def test_a_strange_reading_is_asked_about_until_a_better_one(unread_demo: Job) -> None:
    """What may be wrong stands in the question; the cleaned bolt takes it away."""
    poor = settle(read(unread_demo, "loom.2 to chassis 12 ohm"))
    (asked,) = questions_about(questions(poor), "loom.2")
    assert asked.answers[0] == "power-ground" and asked.why.startswith("a poor ground")
    better = settle(read(unread_demo, "loom.2 to chassis 12 ohm\nloom.2 to chassis 0.2 ohm"))
    assert questions_about(questions(better), "loom.2") == ()


def test_no_word_makes_a_live_wire_unused(unread_demo: Job) -> None:
    """Whoever calls a wire unused that read 12.4 V is held and asked again; read dead, the word stands."""
    paper = read(unknown(unread_demo, "14"), "loom.14 12.4 V ignition on")
    said = Entry(kind=EntryKind.ANSWER, about="loom.14", answer="unused", by="RK", how="looked")

    def settled(job: Job) -> Job:
        return settle(replace(job, notebooks=(*job.notebooks, Notebook("a.yaml", (said,)))))

    job = settled(paper)
    assert [r.address for r in contradictions(job) if r.contradicts] == ["loom.14"]
    asked = questions_about(questions(job), "loom.14")
    assert asked and "unused" not in asked[0].answers
    quiet = settled(read(unknown(unread_demo, "14"), "loom.14 0.02 V ignition on"))
    assert not questions_about(questions(quiet), "loom.14")


def test_an_unknown_wire_without_a_machine_behind_is_not_asked_for_volts(unread_demo: Job) -> None:
    """A plug cut off its machine reads 0 V and open at every wire, whatever it was."""
    donor = unread_demo.ends["donor"]
    cavities = dict(donor.pinout.cavities)
    cavities["11"] = replace(cavities["11"], reading=Meaning("unknown"))
    pinout = replace(donor.pinout, cavities=frozen(cavities))
    job = replace(
        unread_demo, ends=frozen({**unread_demo.ends, "donor": replace(donor, pinout=pinout)})
    )
    (asked,) = questions_about(questions(job), "donor.11")
    assert "meter reads nothing" in asked.how and "ohms" not in asked.how
    (other,) = questions_about(questions(unknown(job, "12")), "loom.12")
    assert "volts to battery minus" in other.how


def test_a_sensor_supply_at_rest_proves_nothing(unread_demo: Job) -> None:
    """Its unit alone feeds it, so that unplugged it reads 0 V whatever it is: no word makes that a proof."""
    loom = unread_demo.ends["loom"]
    assert loom.pinout.cavities["11"].function == "sensor-supply"
    refused = unmeasured(unread_demo, "loom.11.basis", "0.0 V on", "")
    assert refused is not None and "old unit plugged" in refused.fix
    assert unmeasured(unread_demo, "loom.11.basis", "5.0 V on", "") is None
    bare = replace(loom, pinout=replace(loom.pinout, behind=()))
    paper = replace(unread_demo, ends=frozen({**unread_demo.ends, "loom": bare}))
    seen = "loom.11 0 V ignition on, loom.11 to loom.8 4700 ohm, loom.11 to chassis open"
    job = settle(read(paper, seen))
    assert lacking(Harness(job), survey(job), judge_survey(job)).resting == ("loom.11",)


def test_what_the_paper_denies_is_not_expected_until_it_is_settled(unread_demo: Job) -> None:
    """A poor ground is no load behind the loom: the ring-out does not get used to it."""
    lines = "loom.2 to chassis 12 ohm"
    assert settle(read(unread_demo, lines)).ends["loom"].pinout.found == ()


def test_a_bus_without_in_line_unit_speaks_of_none(unread_demo: Job) -> None:
    """No port, no switch: the two halves bring the two terminators."""
    ends = {name: end for name, end in unread_demo.ends.items() if name != "gateway"}
    steps = survey(replace(unread_demo, ends=frozen(ends), circuits=())).terminators
    assert steps and all("port" not in step.so for t in steps for step in t.steps)
    assert any("port" in step.so for t in survey(unread_demo).terminators for step in t.steps)


def test_grounds_of_a_loom_meet_at_the_chassis(unread_demo: Job) -> None:
    """Where no paper states it (common practice); one that was read otherwise is left out."""
    loom = unread_demo.ends["loom"]
    bare = replace(loom, pinout=replace(loom.pinout, behind=()))
    job = replace(unread_demo, ends=frozen({**unread_demo.ends, "loom": bare}))
    ground = Harness(settle(job)).ohms("loom.2", "chassis", plugged=False)
    assert ground == Span(0.0, 0.5)
    poor = settle(read(job, "loom.2 to chassis 12 ohm"))
    assert Harness(poor).ohms("loom.2", "chassis", plugged=False).low == float("inf")


HALF = "donor.9 to donor.8 0 V 120 ohm"


def without_inside(job: Job) -> Job:
    """The job whose new unit's paper says nothing of what lies between its contacts."""
    donor = job.ends["donor"]
    bare = replace(donor, pinout=replace(donor.pinout, inside=()))
    return replace(job, ends=frozen({**job.ends, "donor": bare}))


def test_a_terminator_that_no_paper_tells_of_counts_and_is_told_so(unread_demo: Job) -> None:
    """It is no reading of which nothing is promised and nothing follows."""
    job = without_inside(unread_demo)
    (one,) = judged(job, HALF)
    assert one.verdict == "recorded" and "it counts" in one.why
    (line,) = verdicts_brief([one])
    assert line == f"1 written down, {one.why}: donor.9"
    (found,) = settle(read(job, HALF)).ends["donor"].pinout.found
    assert {found.a, found.b} == {"8", "9"} and found.ohms == Span.of(120)


def test_a_terminator_against_the_units_paper_is_told(unread_demo: Job) -> None:
    """The paper says open: a contradiction, which counts once a name has settled it."""
    (one,) = judged(unread_demo, HALF)
    assert one.contradicts and "otherwise than told" in one.why
    job = settle(read(unread_demo, HALF))
    assert [each.address for each in contradictions(job)] == ["donor.9"]
    assert job.ends["donor"].pinout.found == ()
    answer = Entry(
        kind=EntryKind.ANSWER, about="donor.9", answer="can-high", by="RK", how="sure: read twice"
    )
    (kept,) = read(unread_demo, HALF).notebooks
    both = replace(kept, entries=(*kept.entries, answer))
    settled = settle(replace(unread_demo, notebooks=(both,)))
    assert contradictions(settled)[0].settled is not None
    assert [x.ohms for x in settled.ends["donor"].pinout.found] == [Span.of(120)]


@pytest.mark.parametrize(
    ("switch", "line", "verdict"),
    [
        (OnOff.ON, "120 ohm", "fits"),
        (OnOff.ON, "open", "contradicts"),
        (OnOff.OFF, "120 ohm", "recorded"),
        (None, "120 ohm", "fits"),
        (None, "open", "fits"),
        (None, "60 ohm", "contradicts"),
    ],
)
def test_a_units_switch_is_read_as_it_stands(
    unread_demo: Job, switch: OnOff | None, line: str, verdict: str
) -> None:
    """On, off, or so far looked at by nobody."""
    gateway = unread_demo.ends["gateway"]
    stands = frozen({name: switch for name in gateway.switches if switch is not None})
    ends = frozen({**unread_demo.ends, "gateway": replace(gateway, switches=stands)})
    (one,) = judged(replace(unread_demo, ends=ends), f"gateway.1 to gateway.2 0 V {line}")
    assert one.verdict == verdict


def test_a_load_that_reads_as_a_short_proves_nothing(unread_demo: Job) -> None:
    """Its stated ohms lie as low: a wire chafed through to the chassis would read so too."""
    loom = unread_demo.ends["loom"]
    low = Link(a="3", b=CHASSIS, ohms=Span(0.3, 0.6))
    others = [x for x in loom.pinout.behind if "3" not in (x.a, x.b)]
    pinout = replace(loom.pinout, behind=(*others, low))
    job = replace(
        unread_demo, ends=frozen({**unread_demo.ends, "loom": replace(loom, pinout=pinout)})
    )
    (one,) = judged(job, "loom.3 to chassis 0 V 0.4 ohm")
    assert one.verdict == "recorded" and "a short reads so too" in one.why
    assert proven_addresses(read(job, "loom.3 to chassis 0 V 0.4 ohm")) == []
