"""The survey: two blocks, bands with sources, like loads, terminators, signatures, questions; nothing refused is probed."""

from __future__ import annotations

import json
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from called import called
from demo_jobs import DEMO, ROOT, loom_drawing

from wiremap.entries.forms import SURVEY_FORM
from wiremap.evidence import alone, judge_survey, settle
from wiremap.evidence.expected import supply_words
from wiremap.files import load_job, load_notebook
from wiremap.model import Cavity, Entry, EntryKind, Flow, Job, Notebook, OnOff, Span, Supply, frozen
from wiremap.naming import Meaning
from wiremap.reports.survey import row_lines
from wiremap.survey.lines import typed_survey
from wiremap.survey.questions import questions
from wiremap.survey.rows import survey
from wiremap.trade.functions import FUNCTIONS


def run(*args: str, cwd: Path = ROOT, text: str | None = None) -> subprocess.CompletedProcess[str]:
    return called(*args, cwd=cwd, text=text)


def test_volts_come_before_ohms_and_are_never_mixed(demo: Job) -> None:
    """All volts rows first; each ohms row says that it must read dead before."""
    made = survey(demo)
    blocks = [r.block for r in made.rows]
    assert blocks == sorted(blocks, reverse=True)
    assert {0.1} == {r.as_dict()["volts_first"] for r in made.block("ohms")}
    assert all("volts_first" not in r.as_dict() for r in made.block("volts"))


def test_supplies_are_never_read_in_ohms(demo: Job) -> None:
    """A permanent supply is read in volts only."""
    assert not any("loom.1" in (r.red, r.black) for r in survey(demo).block("ohms"))


@pytest.mark.parametrize(
    ("red", "black", "low", "high"),
    [
        ("loom.2", "chassis", 0, 0.5),
        ("loom.3", "chassis", 7.5, 7.5),
        ("loom.6", "loom.7", 120, 120),
        ("loom.11", "loom.8", 4700, 4700),
        ("loom.12", "loom.8", 500, 4200),
    ],
)
def test_bands_hold_what_the_demo_table_says(
    demo: Job, red: str, black: str, low: float, high: float
) -> None:
    """Each band reaches over the table's value (invented for the demo) but not over twice or half of it."""
    row = next(
        r
        for r in survey(demo).block("ohms")
        if (r.red, r.black) == (red, black) and r.state is None
    )
    assert row.low is not None and row.high is not None and row.source
    assert row.low <= low and high <= row.high
    assert row.high < 2 * high + 2 and row.low * 2 + 2 > low


def test_like_loads_are_told_apart(demo: Job) -> None:
    """Two valves of 7.5 ohm: unplug one."""
    (alike,) = survey(demo).alike
    assert alike.points == ("loom.3", "loom.5")
    assert "unplug one" in alike.how


def test_like_loads_are_found_behind_one_that_a_switch_changes(demo: Job) -> None:
    """What reads otherwise with a guard open is passed over, and the two valves below it still look alike."""
    loom = demo.ends["loom"]
    behind = tuple(sorted(loom.pinout.behind, key=lambda link: link.when is None))
    turned = replace(loom, pinout=replace(loom.pinout, behind=behind))
    job = replace(demo, ends=frozen({**demo.ends, "loom": turned}))
    assert [("loom.3", "loom.5")] == [alike.points for alike in survey(job).alike]


@pytest.mark.parametrize(
    ("supply", "words"),
    [
        (Supply(volts=24), "24 V on"),
        (Supply(min_volts=11, max_volts=15), "11 to 15 V on"),
        (Supply(min_volts=11), "supply on (its volts are not stated"),
    ],
)
def test_a_supply_is_told_by_what_is_stated_of_it(supply: Supply, words: str) -> None:
    """One end of a range alone is no range; without a face that states more, it has to be read first."""
    assert supply_words(Job(title="", path="", ends={}, circuits=(), supply=supply)).startswith(
        words
    )


