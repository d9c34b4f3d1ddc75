"""The demo's 23 traps: each built into the demo's own files, each answered as the story demands."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from demo_jobs import DEMO, DEMO_JOB, variant

from wiremap.base import Finding, Severity
from wiremap.check import Report, check
from wiremap.firstpower.plan import power_plan
from wiremap.graph import Harness
from wiremap.model import Job
from wiremap.ringout.sentinels import sentinels
from wiremap.sizing.job import size_job
from wiremap.slips import SlipReport
from wiremap.survey.rows import survey

ANSWER_18 = re.compile(r".*about: donor\.18.*\n")


def report(folder: Path, **edits: list[tuple[str, str]]) -> Report:
    """The check of a variant; it must have been read."""
    found = check([variant(folder, **edits)])
    assert [f.message for f in found.findings if f.fault] == []
    return found


def about(found: Report, rule: str, *subject: str) -> Finding:
    """The finding of a rule that names these points."""
    wanted = [f for f in found.findings if f.rule == rule and set(subject) <= set(f.subject)]
    assert wanted, (rule, subject, sorted({(f.rule, f.subject) for f in found.findings if f.holds}))
    return wanted[0]


def without(circuit: str, text: str | None = None) -> str:
    """The line of a circuit in the demo's job."""
    line = re.search(rf"  - \{{id: {circuit}, .*\n", text or (DEMO_JOB).read_text(encoding="utf-8"))
    assert line is not None
    return line.group(0)


def test_the_demo_is_in_order_with_every_caution_signed() -> None:
    """Nothing holds, and no caution is left without a name."""
    found = check([DEMO_JOB])
    assert (found.exit_code, found.jobs[0].verdict) == (0, "in-order")
    assert [
        f.message for f in found.findings if f.severity is not Severity.NOTE and f.accepted is None
    ] == []


def test_01_joined_by_equal_number(tmp_path: Path) -> None:
    """Supply to ground; of fourteen circuits only 2-2 stands unaccused."""
    text = (DEMO_JOB).read_text(encoding="utf-8")
    head = text.split("circuits:\n", 1)[0]
    head = head.split("twists:")[0] + "extras:" + head.split("extras:")[1]
    body = "".join(
        f"  - {{id: n{n}, join: [loom.{n}, donor.{n}], joint: butt-crimp}}\n" for n in range(1, 15)
    )
    shutil.copytree(DEMO, tmp_path / "demo")
    path = tmp_path / "demo" / "job.yaml"
    path.write_text(head + "circuits:\n" + body + "readings: [notebook.yaml]\n", encoding="utf-8")
    found = check([path])
    about(found, "supply-to-ground", "loom.1", "donor.1")
    joined = {
        n: [f for f in found.findings if f.holds and {f"loom.{n}", f"donor.{n}"} <= set(f.subject)]
        for n in range(1, 15)
    }
    assert [n for n, accused in joined.items() if not accused] == [2]
    assert about(found, "supply-to-ground", "donor.1").acceptable is False


def test_02_swapped_pair(tmp_path: Path) -> None:
    """High on low stops."""
    found = report(
        tmp_path,
        job=[
            ("join: [gateway.4, donor.9, R1.a]", "join: [gateway.4, donor.8, R1.a]"),
            ("join: [gateway.3, donor.8, R1.b]", "join: [gateway.3, donor.9, R1.b]"),
        ],
    )
    assert about(found, "legs-crossed", "gateway.4", "donor.8").severity is Severity.STOP


def test_03_colour_crosses_the_pair(tmp_path: Path) -> None:
    """Yellow to yellow is high on low; the words say that colour does not outweigh the half."""
    found = report(
        tmp_path,
        job=[
            (
                without("bus-a-hi"),
                "  - {id: bus-a-hi, join: [loom.6, donor.8], joint: butt-crimp}\n",
            ),
            (
                without("bus-a-lo"),
                "  - {id: bus-a-lo, join: [loom.7, donor.9], joint: butt-crimp}\n",
            ),
            (
                without("bus-b-hi"),
                "  - {id: bus-b-hi, join: [gateway.4, R1.a], joint: butt-crimp}\n",
            ),
            (
                without("bus-b-lo"),
                "  - {id: bus-b-lo, join: [gateway.3, R1.b], joint: butt-crimp}\n",
            ),
        ],
    )
    assert "not the colour" in about(found, "legs-crossed", "loom.6", "donor.8").fix


