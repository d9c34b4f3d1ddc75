"""The pages of work as plain data: their order, their counts, and what may never be missing."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from string import ascii_lowercase

import pytest
from bench_scale import wide_job
from demo_jobs import DEMO
from sheet_cases import demo_given, given_from, steps_of, straight

from wiremap.content.compose import PAGES
from wiremap.content.face_pieces import FaceBlock
from wiremap.content.faces import face_blocks, own_blocks
from wiremap.content.fitted import FittedCard
from wiremap.content.gather import gather
from wiremap.content.outer_sleeve import outer_sleeves
from wiremap.content.pages.flags import flags_section
from wiremap.content.pieces import Sheet, Warning
from wiremap.content.probe_steps import probe_step
from wiremap.content.steps import Slot, Step, Steps, TwoNames
from wiremap.content.words import volts_band
from wiremap.evidence import settle
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.model import NotJoined, Side, Treat, frozen
from wiremap.ringout.plan import plan
from wiremap.sheet import ANNEX_PARTS, Given, compose

MOST_READINGS, MOST_BOXES = 165, 270


@lru_cache(maxsize=1)
def sheet() -> Sheet:
    """The demo's bench pages."""
    return compose(demo_given())


def part(key: str, of: Sheet | None = None) -> list[Step]:
    """The steps of one section."""
    return [
        s for section in (of or sheet()).sections if section.key == key for s in steps_of(section)
    ]


def everything() -> list[Step]:
    """Every step of the sheet in its order."""
    return [s for section in sheet().sections for s in steps_of(section)]


def said(step: Step) -> str:
    """All that a step says."""
    lines = " ".join(f"{line.at} {line.text}" for line in step.lines)
    return f"{step.n} {step.at} {step.text} {lines} {step.want} {step.note}"


def words(key: str) -> str:
    """All that the steps of a section say."""
    return " | ".join(map(said, part(key)))


def joint_rows() -> dict[str, list[Step]]:
    """The three steps of each joint, by its name."""
    found: dict[str, list[Step]] = {}
    rows = part("joints")
    for i, step in enumerate(rows):
        if step.n.startswith("J"):
            name = rows[i + 1].text.partition(":")[0]
            found[name] = rows[i : i + 3]
    return found


# -- order ----------------------------------------------------------------------------------------


def test_pages_follow_the_hands() -> None:
    """Sections come in the order of the stages, each stage with one number from 1 on."""
    sections = compose(demo_given(), ANNEX_PARTS).sections
    places = {page.key: page.place for page in PAGES}
    assert [s.key for s in sections] == sorted((s.key for s in sections), key=places.__getitem__)
    stages = list(dict.fromkeys(s.stage for s in sections))
    assert stages == list(range(1, len(stages) + 1))


def test_the_order_of_work_is_the_order_of_pages() -> None:
    """From what must not be touched to handing over, with four stops where they belong."""
    bench = [s.key for s in sheet().sections]
    order = [
        "job",
        "parts",
        "survey",
        "map",
        "faces",
        "strip",
        "feed",
        "new-wires",
        "stop-cut",
        "joints",
        "ringout",
        "stop-sleeves",
        "sleeves",
        "stop-battery",
        "power",
        "stop-mating",
        "mating",
        "work",
        "sign",
    ]
    assert [key for key in bench if key in order] == order


def test_every_step_has_a_name_of_its_own() -> None:
    """A number for each box and blank, none twice, in rising order within its stage."""
    names = [s.n for s in everything() if s.slot is not Slot.NONE and not s.with_last]
    assert all(names) and len(names) == len(set(names))
    numbered = [tuple(map(int, n.split("."))) for n in names if "." in n]
    assert numbered == sorted(numbered)


def test_a_held_job_has_no_pages_of_work_unless_asked_for(tmp_path: Path) -> None:
    """What lifts the hold prints; map, joints and power come with `print_held` alone."""
    table = "title: t\ncavities: {1: {function: permanent-supply, volts: 12}, 2: ground}\n"
    job = (
        "title: wrong\nends:\n  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit}\ncircuits: [old.1 - new.2, old.2 - new.1]\n"
    )
    given = given_from(tmp_path, job, old=table, new=table)
    work = {"map", "faces", "joints", "ringout", "power", "sign", "stop-cut"}
    held = compose(given, ANNEX_PARTS)
    assert work.isdisjoint(s.key for s in held.sections)
    lifting = {"job", "parts", "survey", "questions", "not-judged"}
    assert lifting <= {s.key for s in held.sections}
    assert all(s.slot is Slot.LINE for s in part("questions", held))
    assert work <= {s.key for s in compose(given, print_held=True).sections}
    strips = [b for b in held.sections[0].blocks if isinstance(b, Warning)]
    assert strips[0].word == "HOLD" and strips[0].lines


