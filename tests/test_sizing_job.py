"""A whole job: the invented spreader's figures, what a missing size blocks, and that every number has its parent."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from sizing_jobs import DONOR, LOOM, STRAIGHT, cavity, pinout, spreader, wire

from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.model import (
    Circuit,
    End,
    EndKind,
    Extra,
    ExtraKind,
    Fed,
    Job,
    Leaflet,
    Side,
    Supply,
    Surroundings,
    Wire,
    frozen,
)
from wiremap.sizing.job import size_job
from wiremap.sizing.job_sizes import JobSizes
from wiremap.sizing.parents import assumptions, parents
from wiremap.sizing.sized import Sized


@pytest.fixture(scope="module")
def sizes() -> JobSizes:
    return size_job(spreader())


def test_the_thin_leg_and_the_loom_carry_what_was_worked_apart(sizes: JobSizes) -> None:
    """85 C in 60 C: 0.5 mm2 8.3 A, 0.75 mm2 10.8 A (heat balance worked with ht)."""
    judged = {j.subject: j for j in sizes.feed("loom.1").judged}
    assert judged["donor.3"].ampacity_amps == pytest.approx(8.3, abs=0.06)
    assert judged["loom.1"].ampacity_amps == pytest.approx(10.8, abs=0.06)


def test_ten_amps_are_too_many_five_will_do(sizes: JobSizes) -> None:
    """1.35 x 10 = 13.5 A is over 8.3 A; 1.35 x 5 = 6.75 A is not, and 3.3 A / 0.75 stays under 5 A."""
    feed = sizes.feed("loom.1")
    assert (feed.load_amps, feed.fuse_amps, feed.too_small) == (pytest.approx(3.3), 5, ())
    assert not [o for j in feed.judged for o in j.objections]
    assert feed.found_sentence.startswith("10 A upstream: it may carry 1.6 x 10 A = 16 A for 50 s")
    ten = size_job(spreader(f7=10)).feed("loom.1")
    assert {j.subject for j in ten.judged if j.objections} == {"donor.3", "loom.1"}


def test_the_leaflet_beats_the_computed_fuse(sizes: JobSizes) -> None:
    """Leaflet 2 A; 0.15 A of load and a 0.6 A peak ask for 1 A."""
    fuse = sizes.fuses["F1"]
    assert (fuse.amps, fuse.chosen, fuse.leaflet_amps, fuse.feed) == (2, True, 2, "feed.16")
    assert fuse.sized is not None and fuse.sized.number("fuse_computed") == 1
    assert (
        fuse.upstream_sentence == "15 A upstream: a 0.5 mm2 lead would reach 207 C before it opens"
    )
    assert fuse.selective is True
    assert size_job(spreader(leaflet=None)).fuses["F1"].amps == 1


def test_a_tap_leads_to_its_own_fuse_by_a_stub(sizes: JobSizes) -> None:
    feed = sizes.feed("feed.16")
    assert (feed.stub_mm, feed.is_short_stub, feed.sentence) == (150, True, "")
    assert [(each.subject, each.objections) for each in feed.judged] == [("feed-a", ())]


def test_drop_on_the_looms_own_copper(sizes: JobSizes) -> None:
    """4 m out and back of 0.75 mm2 at 24.7 mohm/m, 3.3 A, 20 C: 0.652 V, 5.4 % of 12 V, by Ohm's law."""
    drop = max(sizes.feed("loom.1").drops, key=lambda d: d.percent)
    assert drop.sized.number("loom_drop_20C") == pytest.approx(3.3 * 8 * 0.0247)
    assert drop.sized.number("loom_drop_20C_percent") == pytest.approx(5.43, abs=0.01)
    assert (
        drop.sized.number("drop")
        > drop.sized.number("drop_20C")
        > drop.sized.number("loom_drop_20C")
    )


@pytest.mark.parametrize(
    ("tails", "stations", "abreast"), [((220, 180), 1, 16), ((350, 180), 4, 4), ((350, 400), 8, 2)]
)
def test_sixteen_joints_in_the_run(tails: tuple[float, float], stations: int, abreast: int) -> None:
    """Joints of the loom's tail alone or the donor's alone reach farther than those that need both."""
    layout = size_job(spreader(tails=tails)).runs["loom-donor"]
    assert sum(group.weight for group in layout.groups) == 16
    straight = [group for group in layout.groups if group.names[0] in STRAIGHT]
    assert len(straight) == 11 and {(u.lo, u.hi) for u in straight} == {
        (layout.window.lo, layout.window.hi)
    }
    assert layout.layout is not None
    assert layout.layout.abreast <= abreast
    if tails == (350, 400):
        assert len(layout.layout.stations_mm) == stations and layout.layout.abreast == 2


def test_every_joint_has_barrel_sleeve_strip_and_place(sizes: JobSizes) -> None:
    for joint in sizes.joints.values():
        assert (
            joint.made is not None
            and joint.made.barrel is not None
            and joint.made.sleeve is not None
        ), joint.joint
        assert joint.made.strip_mm > 0 and joint.made.sleeve_cut_mm
        assert (joint.at_mm is not None) == (joint.joint != "feed-a")