def test_contacts_that_nobody_probes_are_counted_at_the_end(demo: Job) -> None:
    """Of the survey in full; the signals that may not be touched stand in no row."""
    made = survey(demo)
    assert row_lines(made)[-1] == f"not to be probed: {len(made.left_alone)} of the cavities"
    assert made.left_alone
    assert not any("not to be probed" in line for line in row_lines(replace(made, left_alone=())))


def test_the_terminator_question_has_its_four_answers(demo: Job) -> None:
    """60 off, 120 on, open one more, under 50 one too many (120 ohm at each end of the bus: ISO 11898-2)."""
    made = survey(demo).terminators
    assert [(t.red, t.black) for t in made] == [("loom.6", "loom.7"), ("donor.9", "donor.8")]
    assert [reads for reads, _ in made[0].steps] == ["60", "120", "open", "under 50"]
    assert [next(w for w in ("off", "too many", "on") if w in so) for _, so in made[0].steps] == [
        "off",
        "on",
        "on",
        "too many",
    ]


def test_signatures_are_read_again_at_the_new_face(demo: Job) -> None:
    """What was 7.5 ohm at loom 3 must be seen at donor 12; the pair at the port of the in-line unit."""
    found = {(s.before, s.after) for s in survey(demo).as_before}
    assert (("loom.3", "chassis"), ("donor.12", "chassis")) in found
    assert (("loom.6", "loom.7"), ("gateway.1", "gateway.2")) in found
    assert (("loom.12", "loom.8"), ("donor.16", "donor.6")) in found


def test_restraint_never_appears(demo: Job) -> None:
    """Not in a row, not in a signature, not in a question."""
    loom = demo.ends["loom"]
    cavities = {
        n: replace(c, reading=Meaning("restraint")) if n in ("1", "9") else c
        for n, c in loom.pinout.cavities.items()
    }
    job = replace(
        demo,
        ends=frozen(
            {
                **demo.ends,
                "loom": replace(loom, pinout=replace(loom.pinout, cavities=frozen(cavities))),
            }
        ),
    )
    text = json.dumps(survey(job).as_dict()) + json.dumps([q.as_dict() for q in questions(job)])
    assert '"loom.1"' not in text and '"loom.9"' not in text
    assert {"loom.1", "loom.9"} <= set(survey(job).left_alone)


def test_questions_go_by_the_work(demo: Job) -> None:
    """Volts of a machine before everything, then what sources say otherwise, then step by step, most harm a minute."""
    bare = replace(demo, supply=replace(demo.supply, volts=None), notebooks=())
    strip = {n: replace(c, volts=None) for n, c in bare.ends["loom"].pinout.cavities.items()}
    ends = {
        k: replace(
            e,
            pinout=replace(
                e.pinout,
                cavities=frozen({n: replace(c, volts=None) for n, c in e.pinout.cavities.items()}),
            ),
        )
        for k, e in bare.ends.items()
    }
    assert strip
    found = questions(replace(bare, ends=frozen(ends)))
    assert found[0].about == "supply.volts"
    order = ["map", "leaflet", "meter", "feed", "hands", "place"]
    ranks = [(not q.against, order.index(q.found_at), -q.harm / q.minutes) for q in found[1:]]
    assert ranks == sorted(ranks) and {True, False} == {q.against for q in found}
    assert all("don't know" in q.answers and q.why and q.how for q in found)