# -- each thing once ------------------------------------------------------------------------------


def test_the_demo_has_few_readings_and_boxes() -> None:
    """As shipped at most 165 readings and 270 boxes on all bench pages together."""
    every = everything()
    assert sum(s.reading for s in every) <= MOST_READINGS
    assert sum(s.slot is Slot.BOX for s in every) <= MOST_BOXES


def test_each_reading_stands_once() -> None:
    """Every row of the survey, every probe, every step of first power has one line, no more."""
    given = demo_given()
    assert given.survey is not None
    wanted = [f"S{row.n}" for row in given.survey.rows]
    wanted += [f"RO{probe.n}" for probe in given.probes]
    wanted += [f"A{probe.n}" for probe in given.second]
    wanted += [f"P{step.n}" for step in given.power]
    planned = [s.n for s in everything() if s.n[:1] in ("S", "R", "A", "P")]
    assert sorted(wanted) == sorted(n for n in planned if n[-1].isdecimal())


def test_every_reading_says_what_belongs_there() -> None:
    """A band, a beep, a silence, or that it is only noted."""
    assert all(s.want for s in everything() if s.reading and s.slot is not Slot.LINE)


NEVER_DROPPED = {  # what is read, and a section with what its steps must say
    "supply and ground apart before shrinking": ("ringout", "G1 – the 4 clipped together"),
    "the ground of the loom on the same metal": ("ringout", "loom.2 – gateway.7"),
    "the guard lifted": ("ringout", "guard lifted"),
    "supply and ground apart after shrinking": ("sleeves", "donor.3 – donor.1"),
    "the reference apart after shrinking": ("sleeves", "donor.3 – donor.5"),
    "the guard through after shrinking": ("sleeves", "donor.14 – donor.15"),
    "each half of the bus after shrinking": ("sleeves", "gateway.1 – gateway.2"),
    "the stud before it is bolted": ("ringout", "ring off G1 once more"),
    "the stud once it is bolted": ("ringout", "gateway.7 – chassis bolted"),
    "both halves of the bus at the cut": ("joints", "donor.9 – donor.8 unit's half"),
    "a bus with its unit mated": ("ringout", "loom.6 – loom.7 gateway mated"),
    "the bus's ohms after mating": ("mating", "donor.9 – donor.8 gateway mated"),
    "a loaded supply": ("power", "volts lost from battery plus to donor.4"),
    "a loaded ground": ("power", "volts lost from battery minus to donor.2"),
    "a wire in service dead while its fuse is out": (
        "survey",
        "feed.16 – chassis battery on, ignition off: socket fuse 15 A",
    ),
    "a wire in service by a beep of its own": (
        "joints",
        "feed.16 1.0 mm2 RD/YE red/yellow, socket fuse 15 A still out: cut at its mark; its half",
    ),
    "the bus with every unit mated": (
        "ringout",
        "gateway mated  52 to 68 Ω new unit plugged into donor, at J3 at 90 and J4 at 115",
    ),
    "the sleep current before the work": ("survey", "current in the battery's minus lead"),
    "the sleep current with the fuses out": ("power", "current in the battery's minus lead"),
    "the last sleep current": ("work", "Current in the battery's minus lead"),
    "a supply under a lamp before the cut": (
        "survey",
        "loom.1 – loom.2 ignition off, volts between them ________; with a lamp of 21 W",
    ),
    "a wire in service behind its T": ("ringout", "feed.16 – F1.a at its own face"),
    "lights and switches on": ("survey", "Lights and switches on"),
}


@pytest.mark.parametrize("what", NEVER_DROPPED)
def test_what_is_never_dropped_is_there(what: str) -> None:
    """Each reading without which a control unit is at risk has its place."""
    key, needed = NEVER_DROPPED[what]
    assert needed in words(key)


def test_one_wire_has_one_band() -> None:
    """What first power wants at a contact with the ignition on, the survey wants at its wire."""
    given = demo_given()
    power = {s.red: s for s in given.power if s.stage == "volts" and s.key == "on"}
    rows = {s.at: s.want for s in part("survey") if s.unit == "V"}  # the last: ignition on
    compared = []
    for circuit in given.job.circuits:
        for wire in set(circuit.join) & set(rows):
            here = [power[a] for a in given.harness.sections.of(wire).points if a in power]
            compared += [(wire, volts_band(s.low, s.high)) for s in here]
    assert {"loom.6", "loom.7", "loom.10", "loom.12"} <= {wire for wire, _ in compared}
    assert all(rows[wire] == want for wire, want in compared)
    assert rows["loom.14"] == "at most 15 V"  # it goes nowhere: nobody can say more