def test_lengths_to_cut_for_every_tail(sizes: JobSizes) -> None:
    harness = spreader()
    tails = {
        c.id
        for c in harness.conductors.values()
        if c.origin in ("tail", "new") and c.circuit != "feed-a"
    }
    assert tails <= set(sizes.cuts) | {"feed-a:new"}
    pair = [sizes.cuts[f"bus-b-{leg}:donor.{n}"].mm for leg, n in (("hi", "9"), ("lo", "8"))]
    assert pair[0] != pair[1]


def test_continuity_by_parts() -> None:
    """0.5 m of 0.5 mm2, two contacts, one joint: 18.55 + 2 x 10 + 1 = 39.55 mohm (rows of the parts, added by hand)."""
    ends = [
        End(
            name="a",
            pinout=pinout("a", [cavity("1", "digital-input", 0.5)]),
            kind=EndKind.PIGTAIL,
            side=Side.MACHINE,
            tail_mm=250,
        ),
        End(
            name="b",
            pinout=pinout("b", [cavity("1", "digital-input", 0.5)]),
            kind=EndKind.PIGTAIL,
            side=Side.UNIT,
            tail_mm=250,
        ),
    ]
    job = Job(
        title="j",
        path="j.yaml",
        ends=frozen({e.name: e for e in ends}),
        circuits=(Circuit(id="c", join=("a.1", "b.1")),),
    )
    found = size_job(Harness(job)).continuity[0]
    assert found.sized.number("most") == pytest.approx(39.55)


def test_the_loaded_drop_is_ohms_law(sizes: JobSizes) -> None:
    spinner = next(t for t in sizes.loaded if t.circuit == "spinner")
    assert spinner.sized.number("expected") == pytest.approx(1.2 * (0.35 * 24.7 + 0.4 * 37.1))
    assert {t.circuit for t in sizes.loaded} >= {"supply", "ground", "spinner", "conveyor"}
    assert next(t for t in sizes.loaded if t.circuit == "ground").sized.number("most") <= 100


def test_every_number_has_its_parent(sizes: JobSizes) -> None:
    answers: list[Sized] = [j.sized for j in sizes.joints.values()]
    answers += [d.sized for f in sizes.feeds for d in f.drops] + [c.sized for c in sizes.continuity]
    answers += [t.sized for t in sizes.loaded] + [f.sized for f in sizes.fuses.values() if f.sized]
    assert answers
    for answer in answers:
        for result in answer.results:
            assert result.formula and result.source and result.status


@pytest.mark.parametrize(
    ("harness", "subject", "still"),
    [
        (lambda: spreader(runs=()), "donor-loom", "fuses"),
        (lambda: spreader(supply=Supply()), "supply", "joints"),
        (lambda: spreader(surroundings=Surroundings(ambient_C=200.0)), "surroundings", "joints"),
    ],
)
def test_what_is_missing_blocks_only_what_needs_it(harness, subject: str, still: str) -> None:  # type: ignore[no-untyped-def]
    found = size_job(harness())
    assert [m for m in found.missing if m.subject == subject]
    assert getattr(found, still)


def test_a_wire_without_a_size_blocks_its_own_joint_and_nothing_else() -> None:
    loom = [
        replace(c, wire=Wire("0.75? RD", 0.75, doubtful=True)) if c.name == "3" else c for c in LOOM
    ]
    harness = spreader()
    ends = dict(harness.job.ends) | {
        "loom": replace(harness.job.ends["loom"], pinout=pinout("loom", loom))
    }
    found = size_job(spreader(ends=frozen(ends)))
    assert {m.subject for m in found.missing} == {"loom.3", "spinner"}
    assert "spinner" not in found.joints and "conveyor" in found.joints


def test_little_is_enough() -> None:
    """Two lists without a single size: nothing is sized, everything missing is said, nothing breaks."""
    ends = [
        End(
            name="old",
            pinout=pinout("old", [cavity("1", "permanent-supply"), cavity("2", "power-ground")]),
            kind=EndKind.CUT_TAIL,
            side=Side.MACHINE,
        ),
        End(
            name="new",
            pinout=pinout("new", [cavity("1", "permanent-supply"), cavity("2", "power-ground")]),
            kind=EndKind.PIGTAIL,
            side=Side.UNIT,
        ),
    ]
    job = Job(
        title="j",
        path="j.yaml",
        ends=frozen({e.name: e for e in ends}),
        circuits=(
            Circuit(id="a", join=("old.1", "new.1")),
            Circuit(id="b", join=("old.2", "new.2")),
        ),
    )
    found = size_job(Harness(job))
    assert not found.joints and not found.conductors
    assert {m.subject for m in found.missing} >= {"old.1", "new.1", "a", "b", "supply"}


