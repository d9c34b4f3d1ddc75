"""What the notebook proves: answers laid over, survey readings weighed, boxes counted, stale entries told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo_jobs import filed_demo, loom_drawing, noted

from wiremap.evidence import (
    answers,
    contradictions,
    disagreements,
    expected_volts,
    fits,
    judge_survey,
    metered,
    progress_of,
    settle,
    stale,
)
from wiremap.evidence.overlay import _value
from wiremap.graph import Harness, cavity_fingerprint, fingerprint
from wiremap.model import (
    Cavity,
    End,
    EndKind,
    Entry,
    EntryKind,
    Job,
    OnOff,
    Pinout,
    Seen,
    Side,
    Span,
    frozen,
)
from wiremap.naming import Meaning


def says(about: str, answer: str, **more: object) -> Entry:
    return Entry(
        kind=EntryKind.ANSWER,
        by="RK",
        date="2026-03-02",
        how="seen",
        about=about,
        answer=answer,
        **more,
    )  # type: ignore[arg-type]


def test_an_answered_switch_stands_on_the_end() -> None:
    """The later answer counts; an undecided one changes nothing."""
    job = noted(filed_demo(), says("gateway.TA", "off"), says("gateway.TB", "don't know"))
    ends = settle(job).ends
    assert ends["gateway"].switches["TA"] == "off"
    assert ends["gateway"].switches["TB"] == "on"


def test_a_named_answer_settles_sources_that_disagree() -> None:
    """Without the notebook both claims stand; with it the answer leads and every claim is kept."""
    bare = replace(filed_demo(), notebooks=())
    assert [(d.address, d.settled) for d in disagreements(settle(bare))] == [
        ("loom.12", None),
        ("loom.13", None),
    ]
    settled = settle(filed_demo())
    assert [d.settled.by for d in disagreements(settled) if d.settled] == ["RK", "RK"]
    twelve = settled.ends["loom"].pinout.cavities["12"]
    assert (twelve.function, twelve.basis) == ("analogue-input", "measured")
    assert [c.reading.function for c in twelve.also] == ["pulse-input"]


def test_an_answer_without_a_name_settles_nothing() -> None:
    """A conflict is held until somebody stands to it."""
    job = noted(
        replace(filed_demo(), notebooks=()), replace(says("loom.12", "analogue-input"), by=" ")
    )
    assert settle(job).ends["loom"].pinout.cavities["12"].function == "pulse-input"


def test_settling_twice_changes_nothing_more() -> None:
    """The settled job is a fixed point."""
    once = settle(filed_demo())
    assert once == settle(once)


@pytest.mark.parametrize(
    ("about", "answer", "look", "expected"),
    [
        ("loom.1.amps", "3,5 A", lambda j: j.ends["loom"].pinout.cavities["1"].amps, 3.5),
        (
            "loom.1.volts",
            "9 to 16",
            lambda j: j.ends["loom"].pinout.cavities["1"].volts,
            Span(9, 16),
        ),
        ("loom.tail_mm", "250", lambda j: j.ends["loom"].tail_mm, 250.0),
        ("supply.volts", "24", lambda j: j.supply.volts, 24.0),
        ("surroundings.wet", "no", lambda j: j.surroundings.wet, False),
        ("feed.16.fuse_amps", "10", lambda j: j.ends["feed"].fed["16"].fuse_amps, 10.0),
        (
            "level",
            "confirmed",
            lambda j: [c.by for c in j.confirmed if c.circuit == "level"],
            ["RK"],
        ),
    ],
)
def test_answers_reach_the_model(about: str, answer: str, look: object, expected: object) -> None:
    """Each kind of answer is seen where it belongs."""
    assert expected == look(settle(noted(filed_demo(), says(about, answer))))  # type: ignore[operator]


@pytest.mark.parametrize("answer", ["", "three", "nan", "inf", "-", "9 to x", "\x1b[2J"])
def test_an_answer_that_makes_no_sense_changes_nothing(answer: str) -> None:
    """Nothing is lost or guessed."""
    job = filed_demo()
    assert (
        settle(job).ends["loom"].pinout.cavities["1"]
        == settle(noted(job, says("loom.1.amps", answer))).ends["loom"].pinout.cavities["1"]
    )


def test_a_stale_answer_is_told_and_not_applied() -> None:
    """Function, volts or wire changed since: the fingerprint no longer fits."""
    old = says("loom.1.amps", "9", of="0" * 12)
    now = says(
        "loom.2.amps", "9", of=cavity_fingerprint(filed_demo().ends["loom"].pinout.cavities["2"])
    )
    job = noted(filed_demo(), old, now)
    assert [s.entry.about for s in stale(job)] == ["loom.1.amps"]
    assert "loom.1.amps" not in answers(job)
    assert settle(job).ends["loom"].pinout.cavities["2"].amps == 9.0


def test_the_table_that_has_two_cavities_exchanged_is_found() -> None:
    """1.8 kohm at 12 where the paper promises a pulse sensor: it reads as 13 should; both are kept until a name stands."""
    job = noted(
        loom_drawing(),
        Entry(
            kind=EntryKind.SURVEY,
            by="RK",
            date="2026-03-02",
            red=("end.12",),
            black=("end.8",),
            volts=0.0,
            ohms=Span.of(1800),
        ),
    )
    (found,) = contradictions(settle(job))
    assert (found.address, found.reads_as, found.settled) == ("end.12", "end.13", None)
    answered = noted(job, says("end.12", "analogue-input"))
    assert all(c.settled is not None for c in contradictions(settle(answered)))
    assert settle(answered).ends["end"].pinout.cavities["12"].function == "analogue-input"


def test_fitting_readings_turn_paper_into_measurement() -> None:
    """Volts prove the supply, ohms to chassis the ground; a live ohms reading is refused."""
    seen = (
        Entry(
            kind=EntryKind.SURVEY,
            by="RK",
            red=("end.1",),
            black=("chassis",),
            volts=12.6,
            key=OnOff.OFF,
        ),
        Entry(
            kind=EntryKind.SURVEY,
            by="RK",
            red=("end.2",),
            black=("chassis",),
            volts=0.0,
            ohms=Span.of(0.2),
        ),
        Entry(
            kind=EntryKind.SURVEY,
            by="RK",
            red=("end.8",),
            black=("chassis",),
            volts=3.0,
            ohms=Span.of(9e6),
        ),
    )
    job = noted(loom_drawing(), *seen)
    assert [j.verdict for j in judge_survey(job)] == ["fits", "fits", "refused"]
    cavities = settle(job).ends["end"].pinout.cavities
    assert [cavities[n].basis for n in ("1", "2", "8")] == ["measured", "measured", "document"]
    assert progress_of(Harness(settle(job))).surveyed == (2, 14)


def test_battery_minus_is_as_good_as_the_chassis() -> None:
    """12.4 V on a ground contradicts its paper from whichever of the two the black probe was held on."""
    for black in ("chassis", "battery minus"):
        job = noted(
            loom_drawing(),
            Entry(
                kind=EntryKind.SURVEY,
                by="RK",
                red=("end.2",),
                black=(black,),
                volts=12.4,
                key=OnOff.OFF,
            ),
        )
        assert [j.verdict for j in judge_survey(job)] == ["contradicts"], black


def test_two_browns_are_told_apart() -> None:
    """A power ground that is open to chassis contradicts, a return that is joined to it too."""
    job = noted(
        loom_drawing(),
        Entry(
            kind=EntryKind.SURVEY,
            by="RK",
            red=("end.2",),
            black=("chassis",),
            volts=0.0,
            ohms=Span(9e9, float("inf")),
        ),
        Entry(
            kind=EntryKind.SURVEY,
            by="RK",
            red=("end.8",),
            black=("chassis",),
            volts=0.0,
            ohms=Span.of(0.3),
        ),
    )
    assert [j.verdict for j in judge_survey(job)] == ["contradicts", "contradicts"]


@pytest.mark.parametrize("function", ["restraint", "voltage-class-b"])
def test_nobody_probes_what_is_refused(function: str) -> None:
    """No row, and a reading that was taken anyway counts for nothing."""
    cavity = Cavity(name="1", reading=Meaning(function))
    end = End(
        name="loom",
        pinout=Pinout(title="p", path="p.yaml", cavities=frozen({"1": cavity})),
        kind=EndKind.CUT_TAIL,
        side=Side.MACHINE,
    )
    job = noted(
        Job(title="t", path="t.yaml", ends=frozen({"loom": end}), circuits=()),
        Entry(kind=EntryKind.SURVEY, by="X", red=("loom.1",), volts=12.0),
    )
    assert expected_volts(job, end, cavity) == []
    assert [j.verdict for j in judge_survey(job)] == ["refused"]


def test_class_b_volts_are_refused_whatever_the_function() -> None:
    """Above 60 V DC or 30 V AC (ISO 6469-3)."""
    for cavity in (
        Cavity(name="1", reading=Meaning("permanent-supply"), volts=Span.of(61)),
        Cavity(name="1", reading=Meaning("unknown"), volts_ac=31),
    ):
        end = End(
            name="loom",
            pinout=Pinout(title="p", path="p.yaml", cavities=frozen({"1": cavity})),
            kind=EndKind.CUT_TAIL,
            side=Side.MACHINE,
        )
        assert (
            expected_volts(
                Job(title="t", path="t.yaml", ends=frozen({"loom": end}), circuits=()), end, cavity
            )
            == []
        )


def probes(job: Job, *pairs: tuple[str, str, str], of: bool = True) -> Job:
    from wiremap.evidence import probe_print

    h = Harness(job)
    return noted(
        job,
        *(
            Entry(
                kind=EntryKind.PROBE,
                by="RK",
                red=(a,),
                black=(b,),
                seen=s,
                of=probe_print(h, (a, b)) if of else None,
            )
            for a, b, s in pairs
        ),
    )


def test_changing_a_net_makes_only_its_own_readings_stale() -> None:
    """A title voids nothing; a point added to one circuit voids the readings of that circuit alone."""
    from wiremap.evidence import fresh

    job = probes(
        settle(filed_demo()), ("loom.12", "donor.16", "beep"), ("loom.13", "donor.17", "beep")
    )
    book = job.notebooks[-1].entries
    renamed = Harness(replace(job, title="another"))
    assert [fresh(renamed, e) for e in book] == [True, True]
    level = replace(job.circuit("level"), join=("loom.12", "donor.16", "donor.19"))
    changed = Harness(
        replace(job, circuits=tuple(level if c.id == "level" else c for c in job.circuits))
    )
    assert [fresh(changed, e) for e in book] == [False, True]


def test_the_rung_out_box_fills_when_the_plan_is_answered() -> None:
    """Nets countable from the start, none done; all done when every probe of the plan was as expected."""
    from ringout_simulator import Copper

    from wiremap.ringout.plan import plan

    job = settle(filed_demo())
    h = Harness(job)
    done, countable = progress_of(h).rung_out
    assert 0 == done < countable
    copper = Copper(job, machine=True)
    made = plan(h, "near")
    answered = noted(job, *(copper.answer(p) for p in made.probes))
    assert (countable, countable) == progress_of(Harness(answered)).rung_out
    less = noted(job, *(copper.answer(p) for p in made.probes if p.kind != "apart"))
    assert countable > progress_of(Harness(less)).rung_out[0]


def test_a_meter_adds_its_own_band() -> None:
    """120 ohm by 2 % and half an ohm of leads (common practice): 117.1 to 122.9; a beep may be up to 50 ohm."""
    assert (round(metered(Span.of(120)).low, 1), round(metered(Span.of(120)).high, 1)) == (
        117.1,
        122.9,
    )
    assert fits(Entry(kind=EntryKind.PROBE, seen=Seen.BEEP), Span.of(30)) and fits(
        Entry(kind=EntryKind.PROBE, seen=Seen.SILENT), Span.of(30)
    )
    assert not fits(Entry(kind=EntryKind.PROBE, seen=Seen.BEEP), Span.of(60)) and not fits(
        Entry(kind=EntryKind.PROBE, seen=Seen.SILENT), Span.of(5)
    )
    assert fits(Entry(kind=EntryKind.PROBE, seen=Seen.UNSURE), Span.of(60))


def test_the_fingerprint_is_that_of_the_plain_words() -> None:
    """SHA-256 of the sorted addresses, one a line, first 12 hex digits (computed with hashlib by hand)."""
    import hashlib

    assert hashlib.sha256(b"a.1\nb.2").hexdigest()[:12] == fingerprint(["b.2", "a.1"])


@pytest.mark.parametrize(
    ("named", "said", "basis"),
    [(True, "measured", "measured"), (False, "measured", None), (True, "hearsay", None)],
)
def test_a_basis_is_taken_from_the_list_and_from_somebody(
    named: bool, said: str, basis: str | None
) -> None:
    """How a statement is known is told by a person, with one of the three words."""
    assert _value("basis", said, named=named) == basis
    assert _value("side", "measured", named=named) is None