def test_a_wire_with_a_load_on_each_side_says_why_its_ohms_are_others() -> None:
    """Two loads to ground in a row: at least the sum of the least that each may be."""
    rows = {s.at: s for s in part("ringout")}
    for other in ("loom.3", "loom.5"):
        step = rows[f"loom.4 – {other}"]
        assert "two loads in a row" in step.text and step.want == "7.5 to 60.5 Ω"
    assert words("ringout").count("two loads in a row") == 2


def test_a_sleep_current_is_read_without_breaking_the_feed() -> None:
    """Common practice: what carries the feed stays in until the ammeter lies across it."""
    step = next(s for s in demo_given().power if s.state == "gateway asleep")
    order = ["ignition off", "the ammeter across the lamp", "lamp out, read", "lamp back before"]
    places = [step.do.index(words) for words in order]
    assert places == sorted(places)
    after = demo_given().power[step.n]
    assert after.do == "lamp out, fit F1 2 A again"


def test_the_comb_against_ground_holds_supply_and_return() -> None:
    """Which is why one reading parts the ground from the supply and from the sensors' return."""
    found = next(probe for probe in demo_given().probes if probe.red == ("G1",) and probe.comb)
    assert found.expect == "silent" and found.why == "supply to ground"
    assert {"donor.3", "donor.6"} <= set(found.black)


@pytest.mark.parametrize("pair", ["loom.2 – loom.1", "loom.2 – loom.8"])
def test_without_clips_each_pair_at_risk_is_read_by_itself(pair: str) -> None:
    """Supply to ground, and a ground to the star point's return."""
    singly = plan(demo_given().harness, "near")
    given = replace(demo_given(), plan=singly)
    assert pair in " | ".join(map(said, part("ringout", compose(given))))


def test_every_contact_of_a_unit_is_read_with_the_ignition_on() -> None:
    """Of each face all contacts that there are, but for the one on which the black probe stands."""
    on = {s.red for s in demo_given().power if s.stage == "volts" and s.key == "on"}
    left = demo_given().harness.job.not_joined
    for end in ("donor", "gateway"):
        cavities = demo_given().harness.job.ends[end].pinout.cavities
        there = {
            f"{end}.{name}"
            for name, cavity in cavities.items()
            if not cavity.unused
            and (f"{end}.{name}" not in left or left[f"{end}.{name}"].treat != Treat.BLANK)
        }
        black = {s.black for s in demo_given().power if s.stage == "volts" and s.red in there}
        assert there - black <= on


def test_what_the_ignition_decides_is_read_with_it_off_too() -> None:
    """Supplies, wake and reference, at the old plug and at the new faces."""
    off = {s.red for s in demo_given().power if s.stage == "volts" and s.key == "off"}
    assert off == {"donor.3", "donor.4", "donor.5", "donor.7", "gateway.8"}
    assert demo_given().survey is not None
    old = {row.red for row in demo_given().survey.rows if row.key == "off"}
    assert {"loom.1", "loom.4", "feed.16"} <= old


# -- joints ---------------------------------------------------------------------------------------


def test_each_joint_has_three_boxes_in_working_order() -> None:
    """Sleeve on before the crimp, the crimp looked at, the tug; every joint once, along the run."""
    rows = joint_rows()
    assert sorted(rows) == sorted(demo_given().harness.joints)
    for name, three in rows.items():
        wants = [s.want for s in three]
        assert wants[0].startswith("sleeve on ") and wants[1:] == ["looked at", "tug"]
        assert all(s.slot is Slot.BOX for s in three), name
    assert demo_given().sizes is not None
    places = [demo_given().sizes.joints[name].at_mm for name in rows]
    known = [p for p in places if p is not None]
    assert known == sorted(known)


def test_each_wire_says_to_what_it_is_cut() -> None:
    """The run is 390 mm: the loom's wire to the joint's place, the donor's to what is left, slack on both."""
    sizes = demo_given().sizes
    assert sizes is not None
    for name, rows in joint_rows().items():
        lines = {line.at: line.text for line in rows[0].lines}
        at = sizes.joints[name].at_mm
        for cid in demo_given().harness.joints[name].conductors:
            conductor, cut = demo_given().harness.conductors[cid], sizes.cuts.get(cid)
            if cut is None or conductor.origin != "tail" or conductor.point is None:
                continue
            assert f"cut to {cut.mm:.0f} mm" in lines[conductor.point]
            if at is not None:
                length = at if conductor.point.startswith("loom") else 390 - at
                assert cut.mm == pytest.approx(length + cut.slack_mm)
    assert "new to gateway.1 0.35 mm2 YE yellow, 295 mm long" in words("joints")