def test_04_valves_exchanged_by_colour(tmp_path: Path, demo_slips: SlipReport) -> None:
    """Nobody's word stands to the exchanged map, and the slip is harm: the wrong axle turns."""
    swap = [
        ("join: [loom.3, donor.12]", "join: [loom.3, donor.99]"),
        ("join: [loom.5, donor.13]", "join: [loom.5, donor.12]"),
        ("join: [loom.3, donor.99]", "join: [loom.3, donor.13]"),
    ]
    assert about(report(tmp_path, job=swap), "settlement-stale", "spinner").holds
    slip = next(s for s in demo_slips.slips if set(s.subject) == {"donor.12", "donor.13"})
    assert (slip.grade, "works when" in slip.outcome) == ("harm", True)


def test_05_like_loads(demo: Job) -> None:
    """Both valves read 7.5 ohm: the survey tells them apart by unplugging one."""
    told = [a for a in survey(demo).alike if {"loom.3", "loom.5"} <= set(a.points)]
    assert told and "unplug" in str(told[0])


def test_06_two_grounds_kept_apart(tmp_path: Path) -> None:
    """Sensor return on power ground stops."""
    found = report(
        tmp_path,
        job=[
            ("join: [loom.2, donor.1, donor.2]", "join: [loom.2, loom.8, donor.1, donor.2]"),
            ("join: [loom.8, donor.6, donor.18]", "join: [donor.6, donor.18]"),
        ],
    )
    assert about(found, "return-off-star", "loom.8").holds


def test_07_harmless_repeats() -> None:
    """Two black grounds and the two blue wires of a loop are a note, no caution."""
    found = check([DEMO_JOB])
    for pair in (("donor.1", "donor.2"), ("loom.9", "loom.10")):
        assert about(found, "colour-repeated", *pair).severity is Severity.NOTE
        assert not [
            f
            for f in found.findings
            if f.rule == "colours-confused" and set(pair) <= set(f.subject)
        ]


def test_08_five_volts_beside_twelve(demo_slips: SlipReport) -> None:
    """Exchanging or touching 4 and 5 at the donor, or 4 and 11 at the loom, is harm."""
    for pair in ({"donor.4", "donor.5"}, {"loom.4", "loom.11"}):
        found = [s for s in demo_slips.slips if set(s.subject) == pair]
        assert found and {"harm"} == {s.grade for s in found}
        assert any(re.search(r"12 V reaches (VREF|Sensor supply)", s.outcome) for s in found)


def test_09_signal_without_a_home(tmp_path: Path) -> None:
    """The K-line does not go to the LIN contact, though volts, single wire and colour agree."""
    found = report(
        tmp_path,
        job=[
            (
                without("speed"),
                without("speed")
                + "  - {id: service, join: [loom.14, donor.19], joint: butt-crimp}\n",
            ),
            (
                '  loom.14: {why: "K-line: series 2 has none, and its LIN is another thing", treat: cap}\n',
                "",
            ),
            ('  donor.19: {why: "LIN smart sensor, none on series 1", treat: cap}\n', ""),
        ],
    )
    assert about(found, "unlike-signals", "loom.14", "donor.19").holds


def test_10_new_signals_without_a_source(tmp_path: Path) -> None:
    """11 and 19 may stay open with a reason; 18 must be decided, and open selects the tractor."""
    left_open = [
        ("join: [loom.8, donor.6, donor.18]", "join: [loom.8, donor.6]"),
        ("not_joined:\n", "not_joined:\n  donor.18: {why: not thought of, treat: cap}\n"),
    ]
    found = report(tmp_path, job=left_open)
    assert "wanted is carrier" in about(found, "coding-otherwise", "donor.18").message
    text = (DEMO / "notebook.yaml").read_text(encoding="utf-8")
    answer = ANSWER_18.search(text)
    assert answer is not None
    found = report(tmp_path, job=left_open, notebook=[(answer.group(0), "")])
    assert "tractor" in about(found, "coding-undecided", "donor.18").message
    assert not [f for f in found.findings if f.holds and {"donor.11", "donor.19"} & set(f.subject)]


def test_11_one_supply_becomes_two(tmp_path: Path) -> None:
    """A merge is `ask` until confirmed; the thin leg is judged against the old fuse with the currents added."""
    confirmed = re.search(r"  - \{circuit: supply, .*\n", (DEMO_JOB).read_text(encoding="utf-8"))
    assert confirmed is not None
    found = report(
        tmp_path,
        job=[
            (confirmed.group(0), ""),
            ("fuse_amps: 5", "fuse_amps: 10"),
            (
                "join: [loom.1, donor.3, donor.4], joint: butt-crimp",
                "join: [loom.1, donor.3, donor.4], joint: butt-crimp, grade: ask, because: [a merge]",
            ),
        ],
    )
    assert about(found, "ask-unsettled", "supply").holds
    assert "donor.3" in about(found, "conductor-below-fuse", "loom.1").message
    harness = found.jobs[0].harness
    assert harness is not None
    assert 3.3 == pytest.approx(size_job(harness).feed("loom.1").load_amps)


