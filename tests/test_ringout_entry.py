"""Readings as hands type them, and what is not let in: other dashes and units, points that do not exist, a file saved twice."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from pathlib import Path

import pytest
from demo_jobs import DEMO_JOB, copied_demo
from ringout_simulator import Copper, random_job

from wiremap.check import check_job
from wiremap.cli.main import main
from wiremap.diagnose.judge import Judgement, judge
from wiremap.diagnose.revision import as_built_revision
from wiremap.diagnose.walk import Walk
from wiremap.entries.notebook import added, respelled
from wiremap.entries.probe_lines import batch
from wiremap.evidence.stamping import no_such_points, stamped
from wiremap.files import load_notebook
from wiremap.graph import Harness
from wiremap.model import Job, Seen
from wiremap.ringout.plan import Plan, plan
from wiremap.ringout.taken import seen

pytestmark = pytest.mark.usefixtures("every_stop_signed")


@pytest.mark.parametrize(
    ("line", "seen", "ohms"),
    [
        ("loom.1 - donor.3 b", "beep", None),
        ("loom.1 – donor.3 b", "beep", None),  # as a word processor writes a dash
        ("loom.1 — donor.3 b", "beep", None),
        ("loom.1 − donor.3 b", "beep", None),  # the minus sign
        ("loom.1-donor.3 b", "beep", None),
        ("loom.1 - donor.3 0.3Ω", None, 0.3),
        ("loom.1 - donor.3 0.3 ohm", None, 0.3),
        ("loom.1 - donor.3 0,3", None, 0.3),
        ("loom.1 - donor.3 4,7 kΩ", None, 4700.0),
        ("loom.1 - donor.3 4.7k", None, 4700.0),
    ],
)
def test_a_reading_is_read_as_hands_type_it(
    line: str, seen: str | None, ohms: float | None
) -> None:
    """Dashes of every kind, a unit with or without a space, a decimal comma."""
    entries, findings = batch(line)
    assert findings == ()
    (entry,) = entries
    assert (entry.red, entry.black, entry.seen) == (("loom.1",), ("donor.3",), seen)
    assert (entry.ohms and entry.ohms.low) == (ohms and pytest.approx(ohms))


def test_commas_part_readings_and_decimals_do_not() -> None:
    """A comma between digits belongs to the number; each reading keeps the place where it stands."""
    entries, findings = batch(
        "a.1 - b.1 61,2, a.2 - b.2 s,a.3 - b.3 7,4\nmy-end.1 - b.4 b, my-end.1-b.4 b"
    )
    assert findings == ()
    assert [e.ohms and e.ohms.low for e in entries] == [61.2, None, 7.4, None, None]
    assert [e.red[0] for e in entries] == ["a.1", "a.2", "a.3", "my-end.1", "my-end.1"]
    assert [(e.place.line, e.place.col) for e in entries if e.place] == [
        (1, 1),
        (1, 17),
        (1, 29),
        (2, 1),
        (2, 19),
    ]


def test_states_are_typed_behind_the_reading() -> None:
    """A fuse that was in, and what meets outside parted."""
    entries, findings = batch("F1.a - F1.b b with F1, donor.14 - donor.15 s parted")
    assert findings == () and [e.state for e in entries] == ["F1 in", "parted"]


@pytest.mark.parametrize(
    ("line", "ohms"),
    [
        ("loom.3 to gateway.7 7.4", 7.4),
        ("loom.3 TO gateway.7 7.4 Ohm", 7.4),
        ("loom.3 - gateway.7 4k7", 4700.0),
        ("loom.3 - gateway.7 2R2", 2.2),
        ("loom.3 - gateway.7 0r3", 0.3),
        ("loom.3 - gateway.7 10R", 10.0),
        ("loom.3 - gateway.7 >20M", math.inf),
        ("loom.3 - gateway.7 > 20 M", math.inf),
        ("loom.3 - gateway.7 OL", math.inf),
        ("loom.3 - gateway.7 4.7k", 4700.0),
    ],
)
def test_figures_as_meters_and_hands_write_them(line: str, ohms: float) -> None:
    """Letters in place of the point are common practice on parts (IEC 60062), `>` and OL on displays."""
    (entry,), findings = batch(line)
    assert findings == () and entry.ohms is not None and entry.ohms.low == ohms


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("1.234567", "1.23 ohm"),
        ("119.8", "120 ohm"),
        ("4700", "4700 ohm"),
        ("0.2", "0.2 ohm"),
        ("OL", "open"),
    ],
)
def test_a_reading_is_told_as_a_meter_shows_it(typed: str, told: str) -> None:
    """Three figures, however many were typed (common practice: a hand meter shows three and a half)."""
    (entry,), _ = batch(f"loom.1 - donor.1 {typed}")
    assert told == seen(entry)


@pytest.mark.parametrize(
    "line",
    [
        "loom.3 - gateway.7 4.7k7",
        "loom.3 - gateway.7 k7",
        "loom.1 - loom.1 b",
        "loom.1+loom.2 - loom.2 s",
    ],
)
def test_what_says_two_things_is_refused(line: str) -> None:
    """A point against itself proves nothing, whatever the meter did."""
    assert [f.rule for f in batch(line)[1]] == ["reading-unread"]


def test_which_circuit_was_parted_is_typed_before_the_word(demo: Job) -> None:
    """Two grounds, two ends of a loop: where the probes are on one of each, the word alone says too little."""
    entries, findings = batch(
        "loom.2 - donor.14 b guard-back parted, loom.2 - donor.14 s ground lifted, donor.14 - donor.15 s Parted"
    )
    assert findings == () and [e.state for e in entries] == [
        "guard-back parted",
        "ground parted",
        "parted",
    ]
    assert no_such_points(Harness(demo), entries) == ()
    (found,) = no_such_points(Harness(demo), batch("loom.2 - donor.14 b gard-back parted")[0])
    assert "did you mean `guard-back`" in found.message


def test_capitals_are_taken_where_one_point_is_meant(
    demo: Job, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """So is the mark that some editors put before the first letter, on standard input too."""
    harness = Harness(demo)
    (entry,) = respelled(harness.points, batch("LOOM.1 - f1.A s")[0])
    assert (entry.red, entry.black) == (("loom.1",), ("F1.a",))
    assert respelled(["x.A", "x.a"], batch("X.A - x.a s")[0])[0].red == ("X.A",)
    monkeypatch.setattr("sys.stdin", io.StringIO("\ufeffLOOM.1 - Donor.3 b\n"))
    assert (
        main(
            [
                "ringout",
                str(DEMO_JOB),
                "--readings",
                "-",
            ]
        )
        == 1
    )
    assert "this is no reading" not in capsys.readouterr().err


def test_a_point_that_does_not_exist_is_refused(
    demo: Job, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slip of the finger is named with what was meant, and nothing of its file is saved."""
    (capitals,) = no_such_points(Harness(demo), batch("LOOM.2 - donor.1 b")[0])
    assert "did you mean `loom.2`" in capitals.message
    (found,) = no_such_points(Harness(demo), batch("loom.14x - donor.1 s, F1.a - F1.b s")[0])
    assert "loom.14x is no point of this job; did you mean `loom.14`" in found.message
    book = tmp_path / "book.yaml"
    lines = tmp_path / "lines.txt"
    lines.write_text("loom.1 - donor.3 b\nloom.2 - donr.1 b\n")
    call = [
        "ringout",
        "pinouts_demo/job.yaml",
        "--readings",
        str(lines),
        "--save",
        "--by",
        "RK",
        "--notebook",
        str(book),
    ]
    assert main(call) == 2
    assert "donr.1" in capsys.readouterr().err and not book.exists()