def test_what_goes_with_what_is_asked_before_the_meter_comes_out(tmp_path: Path) -> None:
    """Whether a circuit is right, then the unit's leaflet, then a supply that somebody told of, then its fuse."""
    old = "cavities:\n  1: +12 always, 1.0 red\n  2: earth, 1.0 brown\n  3: x 7, 0.5 blue\n"
    new = "cavities:\n  1: Battery 12 V, 1.0 red\n  2: GND, 1.0 brown\n  3: x 8, 0.5 blue\n"
    for name, text in (("old", old), ("new", new)):
        head = f"wiremap: pinout/1\ntitle: {name}\n"
        (tmp_path / f"{name}.yaml").write_text(head + text, encoding="utf-8")
    job = "wiremap: job/1\nsupply: {volts: 12}\nends:\n"
    job += "  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
    job += "  new: {pinout: new.yaml, is: pigtail, side: unit}\ncircuits:\n"
    job += "  - {join: [old.1, new.1], grade: ask}\n  - old.2 - new.2\n"
    (tmp_path / "job.yaml").write_text(job, encoding="utf-8")
    loaded = load_job(tmp_path / "job.yaml").value
    assert loaded is not None
    asked = [q.about for q in questions(settle(loaded))]
    order = ["old.1 - new.1", "new.1.amps", "old.1.basis", "old.1.fuse_amps", "old.tail_mm"]
    assert order == sorted(order, key=asked.index) and asked.index("old.1 - new.1") == 0
    assert asked.index("old.tail_mm") < asked.index("surroundings.wet")


def test_dont_know_is_an_answer() -> None:
    """It is kept, and not asked again."""
    one = Cavity(name="1", reading=Meaning("unknown"))
    job = loom_drawing()
    pinout = replace(job.ends["end"].pinout, cavities=frozen({"1": one}))
    job = alone(pinout)
    assert "end.1" in [q.about for q in questions(job)]
    silent = replace(
        job,
        notebooks=(
            Notebook(
                "n.yaml",
                (Entry(kind=EntryKind.ANSWER, by="X", about="end.1", answer="don't know"),),
            ),
        ),
    )
    assert "end.1" not in [q.about for q in questions(settle(silent))]


def test_commands(tmp_path: Path) -> None:
    """survey and next on a pinout by itself: rows, an answer saved beside it, the question gone; JSON with its first key."""
    shutil.copy(DEMO / "papers" / "series1-loom.yaml", tmp_path / "old.yaml")
    got = run("survey", "old.yaml", cwd=tmp_path)
    assert got.returncode == 0 and "end." not in got.stdout and "12 to 8" in got.stdout
    notes = tmp_path / "old-notebook.yaml"
    notes.write_text(
        "wiremap: notebook/1\nentries:\n  - {kind: survey, red: 12, black: 8, volts: 0, seen: 1800, by: RK, date: 2026-03-02}\n"
    )
    judged = run("survey", "old.yaml", "--judge", cwd=tmp_path)
    assert judged.returncode == 1 and "13 should read so too" in judged.stdout
    said = run(
        "next",
        "old.yaml",
        "--about",
        "12",
        "--answer",
        "analogue-input",
        "--how",
        "moved the float, its ohms followed",
        "--by",
        "RK",
        cwd=tmp_path,
    )
    assert said.returncode == 0, said.stderr
    assert run("survey", "old.yaml", "--judge", cwd=tmp_path).returncode == 0
    plain = json.loads(run("survey", "old.yaml", "--json", cwd=tmp_path).stdout)
    assert next(iter(plain.values())) == "survey/1" and plain["judged"][0]["verdict"] == "fits"
    assert run("next", "old.yaml", "--answer", "x", cwd=tmp_path).returncode == 2
    assert run("survey", "nowhere.yaml", "--json", cwd=tmp_path).returncode == 2


def with_supply(demo: Job, supply: Supply, keep_volts: bool = True) -> Job:
    """The demo with another supply; without `keep_volts` no cavity states its volts either."""
    if keep_volts:
        return replace(demo, supply=supply)
    ends = {
        n: replace(
            e,
            pinout=replace(
                e.pinout,
                cavities=frozen({k: replace(c, volts=None) for k, c in e.pinout.cavities.items()}),
            ),
        )
        for n, e in demo.ends.items()
    }
    return replace(demo, supply=supply, ends=frozen(ends))