def test_a_bus_is_cut_read_and_set_before_it_is_crimped() -> None:
    """Cut, the half read, the switch set and read aloud, then the joints."""
    names = [said(s) for s in part("joints")]
    cut = next(i for i, w in enumerate(names) if "cut loom.6 to 60 mm, loom.7 to 85 mm" in w)
    half = next(i for i, w in enumerate(names) if "loom.6 – loom.7 machine half" in w)
    switch = next(i for i, w in enumerate(names) if "gateway TA set and read aloud" in w)
    crimp = next(i for i, w in enumerate(names) if w.startswith("J1 "))
    assert cut < half < switch < crimp
    assert "ON" in names[switch] and "delivered off" in names[switch]
    assert "105 to 136 Ω" in names[half] and "As wanted: gateway TA ON" in names[half]
    units = next(w for w in names if "donor.9 – donor.8 unit's half" in w)
    assert "over 9.7 kΩ" in units and "switch the port" not in units


def test_look_alikes_are_told_on_both_sides_of_the_cut() -> None:
    """Both browns of the loom name each other; green/white of the loom names white/green beside it and its like on the donor."""
    notes = {name: rows[0].note for name, rows in joint_rows().items()}
    assert "loom.8" in notes["ground"] and "loom.2" in notes["return"]
    assert "loom.5" in notes["spinner"] and "donor.13" in notes["spinner"]
    assert "loom.6" in notes["bus-b-lo"] and "donor.8" in notes["bus-a-hi"]
    assert "looks like" not in notes["level"]  # grey to grey, and nothing else is grey
    assert [n for n, w in notes.items() if "stripe" in w] == ["ref5"]
    assert "R1 lies beside the sleeve of R1.b" in notes["bus-b-lo"]
    assert "known by the readings of this sheet alone" in notes["bus-a-hi"]


def test_a_new_wire_is_told_from_those_of_its_colour() -> None:
    """The blue one of the module lies among the guard's two blue wires, the red one of the feed beside the supply."""
    notes = {name: rows[0].note for name, rows in joint_rows().items()}
    assert "new to gateway.3 looks like loom.9, loom.10: go by the flag" in notes["bus-b-lo"]
    assert "loom.9 looks like loom.10, gateway.3: go by the flag" in notes["guard-out"]
    assert "new to F1.a looks like F1.b, loom.1, donor.4" in notes["feed-a"]
    assert "new to gateway.1 looks like donor.8" in notes["bus-a-hi"]


@pytest.mark.parametrize(("circuits", "named"), [(35, True), (40, False)])
def test_of_many_look_alikes_the_flag_alone_tells(
    circuits: int, named: bool, tmp_path: Path
) -> None:
    """Five colours: of 35 wires six on each side look like one and are named, of 40 seven are not."""
    given, _ = gather(wide_job(tmp_path, circuits))
    assert given is not None
    found = [s.note for s in part("joints", compose(given)) if s.n.startswith("J")]
    assert len(found) == circuits
    alike = [f"{end}.{n}" for end in ("loom", "unit") for n in range(1, circuits, 5) if n > 1]
    all_of_them = f"looks like {', '.join(alike)}: go by the flag"
    assert (all_of_them in found[0]) is named
    assert ("looks like more than 12 others: go by the flag" in found[0]) is not named


def test_a_wire_in_service_is_cut_only_for_a_barrel_that_takes_no_whole_wire() -> None:
    """A butt crimp closes on ends: the T is cut and both halves go in; an open barrel goes round the whole wire."""
    job = demo_given().harness.job
    told = {"butt-crimp": "both halves in", "open-barrel": "goes on uncut"}
    for kind, needed in told.items():
        circuits = tuple(replace(c, joint=kind) if c.id == "feed-a" else c for c in job.circuits)
        given = replace(demo_given(), harness=Harness(replace(job, circuits=circuits)), sizes=None)
        found = " ".join(said(s) for s in part("joints", compose(given)))
        assert needed in found


def test_a_joint_without_slack_says_so() -> None:
    """Where a tail has less slack than one strip length, the row says that there is no second try."""
    sizes = demo_given().sizes
    assert sizes is not None
    for name, rows in joint_rows().items():
        made = sizes.joints[name].made
        short = [
            c
            for c in demo_given().harness.joints[name].conductors
            if demo_given().harness.conductors[c].origin == "tail"
            and c in sizes.cuts
            and made
            and sizes.cuts[c].slack_mm < made.strip_mm
        ]
        assert ("made once only" in rows[0].note) == bool(short), name


def test_what_has_no_insulation_gets_a_tube() -> None:
    """A bare drain wire is bare in the bundle; 8 mm of 228 are in the barrel."""
    rows = joint_rows()
    assert "8 mm left out of its tube, tube of 220 mm on donor.10" in rows["shield-b"][1].text