def test_12_oversized_fuses_upstream(tmp_path: Path) -> None:
    """10 A before the thin leg stops; 15 A alone before the module's lead stops."""
    assert about(
        report(tmp_path, job=[("fuse_amps: 5", "fuse_amps: 10")]), "conductor-below-fuse", "loom.1"
    ).holds
    found = report(
        tmp_path,
        job=[
            (without("feed-a"), ""),
            ("  F1: {fuse: blade, amps: 2}\n", ""),
            ("join: [F1.b, gateway.8], wire: 0.5 RD", "join: [feed.16, gateway.8], wire: 0.5 RD"),
        ],
    )
    assert [
        f
        for f in found.findings
        if f.holds and f.rule in ("conductor-below-fuse", "fuse-over-contact")
    ]


def test_13_terminators_each_half_by_itself(tmp_path: Path) -> None:
    """TA off: one is missing on the machine's half.  R1 left out: one is missing on the other half.  Not answered: asked."""
    off = [
        (
            "answer: on, by: RK, date: 2026-03-02, how: set and read on the case",
            "answer: off, by: RK, date: 2026-03-02, how: read",
        )
    ]
    found = report(
        tmp_path, job=[("switches: {TA: on, TB: on}", "switches: {TB: on}")], notebook=off
    )
    assert (
        "120 ohm where two terminators give 60: one is missing"
        in about(found, "terminators", "loom.6").message
    )
    bare = [("donor.9, R1.a]", "donor.9]"), ("donor.8, R1.b]", "donor.8]")]
    assert "one is missing" in about(report(tmp_path, job=bare), "terminators", "donor.9").message
    text = (DEMO / "notebook.yaml").read_text(encoding="utf-8")
    answers = re.findall(r".*about: gateway\.T[AB].*\n", text)
    found = report(
        tmp_path, job=[(", switches: {TA: on, TB: on}", "")], notebook=[(a, "") for a in answers]
    )
    assert (
        about(found, "switch-unanswered", "gateway.TA").holds
        and about(found, "switch-unanswered", "gateway.TB").holds
    )
    assert "delivered on" in about(found, "switch-unanswered", "gateway.TB").message


def test_14_two_buses_of_one_name(tmp_path: Path) -> None:
    """The socket's CAN is another bus of the machine."""
    found = report(
        tmp_path,
        job=[
            ("join: [loom.6, gateway.1]", "join: [loom.6, gateway.1, feed.6]"),
            ("join: [loom.7, gateway.2]", "join: [loom.7, gateway.2, feed.14]"),
        ],
    )
    assert about(found, "machine-pairs-joined", "loom.6", "feed.6").holds
    assert about(found, "machine-pairs-joined", "loom.7", "feed.14").holds


def test_15_three_letter_systems(demo: Job) -> None:
    """gr is grey, br brown, L blue, B black, P pink; the order of RDBU stays unknown."""

    def colour(end: str, cavity: str) -> str:
        wire = demo.ends[end].pinout.cavities[cavity].wire
        assert wire is not None and wire.colour is not None
        return wire.colour.canonical

    told = {
        "donor.16": "grey",
        "donor.11": "brown",
        "donor.5": "pink",
        "donor.8": "yellow",
        "gateway.3": "blue",
        "gateway.7": "black",
        "gateway.6": "pink",
        "gateway.2": "green",
        "loom.11": "red+blue",
        "donor.14": "blue/yellow",
    }
    assert told == {a: colour(*a.split(".")) for a in told}


def test_16_paper_against_machine(tmp_path: Path) -> None:
    """Both statements are shown, and the job holds until a name stands to one of them."""
    text = (DEMO / "notebook.yaml").read_text(encoding="utf-8")
    answers = re.findall(r".*about: loom\.1[23],.*\n", text)
    assert len(answers) == 2
    found = report(tmp_path, notebook=[(a, "") for a in answers])
    for cavity, one, other in (
        ("12", "pulse-input", "analogue-input"),
        ("13", "analogue-input", "pulse-input"),
    ):
        message = about(found, "sources-disagree", f"loom.{cavity}").message
        assert one in message and other in message and "survey" in message
    assert found.exit_code == 1


@pytest.mark.parametrize("cavity", ["12", "13"])
def test_16_what_is_settled_leaves_the_other_open(cavity: str, tmp_path: Path) -> None:
    text = (DEMO / "notebook.yaml").read_text(encoding="utf-8")
    (answer,) = re.findall(rf".*about: loom\.{cavity},.*\n", text)
    found = report(tmp_path, notebook=[(answer, "")])
    assert [(f"loom.{cavity}",)] == [
        f.subject for f in found.findings if f.rule == "sources-disagree"
    ]


