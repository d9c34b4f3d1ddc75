"""What a sheet says, as plain data, without a drop of ink."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from itertools import pairwise
from pathlib import Path

import pytest
from sheet_cases import DEMO, demo, given_from, overlaps, read, straight

from wiremap.cli.main import main
from wiremap.content.compose import PAGES
from wiremap.content.face_pieces import FaceBlock, Hole, Look
from wiremap.content.flags import flags_csv
from wiremap.content.pieces import (
    Cards,
    Deeds,
    Fill,
    Flags,
    FusePlot,
    HandStrip,
    Joints,
    Ledger,
    LeftRow,
    Section,
    Step,
    Text,
    Warning,
    WireRow,
    WireTable,
)
from wiremap.content.steps import Slot, Steps
from wiremap.graph import Harness
from wiremap.sheet import ANNEX_PARTS, compose, pdf
from wiremap.sizing.unjudged import About, NotJudged

ROOT = Path(__file__).parent.parent


def part(key: str, annex: bool = True) -> Section:
    """A section of the demo's sheet."""
    return next(s for s in compose(demo(), ANNEX_PARTS if annex else ()).sections if s.key == key)


def blocks(section: Section, kind: type) -> list:
    """The blocks of a kind."""
    return [b for b in section.blocks if isinstance(b, kind)]


def deeds(key: str) -> list[str]:
    """The words of every deed of a section, in their order."""
    return [d.text for b in blocks(part(key), Deeds) for d in b.deeds]


def joint_notes() -> dict[str, str]:
    """What stands beside each joint."""
    return {r.name: "; ".join(r.notes) for b in blocks(part("joints"), Joints) for r in b.rows}