def test_new_wires_have_a_box_for_each_end() -> None:
    """Into the gateway with seal and click, into the holder, the ring not bolted yet."""
    told = words("new-wires")
    assert "gateway.1 0.35 mm2 YE yellow, cut 325 mm, to be twisted, bus-a-hi" in told
    assert "F1.b 0.5 mm2 RD red, cut 600 mm, feed-b" in told
    assert "gateway.8 0.5 mm2 RD red, its other end, feed-b" in told
    assert "G1 0.5 mm2 BN brown, its other end, gw-gnd, ring crimped, tug; not bolted yet" in told
    assert (
        "tube of 445 mm on first, into the seal, trimmed there so that the contact crimps on"
        in told
    )
    leads = [b.lead for s in sheet().sections for b in s.blocks if isinstance(b, Steps)]
    assert any(
        "wire seal on first" in lead and "tugged, shown to the second" in lead for lead in leads
    )


def test_caps_are_work_of_the_joints_page() -> None:
    """Each wire that is capped has a box there; the machine's is parted first, as no joint says so."""
    capped = {a for a, n in demo_given().harness.job.not_joined.items() if n.treat == "cap"}
    told = {
        s.at: s.text
        for s in part("joints")
        if s.text.endswith("cap on, tied back; sealed after the ring-out")
    }
    assert capped == set(told)
    assert {"loom.14"} == {at for at, text in told.items() if "parted 150 mm" in text}


def test_the_outer_sleeve_passes_the_wires_beside_the_joints() -> None:
    """Two joints of 5.7 and 5.3 mm and thirteen wires of 1.4 to 2.1 mm: 1.2 root sum of squares is 11 to 12 mm."""
    (over,) = outer_sleeves(demo_given())
    assert over.thick_mm == 12.0 and "goes round 12 mm" in words("parts")


# -- ring-out, sleeves, power ---------------------------------------------------------------------


def test_ring_out_says_what_is_out_and_where_to_probe() -> None:
    """Fuses by name; what stays connected; the mouth of the bare barrel; no bare probe in a contact."""
    first, stud, where = part("ringout")[:3]
    assert stud.at == "G1" and "by hand" in stud.text
    for needed in ("F7 10 A", "socket fuse 15 A", "F1 2 A (holder empty)", "terminators left"):
        assert needed in first.text
    assert "no plug in donor.20, gateway.6" in first.note
    assert "fine tip where the machine's wire enters its bare joint" in where.text
    assert "No bare probe" in where.text


def test_many_blanked_cavities_are_not_named_one_by_one() -> None:
    """The ring-out's page has room for a few names only."""
    job = demo_given().harness.job
    many = {
        f"feed.{n}": NotJoined(point=f"feed.{n}", why="not used", treat=Treat.BLANK)
        for n in range(1, 9)
    }
    left = frozen({**job.not_joined, **many})
    given = replace(demo_given(), harness=Harness(replace(job, not_joined=left)))
    assert "no blanking plug in" in part("ringout", compose(given))[0].note


def test_probes_keep_the_plan() -> None:
    """Every probe once, in the plan's order, its expectation beside; ohms get a blank, the rest a box."""
    rows = {s.n: s for s in part("ringout") if s.n.startswith("RO")}
    for probe in demo_given().probes:
        row = rows[f"RO{probe.n}"]
        assert probe.comb or row.at == f"{' + '.join(probe.red)} – {' + '.join(probe.black)}"
        assert (row.slot is Slot.BLANK) == (probe.expect == "ohms")


def test_plugs_and_sleeves_wait_for_the_ring_out() -> None:
    """A plug in the hole or a sleeve over the joint leaves nothing to touch: both come after the last reading."""
    told = words("sleeves")
    assert "gateway, holder of F1, new unit fixed, not mated; harness tied" in told
    for needed in ("strike off each: donor.20 gateway.6", "J1 J2 J3", "sleeve over all"):
        assert needed in told
    assert "shrunk" not in words("joints") and "blanking" not in words("joints")


def test_a_fuse_goes_in_after_its_rating_is_read() -> None:
    """F7 of 5 A takes the place of the 10 A found; the gateway's feed is read before it is mated."""
    order = [said(s) for key in ("power", "mating") for s in part(key)]
    fit = next(i for i, w in enumerate(order) if "fit F7 5 A in place of the 10 A found" in w)
    feed = next(i for i, w in enumerate(order) if "Unmated face of gateway, F1 2 A in" in w)
    mate = next(i for i, w in enumerate(order) if "Mate gateway" in w)
    bus = next(i for i, w in enumerate(order) if "donor.9 – donor.8 gateway mated" in w)
    assert fit < feed < mate < bus