@pytest.mark.parametrize(
    ("supply", "keep", "word", "band"),
    [
        (Supply(volts=12.0), True, "12 V on", (12.0, 13.2)),
        (Supply(volts=24.0), True, "24 V on", (24.0, 26.4)),
        (Supply(volts=24.0, min_volts=18.0, max_volts=32.0), True, "24 V on", (24.0, 26.4)),
        (Supply(min_volts=18.0, max_volts=32.0), True, "18 to 32 V on", (18.0, 32.0)),
        (
            Supply(),
            True,
            "12 V on",
            (10.8, 15.0),
        ),  # the loom states 12 V; what the in-line unit stands does not count
        (Supply(), False, "not stated", (None, None)),
    ],
)
def test_the_survey_follows_the_machines_volts(
    demo: Job, supply: Supply, keep: bool, word: str, band: tuple[float | None, float | None]
) -> None:
    """The head names the job's volts, the band of a permanent supply follows them; a reading is judged by them."""
    job = with_supply(demo, supply, keep)
    made = survey(job)
    assert word in made.how("volts") and word in json.dumps(made.as_dict())
    assert (word == "12 V on") == ("12 V" in made.how("volts"))
    row = next(r for r in made.block("volts") if r.red == "loom.1" and r.key == "off")
    assert (row.low, row.high) == band
    entry = Entry(
        kind=EntryKind.SURVEY,
        by="RK",
        red=("loom.1",),
        black=("chassis",),
        key=OnOff.OFF,
        volts=25.0,
    )
    (judged,) = judge_survey(replace(job, notebooks=(Notebook("n.yaml", (entry,)),)))
    assert judged.verdict == (
        "recorded" if band[1] is None else "fits" if band[1] > 25 else "contradicts"
    )


def test_a_lamp_may_be_a_filament_or_leds(demo: Job) -> None:
    """Both are promised; a filament's figure fits, open and kilohms are noted with what they may mean, nothing contradicts."""
    loom = demo.ends["loom"]
    lamp = next(slug for slug, f in sorted(FUNCTIONS.items()) if f.electrical == "lamp")
    cavities = {"1": Cavity(name="1", reading=Meaning(lamp), flow=Flow.FROM_UNIT)}
    job = replace(
        demo,
        ends=frozen(
            {
                "loom": replace(
                    loom,
                    pinout=replace(loom.pinout, cavities=frozen(cavities), inside=(), behind=()),
                )
            }
        ),
        circuits=(),
        not_joined=frozen(),
        confirmed=(),
        twists=frozen(),
        runs=(),
    )
    (row,) = survey(job).block("ohms")
    assert "filament" in row.source and "LED" in row.source and row.high == float("inf")

    def judged(**seen: object) -> tuple[str, str]:
        entry = Entry(
            kind=EntryKind.SURVEY, by="RK", red=("loom.1",), black=("chassis",), volts=0.0, **seen
        )  # type: ignore[arg-type]
        (one,) = judge_survey(replace(job, notebooks=(Notebook("n.yaml", (entry,)),)))
        return one.verdict, one.why

    assert judged(ohms=Span.of(3.0)) == ("fits", "")
    for short in ({"seen": "beep"}, {"ohms": Span.of(0.2)}, {"ohms": Span.of(1.5)}):
        verdict, why = judged(**short)
        assert verdict == "recorded" and "a short reads so too" in why
    assert judged(ohms=Span.of(1.6)) == ("fits", "")
    for odd in (
        {"ohms": Span(float("inf"), float("inf"))},
        {"ohms": Span.of(47_000.0)},
        {"seen": "silent"},
    ):
        verdict, why = judged(**odd)
        assert verdict == "recorded" and "LED" in why


OPEN = Span(float("inf"), float("inf"))