def test_a_file_saved_twice_is_one_measurement(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The second time nothing is added; a reading that stands twice in the file was taken twice."""
    folder = copied_demo(tmp_path / "demo").parent
    book, lines = tmp_path / "book.yaml", tmp_path / "lines.txt"
    lines.write_text("loom.1 - donor.3 b\nloom.2 - donor.1 b\n")
    call = [
        "ringout",
        str(folder / "job.yaml"),
        "--readings",
        str(lines),
        "--save",
        "--by",
        "RK",
        "--date",
        "2026-03-02",
        "--notebook",
        str(book),
    ]
    for said in ("2 readings saved", "0 readings saved"):
        assert main(call) == 1
        assert said in capsys.readouterr().err
    lines.write_text("loom.1 - donor.3 b\nloom.1 - donor.3 b\n")
    assert main(call) == 1
    assert "1 reading saved" in capsys.readouterr().err
    saved = load_notebook(book).value
    assert saved is not None and [e.red for e in saved.entries] == [
        ("loom.1",),
        ("loom.2",),
        ("loom.1",),
    ]


def test_what_is_known_is_matched_one_to_one() -> None:
    """Other figures, names or days are other measurements."""
    known = batch("a.1 - b.1 b, a.2 - b.2 7.4", by="RK", date="2026-03-02")[0]
    assert added(known, known) == ()
    assert (
        len(added(known, batch("a.1 - b.1 b, a.2 - b.2 7.5", by="RK", date="2026-03-02")[0])) == 1
    )
    assert len(added(known, batch("a.1 - b.1 b", by="RK", date="2026-03-03")[0])) == 1
    assert len(added(known, batch("a.1 - b.1 b", by="SV", date="2026-03-02")[0])) == 1


def test_a_reading_beyond_the_probes_is_told(demo: Job, tmp_path: Path) -> None:
    """At the chassis or a wire that no probe gets to: kept, not counted, and said; saved it does not look stale."""
    entries = batch("loom.2 - chassis 0.3, loom.14 - loom.3 s, loom.1 - donor.3 b")[0]
    harness = Harness(demo)
    judged = judge(harness, [stamped(harness, e) for e in entries])
    assert [b.taken.red for b in judged.beyond] == [
        ("loom.2",),
        ("loom.14",),
    ] and judged.stale == ()
    assert (
        "not counted: loom.2 to chassis: 0.3 ohm: no probe of this ring-out gets to chassis"
        in judged.told()
    )
    assert [x["red"] for x in judged.as_dict()["not_counted"]] == [["loom.2"], ["loom.14"]]


# -- what must not pass ---------------------------------------------------------------------------


def test_a_bridged_guard_loop_on_the_bench_does_not_pass(demo: Job) -> None:
    """An adapter on the bench has no guard behind it: the two sides of the loop are read against each other there."""
    made = plan(Harness(demo), "near", "adapter")
    copper = Copper(demo)
    copper.touch("loom.9", "loom.10")
    judged = answered(demo, made, copper)
    assert judged.verdict == "fail" and judged.explanations[0].mistakes[0].subject == (
        "guard-back",
        "guard-out",
    )


def test_a_beep_is_no_figure(demo: Job) -> None:
    """Where another path would beep too, only the ohms prove the wire: spinner and conveyor exchanged beep as well."""
    made = plan(Harness(demo), "near")
    wanted = [p for p in made.probes if p.expect == "ohms" and p.kind == "through"]
    assert wanted
    copper = Copper(demo, machine=True)
    beeps = [
        replace(e, seen="beep", ohms=None) if p in wanted else e
        for p in made.probes
        for e in (copper.answer(p),)
    ]
    judged = judge(Harness(demo), beeps, planned=made)
    assert (
        judged.verdict == "incomplete" and not judged.disagree and set(wanted) <= set(judged.left)
    )  # and silences at those contacts
    walk = Walk(Harness(demo), made, [copper.answer(p) for p in made.probes if p not in wanted])
    turn = walk.turn()
    assert turn is not None and walk.answer(turn, "b", "RK", "2026-03-02") == ()
    for alone in ("b", "s"):
        assert walk.answer(turn, alone, "RK", "2026-03-02") == ()
        assert "the beeper alone is not enough here" in walk.refused(turn, alone)


def test_the_last_word_is_kept() -> None:
    """Open, mended, open again: the third reading is new although it reads as the first did."""
    first, mended = batch("a.1 - b.1 o, a.1 - b.1 b", by="RK", date="2026-03-02")[0]
    assert added([first, mended], [first]) == (first,)
    assert added([first, mended], [mended]) == ()
    assert added([first, mended], [first, mended]) == ()
    assert added([first, mended], [mended, first]) == (first,)


def test_what_may_mean_two_things_is_refused(demo: Job) -> None:
    """A comma before three digits; a fuse that is none of the harness's own."""
    assert batch("a.1 - b.1 7,700")[1] and not batch("a.1 - b.1 7,7")[1]
    (found,) = no_such_points(
        Harness(demo), batch("F1.a - F1.b o with F7, F1.a - F1.b b with F1")[0]
    )
    assert found.rule == "no-such-fuse" and "F1" in found.fix


def test_one_reading_writes_no_revision(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A single reading that nobody repeated is asked again before anything is written; a day to come is refused."""
    lines, built = tmp_path / "lines.txt", tmp_path / "built.yaml"
    lines.write_text("gateway.7 - G1 o\n")
    call = ["ringout", "pinouts_demo/job.yaml", "--readings", str(lines)]
    assert main([*call, "--as-built", str(built)]) == 1 and not built.exists()
    assert main([*call, "--date", "2999-01-01"]) == 2
    assert "later than today" in capsys.readouterr().err
    assert main([*call[:2], "--walk", "--by", "RK", "--date", "2999-01-01"]) == 2
    assert "later than today" in capsys.readouterr().err


# -- what meets outside the harness ---------------------------------------------------------------


def answered(job: Job, made: Plan, copper: Copper) -> Judgement:
    """The plan answered, then every question of the diagnosis, as an honest hand would."""
    entries = [copper.answer(p) for p in made.probes]
    harness = Harness(job)
    judged = judge(harness, entries, planned=made)
    for _ in range(30):
        ask = judged.next
        if not judged.disagree or ask is None:
            break
        asked = next(
            (
                p
                for p in made.probes
                if (p.red, p.black, p.state) == (ask.red, ask.black, ask.state)
            ),
            None,
        )
        entries.append(copper.answer(asked or ask))
        judged = judge(harness, entries, planned=made)
    return judged


def test_a_bridged_guard_loop_does_not_pass(demo: Job) -> None:
    """The loop bridged in the loom beeps like a shut guard: it is found with the guard lifted, and named."""
    made = plan(Harness(demo), "near")
    copper = Copper(demo, machine=True)
    copper.touch("loom.9", "loom.10")
    judged = answered(demo, made, copper)
    assert judged.verdict == "fail"
    assert judged.explanations[0].mistakes[0].kind == "bridge"
    assert judged.explanations[0].mistakes[0].subject == ("guard-back", "guard-out")
    missing = [copper.answer(p) for p in made.probes if not p.state.parted]
    without = judge(Harness(demo), missing, planned=made)
    assert without.verdict == "incomplete" and [p.state.parted for p in without.left] == [
        "ground",
        "guard-back",
    ]


def test_a_bridge_is_one_circuit_as_built(demo: Job) -> None:
    """The revision of a bridged guard loop joins both sides, and the check holds it."""
    made = plan(Harness(demo), "near")
    copper = Copper(demo, machine=True)
    copper.touch("loom.9", "loom.10")
    built = as_built_revision(Harness(demo), answered(demo, made, copper).explanations[0].build)
    assert any({"loom.9", "loom.10", "donor.14", "donor.15"} <= set(c.join) for c in built.circuits)
    assert check_job(built).verdict != "in-order"


def test_the_walk_asks_to_part_it_and_keeps_the_state(demo: Job) -> None:
    """The walk says what to part, and the answer carries it."""
    made = plan(Harness(demo), "near")
    copper = Copper(demo, machine=True)
    walk = Walk(Harness(demo), made, [copper.answer(p) for p in made.probes if not p.state.parted])
    turn = walk.turn()
    assert turn is not None and "part ground from what it meets outside the harness" in " ".join(
        walk.show(turn)
    )
    (entry,) = walk.answer(turn, "s", "RK", "2026-03-02")
    assert (entry.seen, entry.state) == ("silent", "ground parted")


# -- parts of another value -----------------------------------------------------------------------


@pytest.mark.parametrize("by", [0.1, 0.25, 0.5, 2.0, 2.75, 10.0])
def test_a_resistor_of_another_value_is_named(demo: Job, by: float) -> None:
    """R1 of the demo: twice and half of its value and any other; named first with what it reads."""
    copper = Copper(demo, machine=True)
    one, two, ohms = copper.resistors["R1"]
    copper.resistors["R1"] = (one, two, ohms * by)
    best = answered(demo, plan(Harness(demo), "near"), copper).explanations[0]
    assert [(f.kind, f.subject[0]) for f in best.mistakes] == [("extra-wrong", "R1")]
    told = {
        0.5: "R1 has half its value, or a second one lies beside it",
        2.0: "R1 has twice its value",
    }
    assert best.as_dict()["words"] == told.get(by, f"R1 has another value, about {ohms * by:g} ohm")


@pytest.mark.parametrize("seed", [n for n in range(40) if "R1" in random_job(n).extras][:8])
def test_a_resistor_of_another_value_on_random_adapters(seed: int) -> None:
    """The same wherever it sits on a random adapter, where the plan shows it at all."""
    job = random_job(seed)
    copper = Copper(job)
    one, two, ohms = copper.resistors["R1"]
    copper.resistors["R1"] = (one, two, ohms * 10)
    judged = answered(job, plan(Harness(job), "near"), copper)
    assert [(f.kind, f.subject[0]) for f in judged.explanations[0].mistakes] == [
        ("extra-wrong", "R1")
    ]


@pytest.mark.parametrize("ohms", [2.0, 12.0, 100.0])
def test_a_coil_of_another_value_is_the_machines(demo: Job, ohms: float) -> None:
    """The spinner valve reads other than its table says: nothing of the splice is blamed."""
    copper = Copper(demo, machine=True)
    copper.loads = [(a, b, ohms if a == "loom.3" else o) for a, b, o in copper.loads]
    best = answered(demo, plan(Harness(demo), "near"), copper).explanations[0]
    assert [(f.kind, *f.subject[:2]) for f in best.mistakes] == [
        ("load-other", "loom.3", "chassis")
    ]


def test_half_of_a_terminated_pair_is_one_terminator_too_many(demo: Job) -> None:
    """Two of 120 ohm beside each other read 60 (Ohm's law): said in words, with the pair that has them."""
    copper = Copper(demo, machine=True)
    copper.loads = [(a, b, 60.0 if a == "loom.6" else o) for a, b, o in copper.loads]
    best = answered(demo, plan(Harness(demo), "near"), copper).explanations[0]
    assert best.as_dict()["words"] == (
        "what sits behind between loom.6 and loom.7 reads about 60 ohm: one terminator too many in this half"
    )


def test_an_unsure_reading_changes_nothing_of_the_value(demo: Job) -> None:
    """`n` beside a wrong value leaves the value in question."""
    made = plan(Harness(demo), "near")
    copper = Copper(demo, machine=True)
    copper.resistors["R1"] = (*copper.resistors["R1"][:2], 1200.0)
    entries = [copper.answer(p) for p in made.probes]
    unsure = [
        replace(e, seen="unsure", ohms=None)
        for e in entries
        if e.ohms is not None and e.ohms.low == 1200.0
    ]
    assert unsure
    assert judge(Harness(demo), [*entries, *unsure], planned=made).verdict == "incomplete"


@pytest.mark.parametrize("typed", ["no diode", "nd", "NO DIODE", "s diode range"])
def test_silence_in_diode_range_has_words(typed: str) -> None:
    """A diode that does not conduct is silence in that range, not plain silence."""
    (entry,), faults = batch(f"D1.a - D1.k {typed}")
    assert (entry.seen, entry.state, faults) == (Seen.SILENT, "diode range", ())


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("loom.1+loom.1+loom.1 - donor.3 b", "loom.1 is named twice under one probe"),
        ("loom.1 - donor.3+donor.3 s", "donor.3 is named twice under one probe"),
        ("loom.1 - donor.3 " + "9" * 400, "is no reading"),
        ("loom.1 - donor.3 1e400", "is no reading"),
        ("loom.1 - donor.3 5000M", "is no reading"),
        ("loom.1 - donor.3 " + "1 " * 2000, "this is no reading"),
    ],
)
def test_what_no_meter_and_no_hand_does_is_refused(typed: str, told: str) -> None:
    """A comb holds each point once; a display ends at 1000 M; nothing is told back at length."""
    entries, (fault,) = batch(typed)
    assert entries == () and told in fault.message and len(fault.message) < 1200