def test_a_sleep_current_is_never_read_by_cutting_off() -> None:
    """The gap is bridged first, the bridge lifted, never with the ignition on."""
    read = next(s for s in part("survey") if s.unit == "A")
    order = ["Bridge first", "clamp off", "parallel", "lifted", "Never with the ignition on"]
    assert [read.note.index(w) for w in order] == sorted(read.note.index(w) for w in order)


def test_a_fuse_is_put_in_for_one_reading_and_said() -> None:
    """A reading through the job's own fuse says that it goes in and comes out, beside its clip."""
    clipped = plan(demo_given().harness, "clips")
    for probe in clipped.probes:
        if probe.state.fuse:
            assert f"{probe.state.fuse} in for this one, then out" in probe_step(probe).text
    assert any(probe.state.fuse for probe in clipped.probes)


def test_every_sleep_current_is_read_over_a_bridge() -> None:
    """Before the cut, with the fuses out, and at the end."""
    lead = [s for s in everything() if s.unit == "A" and "minus lead" in s.text]
    assert len(lead) == 3
    assert all("bridge lifted" in f"{s.text} {s.note}" for s in lead)


def test_stops_are_four_short_and_spoken(tmp_path: Path) -> None:
    """At most six lines, a reading of the second person's own; the demo's guard is never signed alone."""
    found = [b for s in sheet().sections for b in s.blocks if isinstance(b, TwoNames)]
    assert [b.name for b in found] == ["the cut", "the sleeves", "the battery", "mating"]
    for stop in found:
        assert len(stop.steps) <= 6 and "never signed alone" in stop.alone
        assert "read by the second person" in [s.text for s in stop.steps]
    plain = compose(straight(tmp_path, 2), print_held=True)
    alone = [b for s in plain.sections for b in s.blocks if isinstance(b, TwoNames)]
    assert alone and all('"alone, read aloud"' in b.alone for b in alone)


def test_the_first_page_says_what_must_not_be_touched() -> None:
    """Restraint, what can move (the survey too), batteries, meter, fuses to change, switches, guards."""
    told = words("job")
    for needed in (
        "Restraint and orange wiring",
        "Chock and block",
        "Also before the survey",
        "Every source (batteries, isolators",
        "Meter proved on a live source",
        "F7 feeds loom.1: 10 A was found; 5 A goes in",
        "gateway TA terminator switch: must be ON (delivered off)",
        "never jumpered",
        "Serial numbers",
        "Printed on",
    ):
        assert needed in told


def test_what_lies_where_is_written_once() -> None:
    """Decided on the page of the sketch, marked on the machine; the card is written where it is cut out."""
    (step,) = part("feed")
    assert step.at == "gateway, feed.16, F1, G1"
    keys = [section.key for section in sheet().sections]
    assert "card" not in step.text and keys.count("fitted") == 1
    (card,) = (b for s in sheet().sections for b in s.blocks if isinstance(b, FittedCard))
    asked = [line.text for named in card.right for line in named.lines if line.write]
    assert [name.split(":")[0].split(",")[0] for name in asked] == [
        "F7",
        "socket fuse",
        "F1",
        "T on feed.16; mm from its connector to the T",
        "G1",
        "gateway",
    ]


def test_handing_over_names_fuses_and_what_is_unproven() -> None:
    """The fuse fitted and the one found; what the ring-out does not prove, in numbers."""
    told = words("sign")
    assert "F7 5 A, for loom.1; 10 A was found: the box is relabelled" in told
    assert "Departed from this sheet" in told
    plan = demo_given().plan
    assert plan is not None
    pairs = sum(len(g.pairs) for g in plan.not_proven if g.kind == "untested-pairs")
    assert not pairs or f"{pairs} pairs of circuits" in told


def test_parts_have_a_tenth_to_spare() -> None:
    """Seventeen joints: seventeen barrels and two more; contacts with their seals; a limited feed for no load."""
    told = words("parts")
    used = [
        a for c in demo_given().harness.job.circuits for a in c.join if a.startswith("gateway.")
    ]
    contacts = [s.at for s in part("parts") if s.text.startswith("contact")]
    assert len(used) == sum(int(at.split()[0]) for at in contacts) == 7
    for needed in (
        "17 + 2 bare barrel 0.26 to 1.65 mm2 (22-16 AWG), butt crimp",
        "shrinks from 4 to 1 mm, cut 29 mm long",
        "fuse F7 5 A, in place of the 10 A found",
        "0.4 m 0.35 mm2 YE yellow, for 1 wire",
        "tube 445 mm on the bare wire of shield-b, 1.2 to 1.7 mm outside for the wire seal",
        "the die for bare barrels",
        "breakout leads for loom, feed",
        "2 of 5 W on leads for fuse sockets, 1 of 10 W, 1 of 21 W on leads with contacts that fit",
        "limited to 0.5 A",
    ):
        assert needed in told