@pytest.mark.parametrize(
    ("line", "red", "black", "shown"),
    [
        ("loom.1 12.6 V key off", "loom.1", "battery minus", {"volts": 12.6, "key": "off"}),
        ("loom.1 12,6V, key on", "loom.1", "battery minus", {"volts": 12.6, "key": "on"}),
        (
            "loom.1 to battery minus (key off): 12.6 volts  # as the row is printed",
            "loom.1",
            "battery minus",
            {"volts": 12.6, "key": "off"},
        ),
        (
            "loom.2 - chassis \u221250 mV key off",
            "loom.2",
            "chassis",
            {"volts": -0.05, "key": "off"},
        ),
        ("loom.12 to loom.8 1800 ohm", "loom.12", "loom.8", {"ohms": Span.of(1800)}),
        (
            "loom.12 to loom.8 0.02 V 1,8 k\u03a9",
            "loom.12",
            "loom.8",
            {"volts": 0.02, "ohms": Span.of(1800)},
        ),
        ("loom.12 to loom.8 1.8k", "loom.12", "loom.8", {"ohms": Span.of(1800)}),
        ("loom.13 to loom.8 OL", "loom.13", "loom.8", {"ohms": OPEN}),
        (
            "loom.9 to loom.10 open guard lifted",
            "loom.9",
            "loom.10",
            {"ohms": OPEN, "state": "guard lifted"},
        ),
        (
            "loom.9 to loom.10 (Guard lifted): s",
            "loom.9",
            "loom.10",
            {"seen": "silent", "state": "guard lifted"},
        ),
        ("loom.2 to chassis 0 V b", "loom.2", "chassis", {"volts": 0.0, "seen": "beep"}),
        ("donor.9 to donor.8 60 ohm", "donor.9", "donor.8", {"ohms": Span.of(60)}),
    ],
)
def test_readings_are_taken_in_the_trades_words(
    demo: Job, line: str, red: str, black: str, shown: dict[str, object]
) -> None:
    """Red probe, black probe, volts or ohms with a unit, the key, a state that a row asks for: as on the printed row."""
    (entry,), faults, _ = typed_survey(demo, line, "bench", "RK", "2026-03-02")
    assert not faults
    got = {
        k: v
        for k in ("volts", "ohms", "seen", "key", "state")
        if (v := getattr(entry, k)) is not None
    }
    assert got == shown
    assert (entry.kind, entry.red, entry.black, entry.by, entry.date) == (
        "survey",
        (red,),
        (black,),
        "RK",
        "2026-03-02",
    )


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("loom.12 - loom.7 12.6", "has no unit"),
        ("loom.1 12.6 V", "ignition off or ignition on"),
        ("loom.12 1800 ohm", "where the black probe stood"),
        ("loom.12 to", "where the black probe stood"),
        ("lom.12 to loom.8 1800 ohm", "did you mean `loom.12`"),
        ("loom.12 to lom.8 1800 ohm", "did you mean `loom.8`? Write it as: "),
        ("loom.12 to the frame 1800 ohm", "battery minus or chassis"),
        ("chassis to loom.8 1800 ohm", "red probe stands on a cavity"),
        ("loom.9 to loom.10 open gaurd lifted", "guard lifted"),
        ("loom.12 to loom.8 open guard lifted", "`guard` is no reading"),
        ("loom.1 12.6 V 12.5 V key off", "one line holds one reading"),
        ("loom.1 12.6 V key off key on", "one line holds one reading"),
        ("loom.1 to loom.1 3 ohm", "both probes"),
        ("loom.1 5000 V key off", "2000 V"),
        ("loom.12 to loom.8 n", "proves nothing"),
        ("loom.1", "no volts and no ohms"),
        ("wiremap: notebook/1", "--judge"),
        ("# nothing", "no reading in it"),
    ],
)
def test_a_line_that_cannot_be_read_is_told_with_its_place(demo: Job, line: str, told: str) -> None:
    """What is wrong, where, and how to write it; no reading of the batch is taken for one."""
    entries, (finding,), _ = typed_survey(demo, line, "bench.txt")
    assert (
        not entries
        and finding.fault
        and finding.fix
        and finding.place is not None
        and finding.place.path == "bench.txt"
    )
    assert told in finding.message + finding.fix
    assert "?;" not in finding.message and "?:" not in finding.message