def test_content_needs_no_drawing_library() -> None:
    """Composing the whole sheet does not import reportlab."""
    code = (
        f"import sys; sys.path.insert(0, {str(ROOT / 'tests')!r}); from wiremap.content.compose import compose, ANNEX_PARTS; "
        "from wiremap.content.gather import gather; from pathlib import Path; "
        f"compose(gather(Path({str(DEMO)!r}))[0], ANNEX_PARTS); print('reportlab' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.stdout.strip() == "False", done.stderr


def test_sheet_is_plain_data() -> None:
    """Nothing but frozen dataclasses, tuples, texts and numbers."""

    def walk(value: object) -> None:
        if is_dataclass(value):
            for field in fields(value):
                walk(getattr(value, field.name))
        elif isinstance(value, tuple):
            for item in value:
                walk(item)
        else:
            assert value is None or isinstance(value, (str, int, float, bool)), value

    walk(compose(demo(), ANNEX_PARTS))


def test_one_row_for_each_wire() -> None:
    """A circuit of n points has n - 1 rows; every point of every circuit stands on one."""
    rows = [r for t in blocks(part("map"), WireTable) for r in t.rows if isinstance(r, WireRow)]
    for circuit in demo().harness.job.circuits:
        mine = [r for r in rows if r.circuit == circuit.id]
        assert len(mine) == len(circuit.join) - 1
        assert {mine[0].left.point, *(r.right.point for r in mine)} == set(circuit.join)


def test_wires_are_letters_and_words() -> None:
    """IEC letters with the word beside, three letter systems read into one; an unknown order keeps its plus."""
    wires = {
        e.point: e.wire
        for t in blocks(part("map"), WireTable)
        for r in t.rows
        if isinstance(r, WireRow)
        for e in (r.left, r.right)
    }
    assert wires["loom.3"] == "0.75 GN/WH green/white"
    assert wires["donor.16"] == "0.35 GY grey"  # German gr
    assert "red + blue" in wires["loom.11"]
    assert wires["gateway.3"] == "new 0.35 BU blue"


def test_cavities_left_out_have_treatment_and_reason() -> None:
    """Each stands with what becomes of it; an unused cavity that nobody lists is not lost."""
    rows = {r.point: r for r in blocks(part("map"), LeftRow)}
    assert set(demo().harness.job.not_joined) <= set(rows)
    assert (
        rows["loom.14"].treat == "cap, seal, tie back" and rows["donor.20"].treat == "blanking plug"
    )
    assert all(p.address in rows for p in demo().harness.not_joined())


def _places(row: Iterable[Hole | None]) -> list[tuple[str, Look, bool, bool] | None]:
    """What the two sides of a face share, cavity by cavity."""
    return [h and (h.name, h.look, h.large, h.first) for h in row]


def test_faces_mirror_and_name_the_key() -> None:
    """Two views each, one the mirror of the other; a key on the right is on the left from behind."""
    for block in blocks(part("faces"), FaceBlock):
        front, back = block.views
        assert [_places(reversed(r)) for r in front.rows] == [_places(r) for r in back.rows]
        assert [h.name for v in block.views for r in v.rows for h in r if h and h.first] == [
            "1",
            "1",
        ]
    donor = next(b for b in blocks(part("faces"), FaceBlock) if b.name == "donor")
    assert [v.key for v in donor.views] == ["right", "left"]
    large = {h.name for r in donor.views[0].rows for h in r if h and h.large}
    assert large == {"1", "2", "3", "4"}


def test_joints_are_whole_rows_in_working_order() -> None:
    """Cut before sleeve, which no whole wire takes, strip before crimp, crimp before tug; no shrinking in a row, it comes after the ring-out; all joints once."""
    rows = [r for b in blocks(part("joints"), Joints) for r in b.rows]
    assert sorted(r.name for r in rows) == sorted(demo().harness.joints)
    for row in rows:
        words = [s.split()[0] for s in row.stages]
        order = [
            words.index(w)
            for w in ("cut" if "cut" in words else "cut,", "sleeve", "strip", "crimp", "tug")
        ]
        assert order == sorted(order) and "shrink" not in words
    assert "shrink no sleeve before the ring-out is done" in part("joints").lead
    places = [demo().sizes.joints[r.name].at_mm for r in rows]  # type: ignore[union-attr]
    known = [p for p in places if p is not None]
    assert known == sorted(known)


def test_each_tail_is_cut_to_its_own_length() -> None:
    """The run is 390 mm: the loom's wire to the joint's place, the donor's to what is left, slack for remakes on both."""
    rows = {r.name: r for b in blocks(part("joints"), Joints) for r in b.rows}
    sizes = demo().sizes
    assert sizes is not None
    for name, row in rows.items():
        for cid in demo().harness.joints[name].conductors:
            conductor, cut, at = (
                demo().harness.conductors[cid],
                sizes.cuts.get(cid),
                sizes.joints[name].at_mm,
            )
            if (
                conductor.origin == "tail"
                and cut is not None
                and at is not None
                and conductor.point is not None
            ):
                assert cut.mm == pytest.approx(
                    (at if conductor.point.startswith("loom") else 390 - at) + cut.slack_mm
                )
                assert f"{cut.mm:.0f}" in next(s for s in row.stages if s.startswith("cut"))


def test_look_alikes_are_told_on_both_sides_of_the_cut() -> None:
    """Both browns of the loom name each other; green/white of the loom names white/green beside it and its like on the donor."""
    notes = {r.name: " ".join(r.notes) for b in blocks(part("joints"), Joints) for r in b.rows}
    assert "loom.8" in notes["ground"] and "loom.2" in notes["return"]
    assert "loom.5" in notes["spinner"] and "donor.13" in notes["spinner"]
    assert (
        "loom.6" in notes["bus-b-lo"] and "donor.8" in notes["bus-a-hi"]
    )  # yellow is bus high on one side, bus low on the other
    assert "like" not in notes["level"]  # grey to grey, and nothing else is grey
    for finding in demo().findings:  # one list: what the rules find alike stands in the rows too
        if finding.rule == "colours-confused":
            rows = [
                notes[n] for n, j in demo().harness.joints.items() if finding.subject[0] in j.points
            ]
            assert all("like" in r for r in rows), finding


def test_wires_not_surveyed_are_named_in_their_rows() -> None:
    """The first cut of the demo is a wire that nobody has measured yet."""
    notes = {r.name: " ".join(r.notes) for b in blocks(part("joints"), Joints) for r in b.rows}
    assert "not surveyed" in notes["bus-a-hi"] and "not surveyed" not in notes["level"]


def test_a_wire_in_service_is_cut_only_for_a_barrel_that_takes_no_whole_wire() -> None:
    """A butt crimp closes on ends: the T is cut and both halves go in; an open barrel goes round the whole wire."""
    job = demo().harness.job
    for kind, word in (
        ("butt-crimp", "cut, both halves in"),
        ("open-barrel", "bare in its run, not cut"),
    ):
        circuits = tuple(replace(c, joint=kind) if c.id == "feed-a" else c for c in job.circuits)
        sheet = compose(
            replace(demo(), harness=Harness(replace(job, circuits=circuits)), sizes=None)
        )
        rows = [
            r
            for s in sheet.sections
            if s.key == "joints"
            for b in s.blocks
            if isinstance(b, Joints)
            for r in b.rows
        ]
        assert word in [s for r in rows if r.name == "feed-a" for s in r.stages]


def test_a_joint_without_slack_says_so() -> None:
    """Where a tail has less slack than one strip length, the row says that there is no second try."""
    rows = {r.name: " ".join(r.notes) for b in blocks(part("joints"), Joints) for r in b.rows}
    sizes = demo().sizes
    assert sizes is not None
    for name, joint in demo().harness.joints.items():
        made = sizes.joints[name].made
        short = [
            c
            for c in joint.conductors
            if demo().harness.conductors[c].origin == "tail"
            and c in sizes.cuts
            and made
            and sizes.cuts[c].slack_mm < made.strip_mm
        ]
        assert ("once only" in rows[name]) == bool(short), name


def test_what_has_no_insulation_gets_a_tube() -> None:
    """A resistor's lead and a bare drain wire are bare in the bundle without one."""
    stages = {r.name: list(r.stages) for b in blocks(part("joints"), Joints) for r in b.rows}
    assert (
        "tube on R1.a" in stages["bus-b-hi"]
        and "tube on R1.b" in stages["bus-b-lo"]
        and "tube" in stages["shield-b"]
    )


def test_caps_are_work_of_the_joints_page() -> None:
    """Each wire that is capped has a box there, and keeps its length."""
    words = deeds("joints")
    capped = [a for a, n in demo().harness.job.not_joined.items() if n.treat == "cap"]
    assert capped and set(capped) <= set(words) and "Not shortened: cap, seal, tie back:" in words


def test_plugs_and_sleeves_wait_for_the_ring_out() -> None:
    """A plug in the hole or a sleeve over the joint leaves nothing to touch: both come after the last reading and before the battery."""
    words = deeds("power")
    order = [
        words.index(w)
        for w in (
            "guard lifted: donor.14 – donor.15",
            "donor.20 blanked",
            "gateway.6 blanked",
            "every sleeve shrunk",
            "outer sleeve over all joints",
            "boot",
            "Ignition off, battery on",
        )
    ]
    assert order == sorted(order)
    assert not any("blanked" in w or "shrunk" in w for w in deeds("joints"))
    assert "No sleeve shrunk yet, no plug in donor.20, gateway.6." in " ".join(
        b.text for b in blocks(part("ringout"), Text)
    )


def test_wires_not_surveyed_are_named_before_the_map() -> None:
    """Those that nobody has measured are not to be cut yet."""
    lines = " ".join(line for b in blocks(part("job"), Warning) for line in b.lines)
    assert "Not surveyed: loom.6, loom.7, loom.14. Do not cut" in lines


def test_ring_out_says_what_is_out_and_where_to_probe() -> None:
    """Fuses by name and rating; the loom's names mean the mouth of the bare barrel; no bare probe in a contact."""
    first = blocks(part("ringout"), Step)[0].text
    assert "F7 10 A" in first and "socket fuse 15 A" in first and "F1 2 A (holder empty)" in first
    told = " ".join(b.text for b in blocks(part("ringout"), Text))
    assert "loom, feed: fine tip where the machine's wire enters its bare joint" in told
    parted = " and ".join(str(p.n) for p in demo().met_outside)
    assert parted and f"Readings {parted}: at the head of first power." in told
    assert "No bare probe" in told


def test_many_blanked_cavities_are_not_named_one_by_one() -> None:
    """The ring-out's page has room for a few names only."""
    from wiremap.model import NotJoined, Treat, frozen

    job = demo().harness.job
    many = {
        f"feed.{n}": NotJoined(point=f"feed.{n}", why="not used", treat=Treat.BLANK)
        for n in range(1, 9)
    }
    given = replace(
        demo(), harness=Harness(replace(job, not_joined=frozen({**job.not_joined, **many})))
    )
    told = " ".join(
        b.text
        for s in compose(given).sections
        if s.key == "ringout"
        for b in s.blocks
        if isinstance(b, Text)
    )
    assert "No sleeve shrunk yet, no blanking plug in." in told


def test_the_probe_that_stays_is_heavy() -> None:
    """A card's still point stands in its neighbour before or behind it."""
    cards = [c for b in blocks(part("ringout"), Cards) for c in b.cards]
    points = [{c.red, c.black} for c in cards]
    assert sum(bool(c.still) for c in cards) > len(cards) / 2
    for i, card in enumerate(cards):
        if card.still:
            assert any(card.still in points[k] for k in (i - 1, i + 1) if 0 <= k < len(cards))


def test_cards_keep_the_plan() -> None:
    """Every probe once, in the plan's order, its expectation beside; a figure in ohms gets a line to write on."""
    cards = [c for b in blocks(part("ringout"), Cards) for c in b.cards]
    plan = demo().plan
    assert plan is not None
    here = [
        p for p in plan.probes if not p.state.parted
    ]  # what is parted outside stands at the head of first power
    assert [c.n for c in cards] == [str(p.n) for p in here]
    for card, probe in zip(cards, here, strict=True):
        assert card.write == (probe.expect == "ohms")
        assert card.red == " + ".join(probe.red) and card.black == " + ".join(probe.black)


def test_first_power_covers_every_reading() -> None:
    """Each reading and deed of the power plan stands on a card or row."""
    section = part("power")
    deeds = [d for b in blocks(section, Deeds) for d in b.deeds]
    deeds = [d for d in deeds if d.n[:1].isdigit()]  # r are readings of the ring-out, S signatures
    numbers = [n for d in deeds for n in d.n.split("/")]
    assert sorted(map(int, numbers)) == [0, *(s.n for s in demo().power)]
    assert all(d.boxes == len(d.n.split("/")) for d in deeds)  # a box for every reading
    order = [int(d.n) for d in deeds if d.n.isdigit()]
    assert order == sorted(order)


def test_what_meets_outside_is_probed_while_it_is_parted() -> None:
    """A guard loop bridged in the loom reads as sound while the guard is shut: it must be silent with the guard lifted."""
    deeds = [d for b in blocks(part("power"), Deeds) for d in b.deeds]
    met = demo().met_outside
    parted = [(d.n, d.text, d.want) for d in deeds if d.n.startswith("r")]
    assert [n for n, _, _ in parted] == [f"r{p.n}" for p in met] and deeds[0].n == "0"
    ring = next(p for p in met if "gateway.7" in (*p.red, *p.black))
    assert (
        f"r{ring.n}",
        f"ring off G1: {' + '.join(ring.red)} – {' + '.join(ring.black)}",
        "silent",
    ) in parted
    assert ("guard lifted: donor.14 – donor.15", "silent") in [row[1:] for row in parted]


def test_a_fuse_goes_in_after_its_rating_is_read() -> None:
    """F7 of 5 A takes the place of the 10 A found in a deed of its own; the gateway's feed is read before it is mated."""
    words = [d.text for b in blocks(part("power"), Deeds) for d in b.deeds]
    fit = next(i for i, w in enumerate(words) if "fit F7 5 A in place of the 10 A found" in w)
    feed = next(
        i for i, w in enumerate(words) if w.startswith("Unmated face of gateway, F1 2 A in")
    )
    mate = next(i for i, w in enumerate(words) if w == "Mate gateway")
    assert fit < feed < mate


def test_sign_off_names_fuses_and_second_eyes() -> None:
    """The fuse fitted and where, what was found, who checked."""
    words = " ".join(str(b) for b in part("sign").blocks)
    assert "F7 for loom.1: 5 A (10 A was found; relabel the box)" in words
    assert "looked over by a second person" in words and "what was kept" in words
    assert "F1: 2 A" in words
    plan = demo().plan
    assert plan is not None
    pairs = sum(len(g.pairs) for g in plan.not_proven)
    assert (
        pairs and f"{pairs} pairs of circuits" in words
    )  # what the ring-out does not probe is named


def test_every_caution_is_on_the_bench_pages() -> None:
    """Each caution's subject stands on the first page with its box; the sign-off has a line for having read them."""
    steps = [s for b in blocks(part("job"), Steps) for s in b.steps if s.n.startswith("C")]
    words = " ".join(s.text for s in steps)
    assert steps and all(s.slot is Slot.BOX for s in steps)
    assert next(s.note for s in steps).startswith("accepted by RK 2026-03-03")
    for deed in (
        "flag both before the cut",
        "lengthen the run, or sign the thick place",
    ):
        assert deed in words
    assert "cautions of the first page read" in str(part("sign"))
    for finding in demo().cautions:
        assert all(s in words for s in finding.subject[:3]), finding


def test_hold_lists_its_reasons(tmp_path: Path) -> None:
    """The strip on the first page says why."""
    table = (
        "title: t\ncavities:\n"
        "  1: {function: permanent-supply, volts: 12, wire: 0.5 RD}\n  2: {function: power-ground, wire: 0.5 BK}\n"
    )
    job = (
        "title: wrong\nends:\n  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit}\ncircuits: [old.1 - new.2, old.2 - new.1]\n"
    )
    sheet = compose(given_from(tmp_path, job, old=table, new=table))
    assert sheet.head.stamp == "HOLD" and sheet.head.held
    strips = blocks(sheet.sections[0], Warning)
    assert strips[0].word == "HOLD" and strips[0].lines


def test_a_held_job_has_no_pages_of_work_unless_asked_for(tmp_path: Path) -> None:
    """What lifts the hold prints; map, joints and power come with `print_held` alone."""
    table = "title: t\ncavities: {1: {function: permanent-supply, volts: 12}, 2: ground}\n"
    job = (
        "title: wrong\nends:\n  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit}\ncircuits: [old.1 - new.2, old.2 - new.1]\n"
    )
    given = given_from(tmp_path, job, old=table, new=table)
    work = {"map", "faces", "joints", "ringout", "power", "sign"}
    assert work.isdisjoint(s.key for s in compose(given, ANNEX_PARTS).sections)
    assert work <= {s.key for s in compose(given, print_held=True).sections}


def test_pages_follow_the_hands() -> None:
    """Sections come in the order of the stages, and each stage has one number."""
    sections = compose(demo(), ANNEX_PARTS).sections
    places = {page.key: page.place for page in PAGES}
    assert [s.key for s in sections] == sorted((s.key for s in sections), key=places.__getitem__)
    assert [s.stage for s in sections] == sorted(s.stage for s in sections)
    assert sections[0].key == "job" and sections[0].stage == 1


def test_annex_parts() -> None:
    """Every part is there on wish and only then; an unknown one is refused."""
    assert {s.key for s in compose(demo()).sections}.isdisjoint(ANNEX_PARTS)
    assert set(ANNEX_PARTS) <= {s.key for s in compose(demo(), ANNEX_PARTS).sections}
    with pytest.raises(ValueError, match="no part of the annex"):
        compose(demo(), ["flag"])


def test_lengths_carry_slack() -> None:
    """The loom's supply wire: its joint's place plus slack for two remakes of half of 20 mm each side (common practice)."""
    rows = {r[1].split()[0]: r for b in blocks(part("lengths"), Ledger) for r in b.rows}
    at = demo().sizes.joints["supply"].at_mm  # type: ignore[union-attr]
    assert (
        rows["loom.1"][2] == f"{at + float(rows['loom.1'][3]):.0f}"
        and float(rows["loom.1"][3]) == 20
    )


def test_fuse_drawings_follow_the_published_limits() -> None:
    """ISO 8820-3 as quoted: a 2 A blade opens within 600 s at 1.35 x and within 5 s at 2 x; the wire stands beyond the fuse."""
    plots = blocks(part("fuses"), FusePlot)
    two = next(p for p in plots if p.title.startswith("F1"))
    most = {round(amps, 3): seconds for amps, seconds in two.curves[1].points}
    assert most[2.7] == 600 and most[4.0] == 5
    wire = two.curves[2].points
    # k2A2 line: 122.2 A s^0.5/mm2 x 0.5 mm2 (k by IEC 60364-5-54 from 60 to 160 C)
    assert wire[1] == (pytest.approx(122.19 * 0.5 / 5**0.5, rel=2e-3), 5.0)
    assert all(b[0] <= a[0] * 1.006 for a, b in pairwise(wire))
    assert "maker's figure governs" in two.sentence


def test_module_strip_tells_ground_and_feed() -> None:
    """The gateway: machine half left, unit half right, ground to its stud, feed through its own fuse to the tap."""
    strip = blocks(part("feed"), HandStrip)[0]
    assert [leg.far for leg in strip.left] == ["loom.6", "loom.7"]
    assert {leg.far for leg in strip.right} == {"donor.8", "donor.9"}
    assert strip.ground == "gateway.7 – G1" and strip.feed == "gateway.8 – F1.b – feed.16"


def test_findings_part_has_place_rule_and_signature() -> None:
    """One row a finding, with who accepted it."""
    rows, left = [ledger.rows for ledger in blocks(part("findings"), Ledger)]
    assert (len(rows), len(left)) == (len(demo().findings), len(demo().not_judged))
    assert [r[1] for r in rows] == [f.rule for f in demo().findings]
    for row, finding in zip(rows, demo().findings, strict=True):
        assert (f"accepted by {finding.accepted.by}" in row[3]) if finding.accepted else True


def test_parts_name_what_the_new_wires_end_in() -> None:
    """Eight new wires end in seven contacts of the gateway with a seal each, a holder, a ring; bare leads get a tube."""
    rows = [r for b in blocks(part("parts"), Ledger) for r in b.rows]
    pieces = {kind: sum(int(r[2]) for r in rows if r[0] == kind) for kind in {r[0] for r in rows}}
    used = [a for c in demo().harness.job.circuits for a in c.join if a.startswith("gateway.")]
    assert pieces["contact"] == pieces["wire seal"] == len(used) == 7
    assert pieces["fuse holder"] == 1 and pieces["ring terminal"] == 1
    assert any(r[0] == "tube" and "R1.a" in r[1] for r in rows)


def test_signatures_have_their_place_in_the_order_of_work() -> None:
    """Ohms after the sleeves and before the battery, volts with lamps in the fuses' places; their page says so, and of the new face."""
    order = [d.n or d.text for b in blocks(part("power"), Deeds) for d in b.deeds]
    assert (
        order.index("boot")
        < order.index("S19 to S28")
        < order.index("11")
        < order.index("S1 to S18")
        < order.index("64")
    )
    assert deeds("joints")[0] == "survey read, figures written in (annex)"
    section = part("signatures")
    volts, ohms = blocks(section, Cards)
    assert (
        section.drawn_from == "new face, unit unplugged"
        and part("survey").drawn_from == "old face, unit unplugged"
    )
    assert ohms.title.startswith(
        "Ohms: battery off, every sleeve shrunk"
    ) and volts.title.startswith("Volts:")
    assert [c.n for c in (*volts.cards, *ohms.cards)] == [f"S{n}" for n in range(1, 29)]
    survey = demo().survey
    assert survey is not None
    for card in (*volts.cards, *ohms.cards):  # the row of the survey that it repeats
        row = survey.rows[int(card.note.rpartition("row ")[2]) - 1]
        assert card.red.startswith(row.red)
    assert "signatures" not in {s.key for s in compose(demo(), ["lengths"]).sections}


def test_rows_still_owed_are_marked() -> None:
    """Those of the wires that nobody has measured, and no others."""
    cards = [c for b in blocks(part("survey"), Cards) for c in b.cards]
    assert (
        {c.red for c in cards if c.mark}
        == {"loom.6", "loom.7", "loom.14"}
        == set(demo().not_surveyed)
    )
    assert {c.mark for c in cards} == {"", "due"} and "5 rows are still to read" in part(
        "survey"
    ).lead


def test_every_reading_has_a_limit_or_is_noted() -> None:
    """Nothing to write down without a word of what belongs there; the last current is set beside the one before the work."""
    for b in (*blocks(part("survey"), Cards), *blocks(part("signatures"), Cards)):
        assert all(c.expect for c in b.cards)
    read = [d for b in blocks(part("power"), Deeds) for d in b.deeds if d.blanks]
    assert read and all(d.want for d in read)
    assert read[-1].want == "note it: what is more than at 14, this job draws"
    cards = {
        (c.red, c.note.partition(";")[0]): c.expect
        for b in blocks(part("survey"), Cards)
        for c in b.cards
    }
    assert cards["loom.14", "ignition off"] == "note it"


def test_volts_of_the_survey_name_one_black_probe() -> None:
    """Battery minus stands in the heading, and no row says chassis."""
    volts, ohms = blocks(part("survey"), Cards)
    assert "battery minus" in volts.title and not any(c.black for c in volts.cards)
    assert all(c.black for c in ohms.cards)


def test_barrels_are_bare_and_so_is_the_die() -> None:
    """The table's figures are those of the plain barrel, which the sleeve covers: row, parts and tools say the same."""
    rows = [row for block in blocks(part("joints"), Joints) for row in block.rows]
    stages = {stage for row in rows for stage in row.stages if stage.startswith("crimp")}
    assert (
        stages == {"crimp bare barrel 22-16 AWG"}
        and "Bare: no plastic on the barrel, its own die." in part("joints").lead
    )
    assert any(
        "butt-crimp bare barrel 22-16 AWG" in r[1]
        for b in blocks(part("parts"), Ledger)
        for r in b.rows
    )
    assert any("the die for bare barrels" in b.text for b in blocks(part("parts"), Step))


def test_pairs_are_twisted_before_their_contacts_are_on() -> None:
    """The two new pairs stand above the first row, with their drain."""
    section = part("joints")
    first = section.blocks[0]
    assert isinstance(first, Deeds) and isinstance(section.blocks[1], Joints)
    assert {"pair a twisted", "pair b twisted, drain in"} <= {d.text for d in first.deeds}
    assert "outer sleeve to pass 11 mm and boot slid on over plug or free tail" in {
        d.text for d in first.deeds
    }


def test_each_deed_of_a_wire_without_a_joint_has_its_box() -> None:
    """Cut, holder, contact, tug."""
    lines = [[d.text for d in b.deeds] for b in blocks(part("joints"), Deeds)]
    assert ["feed-b: new 0.5 RD red cut 600 mm", "into F1.b", "into gateway.8", "tug"] in lines
    assert [
        "gw-gnd: new 0.5 BN brown cut 300 mm",
        "into gateway.7",
        "ring on G1, bare metal",
        "tug",
    ] in lines


def test_the_joints_page_explains_its_figures() -> None:
    """Whose cut is which and what is slack, where R1 lies, how far the T stands off, that a stripe may be either colour."""
    rows = {r.name: list(r.stages) for b in blocks(part("joints"), Joints) for r in b.rows}
    assert rows["supply"][0] == "cut loom 160, donor 270" and rows["bus-b-hi"][0] == "cut 320"
    assert "Cut: mm, 20 of it slack." in part("joints").lead
    notes = joint_notes()
    assert "R1 lies between 3 and 4" in notes["bus-b-lo"] and "R1" not in notes["bus-b-hi"]
    assert notes["feed-a"] == "T ______ mm from feed's plug"
    assert [n for n, words in notes.items() if "stripe: either colour" in words] == ["ref5"]


def test_sign_off_asks_where_things_are_and_which_meter() -> None:
    """Stud and T, which the job does not place; the meter."""
    labels = [label for b in blocks(part("sign"), Fill) for label in b.labels]
    assert {
        "where G1 is (stud M6)",
        "where the T on feed.16 is",
        "meter used, last checked",
    } <= set(labels)


def test_one_word_for_the_in_line_unit() -> None:
    """No page calls it a module."""
    assert "module" not in str(
        compose(demo(), [a for a in ANNEX_PARTS if a != "findings"])
    ).replace("module=", "")


def test_parts_hold_what_was_forgotten() -> None:
    """The fuse that takes another's place, outer sleeve, boot, holder contacts, leads, ammeter; a limited feed with its amps, for no load."""
    rows = [r for b in blocks(part("parts"), Ledger) for r in b.rows]
    words = " ".join(b.text for b in blocks(part("parts"), Step))
    assert ("fuse", "F7 5 A, in place of the 10 A found", "1") in rows
    assert ("holder contact", "of the holder of F1 for 0.5", "2") in rows
    assert {"outer sleeve", "boot"} <= {r[0] for r in rows} and any(
        "passes 11 mm" in r[1] for r in rows
    )
    for word in (
        "breakout lead for the old face of loom",
        "test leads with mating contacts for donor, gateway",
        "ammeter",
        "limited to 0.5 A may stand in a fuse's place, never for a load",
    ):
        assert word in words


def test_capped_wires_have_flags_and_no_flag_is_clipped() -> None:
    """loom.14, donor.11 and donor.19 too; no command line among them."""
    from wiremap.sheet.flags import under_lines

    (block,) = blocks(part("flags"), Flags)
    assert {f.text for f in block.flags} >= {
        f"{a} \u2192 capped" for a in ("loom.14", "donor.11", "donor.19")
    }
    assert not any("…" in line for f in block.flags for line in under_lines(f))
    assert "wiremap" not in part("flags").lead


def test_survey_heading_tells_the_machine_s_volts() -> None:
    """Twelve volts on a machine of twelve volts."""
    assert "Volts: 12 V on, unit unplugged" in " ".join(
        b.title for b in blocks(part("survey"), Cards)
    )


def test_sources_tell_paper_and_standing() -> None:
    """Every paper with its basis; every figure with formula, source and standing."""
    papers, figures = blocks(part("sources"), Ledger)[:2]
    assert [r[0] for r in papers.rows] == list(demo().harness.job.ends)
    assert all(r[2] and r[3].endswith(")") for r in figures.rows)


def test_flags_csv_reads_back_and_runs_nothing(tmp_path: Path) -> None:
    """One flag for every joined or capped cavity; cells that a spreadsheet would run are disarmed."""
    rows = list(csv.reader(io.StringIO(flags_csv(demo()).decode("utf-8-sig"))))
    joined = sum(
        1 for c in demo().harness.job.circuits for a in c.join if demo().harness.points[a].cavity
    )
    capped = [a for a, n in demo().harness.job.not_joined.items() if n.treat == "cap"]
    assert (
        len(rows) == joined + len(capped) + 1 and [r[3] for r in rows if r[4] == "capped"] == capped
    )
    bad = flags_csv(straight(tmp_path, 1, signal="=HYPERLINK(1)")).decode("utf-8-sig")
    assert all(not cell.startswith("=") for row in csv.reader(io.StringIO(bad)) for cell in row)
    assert "'=HYPERLINK(1)" in bad


def test_little_is_enough(tmp_path: Path) -> None:
    """Two bare lists without sizes or faces still make a sheet; what is unknown is left to be written in."""
    given = given_from(
        tmp_path,
        "ends: {a: {pinout: a.yaml, is: cut-tail, side: machine}, b: {pinout: b.yaml, is: pigtail, side: unit}}\n"
        "circuits: [a.1 - b.1, a.2 - b.2]\n",
        a="title: a\ncavities: {1: lamp, 2: horn}\n",
        b="title: b\ncavities: {1: lamp, 2: horn}\n",
    )
    sheet = compose(given, ANNEX_PARTS, print_held=True)
    joints = next(s for s in sheet.sections if s.key == "joints")
    assert any(
        "____" in stage for b in blocks(joints, Joints) for r in b.rows for stage in r.stages
    )
    assert any(
        isinstance(b, Text) for b in next(s for s in sheet.sections if s.key == "lengths").blocks
    )


def test_grades_below_certain_are_marked_until_settled() -> None:
    """An `ask` shows beside its circuit until a name stands to it."""
    job = demo().harness.job
    asked = tuple(replace(c, grade="ask") if c.id == "level" else c for c in job.circuits)
    sheet = compose(replace(demo(), harness=Harness(replace(job, circuits=asked))))
    section = next(s for s in sheet.sections if s.key == "map")
    rows = [r for t in blocks(section, WireTable) for r in t.rows if isinstance(r, WireRow)]
    assert [r.circuit for r in rows if r.mark] == ["level"]


# -- the command ------------------------------------------------------------------------------------------


def test_command_writes_and_tells(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The demo is in order: exit 0, one line, a PDF; JSON begins with its kind."""
    out = tmp_path / "sheet.pdf"
    assert main(["sheet", str(DEMO), "-o", str(out)]) == 0
    assert out.read_bytes().startswith(b"%PDF") and "PAPER IN ORDER" in capsys.readouterr().out
    assert (
        main(
            [
                "sheet",
                str(DEMO),
                "-o",
                str(out),
                "--force",
                "--json",
                "--flags",
                str(tmp_path / "flags.csv"),
            ]
        )
        == 0
    )
    told = json.loads(capsys.readouterr().out)
    assert (
        next(iter(told)) == "wiremap"
        and told["wiremap"] == "sheet/1"
        and told["verdict"] == "in-order"
    )
    assert (tmp_path / "flags.csv").exists()


def test_command_keeps_what_is_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No overwriting without --force, never an input, never through a link; exit 2 with one clear line."""
    out = tmp_path / "sheet.pdf"
    out.write_text("mine")
    assert main(["sheet", str(DEMO), "-o", str(out)]) == 2
    assert out.read_text() == "mine" and capsys.readouterr().err
    before = DEMO.read_bytes()
    assert main(["sheet", str(DEMO), "-o", str(DEMO), "--force"]) == 2
    assert DEMO.read_bytes() == before
    assert main(["sheet", str(DEMO), "-o", str(tmp_path / "none" / "x.pdf")]) == 2
    assert main(["sheet", str(DEMO), "-o", str(tmp_path / "y.pdf"), "--annex", "flag"]) == 2
    assert not (tmp_path / "y.pdf").exists()


def test_command_on_a_held_and_an_unread_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Held: printed, exit 1. Unread: nothing written, exit 2, the faults as JSON too."""
    table = (
        "wiremap: pinout/1\ntitle: t\ncavities:\n"
        "  1: {function: permanent-supply, volts: 12, wire: 0.5 RD}\n  2: {function: power-ground, wire: 0.5 BK}\n"
    )
    (tmp_path / "a.yaml").write_text(table)
    (tmp_path / "b.yaml").write_text(table)
    (tmp_path / "job.yaml").write_text(
        "wiremap: job/1\nends: {a: {pinout: a.yaml, is: cut-tail, side: machine}, b: {pinout: b.yaml, is: pigtail, side: unit}}\n"
        "circuits: [a.1 - b.2, a.2 - b.1]\n"
    )
    assert main(["sheet", str(tmp_path / "job.yaml"), "-o", str(tmp_path / "held.pdf")]) == 1
    assert (tmp_path / "held.pdf").read_bytes().startswith(b"%PDF")
    capsys.readouterr()
    assert (
        main(["sheet", str(tmp_path / "gone.yaml"), "-o", str(tmp_path / "no.pdf"), "--json"]) == 2
    )
    told = json.loads(capsys.readouterr().out)
    assert told["verdict"] == "unread" and told["findings"] and not (tmp_path / "no.pdf").exists()


def test_what_was_not_judged_stands_beside_the_verdict() -> None:
    """Counted in the head of every page, named on the first page, listed whole in the annex."""
    left = [
        NotJudged(subject=(f"c{n}",), why="its size is not stated", about=About.PROTECTION)
        for n in range(9)
    ]
    sheet = compose(replace(demo(), not_judged=tuple(left)), ["findings"])
    assert sheet.head.not_judged == 9
    strip = next(w for w in blocks(sheet.sections[0], Warning) if w.word == "Not judged")
    assert strip.lines[0] == "c0: its size is not stated."
    assert strip.lines[-1] == "and 3 more: wiremap check tells them all"
    *_, ledger = blocks(sheet.sections[-1], Ledger)
    assert [row[0] for row in ledger.rows] == [f"c{n}" for n in range(9)]
    page = read(pdf(replace(sheet, sections=sheet.sections[:1])))[0]
    assert not overlaps(page) and "paper in order, 9 not judged" in page.text