def test_an_adapter_has_words_of_its_own(tmp_path: Path) -> None:
    """Two plugs, no machine wire cut: nothing speaks of a cut, a splice or a sleeve, and no page is empty."""
    given = adapter(tmp_path)
    made = compose(given, print_held=True)
    pages = [section for section in made.sections if section.key != "questions"]
    told = " ".join(said(s) for section in pages for s in steps_of(section)).lower()
    for absent in ("cut-off", "splice", "sleeve", "across the cut", "before the cut"):
        assert absent not in told, absent
    assert "stop-cut" not in {s.key for s in made.sections}
    assert all(section.blocks for section in made.sections)


def adapter(folder: Path) -> Given:
    """A short lead of two plugs."""
    table = (
        "title: {0}\ncavities:\n  1: {{function: permanent-supply, volts: 12, flow: to-unit, amps: 1}}\n"
        "  2: {{function: power-ground, amps: 1}}\n  3: {{function: lamp-feed, volts: 12, amps: 1}}\n"
    )
    job = (
        "title: lead\nends:\n  old: {pinout: old.yaml, is: mate, side: machine}\n"
        "  new: {pinout: new.yaml, is: mate, side: unit}\ncircuits:\n"
        "  - {id: plus, join: [old.1, new.1], wire: 0.5 RD, length_mm: 300}\n"
        "  - {id: minus, join: [old.2, new.2], wire: 0.5 BK, length_mm: 300}\n"
        "  - {id: lamp, join: [old.3, new.3], wire: 0.5 YE, length_mm: 300}\n"
    )
    return given_from(folder, job, old=table.format("old"), new=table.format("new"))


def test_where_nothing_is_cut_no_page_speaks_of_a_cut(tmp_path: Path) -> None:
    """The adapter's flags come with its wires."""
    given = adapter(tmp_path)
    assert "a plug is mated" == given.before_what
    assert flags_section(given).lead.endswith("each wire gets its two as it is cut.")


def test_before_the_work_the_machine_shows_its_own_half(tmp_path: Path) -> None:
    """A plug of the adapter is the mirror of what the probe finds on the machine."""
    job = load_job(DEMO / "adapter" / "job.yaml").value
    assert job is not None
    harness = Harness(settle(job))
    own = {block.name: block.views[0].rows[0] for block in own_blocks(harness, Side.MACHINE)}
    mate = {block.name: block.views[0].rows[0] for block in face_blocks(harness)}
    names = [hole.name for hole in own["lamp"] if hole is not None]
    assert ["1", "2", "3"] == names
    assert names[::-1] == [hole.name for hole in mate["lamp"] if hole is not None]


def head_adapter() -> Given:
    """The demo's other job: an adapter between two plugs of the machine and a new head."""
    path = DEMO / "adapter" / "job.yaml"
    given, findings = gather(path)
    assert given is not None, findings
    return given


def test_stops_are_numbered_as_they_come() -> None:
    """An adapter has no cut: its stops are 1 to 3, a splice's 1 to 4."""
    for given, names in (
        (demo_given(), ["the cut", "the sleeves", "the battery", "mating"]),
        (head_adapter(), ["closing up", "the battery", "mating"]),
    ):
        found = [b for s in compose(given).sections for b in s.blocks if isinstance(b, TwoNames)]
        assert list(enumerate(names, 1)) == [(stop.n, stop.name) for stop in found]


def test_sections_of_one_stage_bear_letters() -> None:
    """No two headings of a sheet have one number; a stage of one section has no letter."""
    letters: dict[str, list[str]] = {}
    for section in sheet().sections:
        number = section.name.rstrip(ascii_lowercase)
        letters.setdefault(number, []).append(section.name.removeprefix(number))
    assert list(letters) == [str(n) for n in range(1, len(letters) + 1)]
    several = [found for found in letters.values() if found != [""]]
    assert 0 < len(several) < len(letters)
    assert all(found == list(ascii_lowercase[: len(found)]) for found in several)


def test_ring_out_rows_name_their_joint() -> None:
    """Where a probe stands at a bare joint the row says at which."""
    rows = {s.at: s.text for s in part("ringout") if s.n.startswith("R")}
    numbers = {name: rows_[0].n for name, rows_ in joint_rows().items()}
    for probe in demo_given().probes:
        if probe.red == ("loom.1",) and probe.black == ("donor.3",):
            assert numbers["supply"] in rows["loom.1 – donor.3"]
            break
    else:
        pytest.fail("the supply is not rung out at the loom")