def test_typed_readings_are_judged_as_the_notebooks_are(tmp_path: Path) -> None:
    """Unsaved they are judged and left alone; saved with a name they stand in the notebook and are judged alike, once."""
    shutil.copytree(DEMO, tmp_path / "d")
    here = tmp_path / "d"
    lines = "loom.1 12.6 V key off\nloom.4 to chassis 0 V key on\nloom.2 to chassis 3 V 0.2 ohm\nloom.14 0 V key off\n"
    before = (here / "notebook.yaml").read_bytes()
    asked = ("survey", "job.yaml", "--full", "--readings", "-")
    got = run(*asked, cwd=here, text=lines)
    assert got.returncode == 1 and (here / "notebook.yaml").read_bytes() == before
    first_lines = [line for line in got.stdout.splitlines() if not line.startswith(" ")]
    assert [line.partition(":")[0] for line in first_lines[:4]] == [
        "fits",
        "contradicts",
        "refused",
        "recorded",
    ]
    nameless = run("survey", "job.yaml", "--readings", "-", "--save", cwd=here, text=lines)
    assert (
        nameless.returncode == 2
        and "--by NAME" in nameless.stderr
        and (here / "notebook.yaml").read_bytes() == before
    )
    (here / "bench.txt").write_text(lines, "utf-8")
    again = (*asked[:-1], "bench.txt")  # a file saved twice was not measured twice
    for words, told in (
        (asked, "4 readings saved"),
        (again, "0 readings saved in notebook.yaml; 4 were there already"),
    ):
        saved = run(*words, "--save", "--by", "RK", cwd=here, text=lines)
        assert saved.returncode == 1 and told in saved.stderr
        assert saved.stdout.splitlines()[:-1] == got.stdout.splitlines()[:-1]
    judged = run("survey", "job.yaml", "--full", "--judge", cwd=here)
    assert judged.stdout == saved.stdout
    read = load_notebook(here / "notebook.yaml").value
    assert read is not None and [e.by for e in read.entries if e.kind == "survey"] == ["RK"] * 4
    assert all(e.of for e in read.entries if e.kind == "survey")
    bad = run(
        "survey",
        "job.yaml",
        "--readings",
        "-",
        "--save",
        "--by",
        "RK",
        "--json",
        cwd=here,
        text=lines + "loom.99 1 V key off\n",
    )
    assert bad.returncode == 2 and json.loads(bad.stdout)["findings"][0]["line"] == 5
    assert run("survey", "job.yaml", "--save", "--by", "RK", cwd=here).returncode == 2
    assert run("survey", "job.yaml", "--readings", "none.txt", cwd=here).returncode == 2


def test_typed_readings_of_one_pinout_leave_out_its_name(tmp_path: Path) -> None:
    """Bare cavities as on its rows; a reading that takes a proof back does so before it is saved."""
    shutil.copy(DEMO / "papers" / "series1-loom.yaml", tmp_path / "old.yaml")
    first = run(
        "survey",
        "old.yaml",
        "--readings",
        "-",
        "--save",
        "--by",
        "RK",
        cwd=tmp_path,
        text="1 12.6 V key off\n",
    )
    assert first.returncode == 0 and "surveyed 1 of" in first.stdout, first.stderr
    text = (tmp_path / "old-notebook.yaml").read_text()
    assert "red: 1," in text and "end." not in text
    second = run(
        "survey",
        "old.yaml",
        "--readings",
        "-",
        cwd=tmp_path,
        text="1 to battery minus 0 V key off\n",
    )
    assert second.returncode == 1 and "surveyed 0 of" in second.stdout
    lost = run("survey", "old.yaml", "--readings", "-", cwd=tmp_path, text="99 0 V key off\n")
    assert lost.returncode == 2 and "99 is no cavity of this pinout" in lost.stderr