def test_a_fuse_asked_to_be_sized_without_a_way_says_which_limits_collide() -> None:
    donor = [cavity("1", "permanent-supply", 0.35, 9.0)]
    ends = [
        End(
            name="m",
            pinout=pinout("m", [cavity("1", "permanent-supply", 2.5)]),
            kind=EndKind.TAP,
            side=Side.MACHINE,
            fed=frozen(
                {
                    "1": Fed(
                        cavity="1",
                        fuse="F",
                        fuse_amps=30,
                        found_amps=None,
                        milliohm=20,
                        length_mm=2000,
                    )
                }
            ),
        ),
        End(name="u", pinout=pinout("u", donor), kind=EndKind.PIGTAIL, side=Side.UNIT, tail_mm=300),
    ]
    job = Job(
        title="j",
        path="j.yaml",
        ends=frozen({e.name: e for e in ends}),
        circuits=(
            Circuit(id="f", join=("m.1", "F1.a"), wire=wire("2.5 RD"), length_mm=100),
            Circuit(id="g", join=("F1.b", "u.1")),
        ),
        extras=frozen(
            {
                "F1": Extra(
                    name="F1", kind=ExtraKind.FUSE, detail="blade", amps=None, size_wanted=True
                )
            }
        ),
        supply=Supply(volts=12),
        surroundings=Surroundings(ambient_C=60.0),
    )
    fuse = size_job(Harness(job)).fuses["F1"]
    assert fuse.amps is None and fuse.sized is not None
    assert "9 A of load" in fuse.sized.why and "0.35 mm2 lead would reach" in fuse.sized.why
    assert fuse.sized.cure


def test_the_same_job_gives_the_same_sizes() -> None:
    assert repr(size_job(spreader())) == repr(size_job(spreader()))


def test_a_leaflet_lead_is_checked() -> None:
    fuse = size_job(spreader(leaflet=Leaflet(fuse_amps=2, min_csa_mm2=0.75))).fuses["F1"]
    assert fuse.sized is not None
    assert "at least 0.75 mm2" in fuse.sized.why
    assert DONOR[0].amps == 0.9


def test_the_annex_gives_each_number_its_parent(sizes: JobSizes) -> None:
    found = list(parents(sizes))
    assert len(found) > 100
    assert {p.subject for p in found} >= {"loom.1", "F1", "supply"}
    assert any("ISO 8820-3" in p.value.source for p in found)
    assert len(assumptions(sizes)) == len(set(assumptions(sizes))) > 5


def test_one_joint_without_a_place_leaves_the_others_theirs() -> None:
    """A joint put into the keep-out by hand, or beyond its tail, is named; the rest of the run is laid out."""
    harness = spreader()
    for at, words in ((20.0, "without a place"), (999.0, "without a place")):
        circuits = tuple(
            replace(c, at_mm=at) if c.id == "level" else c for c in harness.job.circuits
        )
        layout = size_job(spreader(circuits=circuits)).runs["loom-donor"]
        assert [group.names for group in layout.stuck] == [("level",)]
        assert words in layout.why and "level" in layout.why
        assert layout.layout is not None and len(layout.layout.placed) == 15


def test_tails_that_do_not_meet_still_place_what_needs_one_tail() -> None:
    layout = size_job(spreader(tails=(120, 180))).runs["loom-donor"]
    assert "the tails do not meet" in layout.why and "leave 90 mm between them" in layout.why
    assert layout.layout is not None
    assert {p.name for p in layout.layout.placed} == {
        "bus-a-hi",
        "bus-a-lo",
        "bus-b-hi",
        "bus-b-lo",
        "shield-b",
    }


def test_a_joint_of_one_tail_is_not_told_that_tails_do_not_meet() -> None:
    """Put by hand beyond its own tail, while only new wires go on from there."""
    lone = tuple(replace(c, at_mm=999.0) for c in spreader().job.circuits if c.id == "bus-a-hi")
    layout = size_job(spreader(circuits=lone, tails=(120, 180))).runs["loom-donor"]
    assert "the tails do not meet" not in layout.why
    assert "bus-a-hi (999 mm)" in layout.why


def test_a_ground_of_told_length_is_no_feed(tmp_path: Path) -> None:
    """The length of an earth counts for the drop; a fuse of an earth is asked for by nobody."""
    paper = "wiremap: pinout/1\ntitle: p\ncavities: {1: {signal: earth, function: power-ground, wire: 2.5 BN}}\n"
    for name in ("old.yaml", "new.yaml"):
        (tmp_path / name).write_text(paper, "utf-8")
    (tmp_path / "job.yaml").write_text(
        "wiremap: job/1\ntitle: j\nends:\n"
        "  old: {pinout: old.yaml, is: cut-tail, side: machine, fed: {1: {length_mm: 2000}}}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit}\ncircuits: [old.1 - new.1]\n",
        "utf-8",
    )
    job = load_job(tmp_path / "job.yaml").value
    assert job is not None and size_job(Harness(job)).feeds == ()