def test_17_mirrored_reading(demo: Job, demo_slips: SlipReport) -> None:
    """Mirrored, the supply lands on CAN low; 1, 4, 11 and 14 are no sentinel."""
    mirrored = next(s for s in demo_slips.slips if s.kind == "mirrored" and s.subject == ("loom",))
    assert mirrored.grade == "harm" and re.search(r"12 V reaches .*low", mirrored.outcome)
    adapter = Harness(demo)
    chosen = {a.partition(".")[2] for a in sentinels(adapter, "loom")}
    assert chosen and chosen <= {"8", "9", "10", "12", "13"}


def test_18_no_view_stated(tmp_path: Path) -> None:
    """A face without a view is refused; without a face the map alone goes on."""
    donor = (DEMO / "series2-donor.yaml").read_text(encoding="utf-8")
    face = re.search(r"  face: .*\n", donor)
    assert face is not None
    found = check([variant(tmp_path, series2_donor=[("view: mating, ", "")])])
    assert found.exit_code == 2 and any(
        "view" in f.message + f.fix or "side" in f.message for f in found.findings
    )
    assert report(tmp_path, series2_donor=[(face.group(0), "")]).jobs[0].verdict == "in-order"


def test_19_interlock_against_coding_link(tmp_path: Path) -> None:
    """A link 14-15 is refused whatever is signed; the link 6-18 is ordinary."""
    signed = (
        "entries:\n  - {kind: accept, rule: guard-bridged, subject: [donor.15, donor.14], by: RK, date: 2026-03-03, "
        "why: no guard}\n"
    )
    found = report(
        tmp_path,
        notebook=[("entries:\n", signed)],
        job=[
            ("join: [loom.9, donor.15]", "join: [donor.14, donor.15]"),
            (without("guard-back"), ""),
            (
                "not_joined:\n",
                "not_joined:\n  loom.9: {why: bridged, treat: cap}\n  loom.10: {why: bridged, treat: cap}\n",
            ),
        ],
    )
    bridged = about(found, "guard-bridged", "donor.14", "donor.15")
    assert bridged.holds and "nobody may accept" in bridged.message
    assert not [f for f in check([DEMO_JOB]).findings if f.rule.startswith(("guard", "coding"))]


def test_20_black_is_not_always_ground(tmp_path: Path) -> None:
    """Black to black is 12 V on ground."""
    found = report(
        tmp_path,
        job=[
            ("join: [loom.4, donor.7]", "join: [loom.4, donor.2]"),
            ("join: [loom.2, donor.1, donor.2]", "join: [loom.2, donor.1, donor.7]"),
        ],
    )
    assert about(found, "supply-to-ground", "loom.4", "donor.2").holds


def test_21_shield_grounded_twice(tmp_path: Path) -> None:
    """Grounded in the unit; the stud as well is a caution."""
    found = report(
        tmp_path,
        job=[
            ("join: [gateway.5, donor.10]", "join: [gateway.5, donor.10, G2]"),
            ("  G1: {stud: M6}\n", "  G1: {stud: M6}\n  G2: {stud: M6}\n"),
        ],
    )
    grounded = about(found, "drain-grounds", "donor.10")
    assert grounded.severity is Severity.CAUTION and "twice" in grounded.message


def test_22_pairs_in_one_sheath(tmp_path: Path) -> None:
    """One leg of each pair in each twist beeps perfectly and is told."""
    found = report(
        tmp_path,
        job=[
            ("circuits: [bus-a-hi, bus-a-lo]", "circuits: [bus-a-hi, bus-b-lo]"),
            ("circuits: [bus-b-hi, bus-b-lo]", "circuits: [bus-b-hi, bus-a-lo]"),
        ],
    )
    assert about(found, "twist-mixed", "bus-b-hi", "bus-b-lo").severity is Severity.CAUTION


def test_23_who_sleeps(demo: Job) -> None:
    """First power measures the gateway's sleeping current against its leaflet's 1 mA, and at the end the whole machine's."""
    steps = power_plan(Harness(demo))
    alone = next(s for s in steps if s.quantity == "A" and "gateway asleep" in s.do)
    assert alone.high == 0.001
    assert (steps[-1].stage, steps[-1].quantity) == ("sleep", "A")


def test_24_volt_carrier_stops(tmp_path: Path) -> None:
    """On a 24 V carrier the job stops, and no signature waives it."""
    found = report(
        tmp_path, job=[("supply: {volts: 12, min_volts: 9, max_volts: 15}", "supply: {volts: 24}")]
    )
    over = about(found, "over-voltage", "donor.3")
    assert over.holds and not over.acceptable