def test_the_help_tells_the_lines_and_every_example_in_it_is_read(
    demo: Job, tmp_path: Path
) -> None:
    """Format, units and an example; the notebook's own form too."""
    assert "wiremap explain readings" in run("survey", "--help").stdout
    text = SURVEY_FORM
    for word in ("mV", "1.8k", "ignition off", "battery minus", "kind: survey"):
        assert word in text
    body = text
    lines = [x.strip().split("  ")[0] for x in body.splitlines() if x.startswith("  loom.")]
    assert len(lines) == 6
    entries, faults, _ = typed_survey(demo, "\n".join(lines), "help")
    assert len(entries) == 6 and not faults
    start = body.index("  - {")
    items = body[start : body.rindex("}") + 1]
    (tmp_path / "n.yaml").write_text(f"wiremap: notebook/1\nentries:\n{items}\n")
    read = load_notebook(tmp_path / "n.yaml").value
    assert read is not None and len(read.entries) == 2


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("loom.1 24.9 V key off", "more than this machine's 9 to 15 V"),
        ("loom.1 -12.4 V key on", "below zero: the probes are exchanged"),
        ("loom.4 6 V key on", "a poor feed, or a wire that floats"),
        ("loom.4 0 V key on", "not live with the ignition on"),
        (
            "loom.6 to loom.7 open",
            "no terminator is left, one or both wires of the pair are broken",
        ),
        ("loom.6 2.2 V key on\nloom.7 2.8 V key on", "the pair is crossed (ISO 11898-2"),
    ],
)
def test_what_a_strange_reading_means(demo: Job, lines: str, said: str) -> None:
    """Each in words that say what to do; one meaning is not passed off as another."""
    read, faults, _ = typed_survey(demo, lines, "survey.txt", "RK", "2026-03-02")
    judged = judge_survey(replace(demo, notebooks=(Notebook("n.yaml", read),)))
    assert (
        faults == ()
        and {j.verdict for j in judged} == {"contradicts"}
        and all(said in j.why for j in judged)
    )


def test_levels_of_a_bus_at_rest_fit(demo: Job) -> None:
    """Recessive both lie at about 2.5 V (ISO 11898-2: 2.0 to 3.0 V), a hand meter's tenth apart either way."""
    read, _, _ = typed_survey(
        demo, "loom.6 2.48 V key on\nloom.7 2.52 V key on", "survey.txt", "RK", "2026-03-02"
    )
    assert [
        j.verdict for j in judge_survey(replace(demo, notebooks=(Notebook("n.yaml", read),)))
    ] == ["fits", "fits"]


@pytest.mark.parametrize(
    ("high", "low", "verdict"), [("2.40", "2.50", "fits"), ("2.39", "2.50", "contradicts")]
)
def test_a_pair_is_crossed_from_more_than_a_meters_tenth_on(
    demo: Job, high: str, low: str, verdict: str
) -> None:
    lines = f"loom.6 {high} V key on\nloom.7 {low} V key on"
    read, _, _ = typed_survey(demo, lines, "survey.txt", "RK", "2026-03-02")
    judged = judge_survey(replace(demo, notebooks=(Notebook("n.yaml", read),)))
    assert [verdict, verdict] == [j.verdict for j in judged]


@pytest.mark.parametrize("seen", ["unsure", "diode", None])
def test_what_says_neither_volts_nor_ohms_fits_nothing(demo: Job, seen: str | None) -> None:
    """An entry of a notebook that was never a reading of the survey."""
    entry = Entry(
        kind=EntryKind.SURVEY,
        by="RK",
        date="2026-03-02",
        red=("loom.2",),
        black=("chassis",),
        seen=seen,
    )
    (judged,) = judge_survey(replace(demo, notebooks=(Notebook("n.yaml", (entry,)),)))
    assert judged.verdict == "recorded" and "read again" in judged.why


def test_a_black_probe_may_stand_on_the_leg_of_a_part(demo: Job) -> None:
    """As the tapped wire is read at its own face, through to the holder of its fuse."""
    entries, wrong, _ = typed_survey(demo, "feed.16 to F1.A at its own face 0.2 ohm", "typed")
    assert not wrong
    assert [(e.red, e.black, e.state) for e in entries] == [
        (("feed.16",), ("F1.a",), "at its own face")
    ]