def test_both_lengths_are_told_at_the_cut() -> None:
    """What the old plug keeps stands at the stop and over the joints, with the slack in a length."""
    assert "150 mm behind the old plug" in words("stop-cut")
    assert "350 mm from the last tie" in words("stop-cut")
    lead = next(s.lead for s in sheet().sections if s.key == "joints")
    assert "150 mm behind the old plug" in lead and "up to 20 mm of slack" in lead


def test_a_colour_is_written_beside_its_wire() -> None:
    """Each wire that was there before has a place for its colour, that of the T too; new ones none.

    The two wires of a bus are looked at where they are cut, before their joints.
    """
    for three in joint_rows().values():
        for line in three[0].lines:
            there = line.at.startswith(("loom.", "donor.", "feed."))
            assert bool(line.asked) == (there and "was cut" not in line.text), line
    for row in part("joints"):
        if "then cut" in row.text:
            assert [line.at for line in row.lines] == row.at.split(" and ")
            assert all(line.asked for line in row.lines)


def test_nothing_is_read_in_an_empty_cavity() -> None:
    """No step of either demo job puts a probe where there is no contact."""
    for given in (demo_given(), head_adapter()):
        empty = {p.address for p in given.treated("blank")}
        read = [
            s
            for sec in compose(given).sections
            for s in steps_of(sec)
            if s.n[:1] in ("R", "A", "P")
        ]
        at = {word for s in read for word in s.at.split()}
        assert empty.isdisjoint(at)


def test_an_adapter_speaks_of_no_battery_on_the_bench() -> None:
    """Closing up is bench work; the way back cuts nothing."""
    made = compose(head_adapter())
    assert "Closing up" in [section.title for section in made.sections]
    back = next(s for s in made.sections if s.key == "way-back")
    assert "cut" not in back.lead


def test_what_the_machine_switches_is_lit_and_tried() -> None:
    """The lamps of the head: a lamp over each with the switch on, and each by itself at work."""
    made = compose(head_adapter())
    power = " | ".join(map(said, part("power", made)))
    assert "switch on for Work lamp left (lamp.1), Work lamp right (lamp.2)" in power
    assert "between head.2 and head.1" in power
    work = " | ".join(map(said, part("work", made)))
    assert "Lamp L (head.2) works" in work and "Lamp R (head.3) works" in work


def test_each_reading_of_a_sheet_is_asked_once() -> None:
    """No two readings of one series have the same probes in the same state."""
    for given in (demo_given(), head_adapter()):
        for probes in (given.probes, given.second):
            spots = [(frozenset((p.red, p.black)), p.state) for p in probes if not p.comb]
            assert len(spots) == len(set(spots))


def test_an_adapter_says_what_is_its_own() -> None:
    """Its plugs bear the names of the machine's: their faces and probes are told apart; its housings are parts; fuses come out at first power alone, no clips are counted, what was pulled off is kept."""
    made = compose(head_adapter())
    told = {s.key: " | ".join(map(said, part(s.key, made))) for s in made.sections}
    ringout = next(s for s in made.sections if s.key == "ringout")
    owners = [v.owner for b in ringout.blocks if isinstance(b, FaceBlock) for v in b.views]
    assert owners == ["adapter's lamp", "adapter's camera", "head"]
    assert "the adapter's own contacts" in told["ringout"]
    assert "housing of head: 12-way sealed, sockets" in told["parts"]
    titles = [b.title for s in made.sections for b in s.blocks if isinstance(b, Steps)]
    assert not any("places" in title for title in titles)
    assert "F23" not in told["stop-battery"] and "clips," not in told["stop-battery"]
    assert "Out: F23 3 A" in told["power"]
    assert "lamp, camera what was pulled off" in told["keep"]


def test_what_works_alone_is_told_from_switch_to_load() -> None:
    """The unit's contact and the machine's wire: two papers call one valve by two names; a lamp has the machine's switch."""
    assert "Spreading disc valve (donor.12) on alone: Spinner valve (loom.3) works" in words("work")
    lamp = " | ".join(map(said, part("work", compose(head_adapter()))))
    assert "machine's own switch Work lamp left (lamp.1) on alone: Lamp L (head.2) works" in lamp


def test_a_bus_is_the_one_exception_to_one_wire_at_a_time() -> None:
    """Said where both of its wires are cut, and by both persons before."""
    titles = [b.title for s in sheet().sections for b in s.blocks if isinstance(b, Steps)]
    assert sum("whose pair alone is cut together" in title for title in titles) == 2
    assert "one wire at a time as its joint comes, a bus pair together" in words("stop-cut")
