"""Answers: what each question allows, what is refused and why, where an answer is kept and that it counts from then on."""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from called import called
from demo_jobs import copied_demo, unread_demo

from wiremap.cli.main import main
from wiremap.entries.numbers import figures
from wiremap.entries.told_readings import tells_reading, told_volts
from wiremap.evidence import allowed, answers, disagreements, refusal, settle, stale, unusable
from wiremap.evidence.answer_figures import FIGURES, figure_of
from wiremap.evidence.answers import stamp
from wiremap.evidence.equipment import Equipment, read_equipment
from wiremap.files import load_job, load_notebook
from wiremap.graph import cavity_fingerprint
from wiremap.model import Cavity, Entry, EntryKind, Job, Notebook, Seen
from wiremap.survey.questions import questions


def run_here(here: Path, *args: str, text: str | None = None) -> subprocess.CompletedProcess[str]:
    return called(*args, cwd=here, text=text)


@pytest.fixture
def here(tmp_path: Path) -> Path:
    """The demo with a job that names no notebook and leaves the machine's heat open."""
    folder = copied_demo(tmp_path / "demo").parent
    text = (
        (folder / "job.yaml")
        .read_text()
        .replace("readings: [notebook.yaml]\n", "")
        .replace("ambient_C: 60, ", "")
    )
    (folder / "job.yaml").write_text(text)
    return folder


@pytest.mark.parametrize(
    ("about", "good", "bad"),
    [
        (
            "supply.volts",
            ("24", "12 V", "13,8", "don't know"),
            ("banana", "0", "-12", "1e3", "24 A", "800", "12 24"),
        ),
        ("surroundings.ambient_C", ("60", "-20 °C", "don't know"), ("hot", "400", "60 mm")),
        ("surroundings.wet", ("yes", "No"), ("damp", "1")),
        ("surroundings.bundle", ("6", "0", "4 wires"), ("2.5", "-1", "many")),
        ("surroundings.moves", ("none", "the boom hinge"), ("x" * 300, "a\x07b")),
        ("loom.1.basis", ("measured", "document", "don't know"), ("24", "hearsay")),
        ("loom.1.amps", ("3", "0.5 A"), ("three", "3 V", "-1")),
        ("loom.1.fuse_amps", ("5", "7.5 A"), ("0", "big")),
        ("loom.1.volts", ("12", "9 to 16", "9..16 V"), ("16 to 9", "9 to", "warm")),
        ("loom.1.wire", ("0.75 RD",), ("thick", "24")),
        ("loom.1", ("permanent-supply", "unknown"), ("banana", "24")),
        ("loom.tail_mm", ("350", "350 mm", "25 cm", "46"), ("long", "0", "350 A")),
        ("gateway.TA", ("on", "OFF", "don't know"), ("open", "120")),
        ("donor.18", ("carrier", "Tractor", "don't know"), ("lorry", "6")),
        ("supply", ("don't know", "yes"), ("no such thing at all",)),
    ],
)
def test_each_question_takes_only_what_it_allows(
    demo: Job, about: str, good: tuple[str, ...], bad: tuple[str, ...]
) -> None:
    """Choices, numbers with their own unit within bounds, ranges, wires, names; a refusal says what was typed and an example."""
    assert allowed(demo, about) is not None
    for text in good:
        assert refusal(demo, about, text) is None, text
    for text in bad:
        refused = refusal(demo, about, text)
        assert refused is not None, text
        assert (
            text[:20] in refused[0]
            and "allowed are" in refused[0]
            and "don't know" in refused[0]
            and refused[1].startswith("as: ")
        )


def test_every_example_and_every_offered_choice_is_allowed(demo: Job) -> None:
    """What a refusal shows as an example, and what a question offers as an answer, is accepted for that address."""
    bare = replace(
        demo,
        supply=replace(demo.supply, volts=None),
        notebooks=(),
        surroundings=replace(demo.surroundings, wet=None),
    )
    asked = list(questions(bare))
    assert asked
    for q in asked:
        known = allowed(bare, q.about)
        assert known is not None and known.fits(known.example), q.about
        for text in q.answers:
            if not text.startswith(("a ", "as ", "what ")):
                assert refusal(bare, q.about, text) is None, (q.about, text)


def test_a_bad_answer_in_a_notebook_does_not_count_and_is_asked_again(demo: Job) -> None:
    """`hot` for the heat is told and asked again; a later good one counts; an accepted spelling reaches the job."""
    open_one = replace(demo, surroundings=replace(demo.surroundings, ambient_C=None))
    bad = Entry(kind=EntryKind.ANSWER, by="RK", about="surroundings.ambient_C", answer="hot")
    job = settle(replace(open_one, notebooks=(Notebook("n.yaml", (bad,)),)))
    assert [e for e, _ in unusable(job)] == [bad]
    assert "surroundings.ambient_C" not in answers(job)
    assert "surroundings.ambient_C" in [q.about for q in questions(job)]
    better = replace(open_one, notebooks=(Notebook("n.yaml", (bad, replace(bad, answer="55 °C"))),))
    assert settle(better).surroundings.ambient_C == 55
    assert "surroundings.ambient_C" not in [q.about for q in questions(settle(better))]


def test_a_refused_answer_saves_nothing(here: Path) -> None:
    """Typed, in a batch, from a file, in JSON: exit 2, what was typed, what is allowed, an example; no notebook appears."""
    book = here / "job-notebook.yaml"
    typed = run_here(
        here, "next", "job.yaml", "--about", "supply.volts", "--answer", "banana", "--by", "RK"
    )
    assert typed.returncode == 2 and typed.stdout == ""
    for word in ("`banana`", "1 to 60 V", "don't know", "as: 24", "nothing was saved"):
        assert word in typed.stderr
    (here / "a.txt").write_text("surroundings.wet: yes\nsupply.volts: banana  # no\n\nnonsense\n")
    for source, text in (("a.txt", None), ("-", (here / "a.txt").read_text())):
        got = run_here(here, "next", "job.yaml", "--batch", source, "--by", "RK", text=text)
        assert got.returncode == 2 and ":4:" in got.stderr
    (here / "a.txt").write_text("surroundings.wet: yes\nsupply.volts: banana  # no\n")
    plain = run_here(here, "next", "job.yaml", "--batch", "a.txt", "--by", "RK", "--json")
    (finding,) = json.loads(plain.stdout)["findings"]
    assert (plain.returncode, finding["rule"], finding["line"]) == (
        2,
        "answer-refused",
        2,
    ) and "`banana`" in finding["message"]
    assert not book.exists()
    (here / "a.txt").write_text("surroundings.wet: yes\nsurroundings.ambient_C: 55 C\n")
    assert run_here(here, "next", "job.yaml", "--batch", "a.txt", "--by", "RK").returncode == 0
    read = load_notebook(book).value
    assert read is not None and [e.about for e in read.entries] == [
        "surroundings.wet",
        "surroundings.ambient_C",
    ]


def open_questions(here: Path, *option: str) -> list[str]:
    """What is still asked of the job."""
    body = json.loads(run_here(here, "next", "job.yaml", "--all", "--json", *option).stdout)
    return [question["about"] for question in body["questions"]]


def answered_twice(here: Path, *option: str) -> list[str]:
    """What is told while two questions are answered, which then return no more."""
    first = open_questions(here, *option)
    assert "surroundings.ambient_C" in first and "donor.18" in first
    told = []
    for about, text in (("surroundings.ambient_C", "don't know"), ("donor.18", "carrier")):
        said = run_here(
            here, "next", "job.yaml", "--about", about, "--answer", text, "--by", "RK", *option
        )
        assert said.returncode == 0, said.stderr
        told.append(said.stderr)
    left = [about for about in first if about not in ("surroundings.ambient_C", "donor.18")]
    assert left == open_questions(here, *option)
    return told


def test_an_answer_in_the_notebook_beside_the_job_counts(here: Path) -> None:
    """It counts without being named, and no line to add is told."""
    told = answered_twice(here)
    assert (here / "job-notebook.yaml").exists()
    assert not any("readings:" in said for said in told)


def test_an_answer_in_a_notebook_that_the_job_does_not_name_counts(here: Path) -> None:
    """The line to add is told each time, and once it is added nothing is told any more."""
    option = ("--notebook", "mine.yaml")
    told = answered_twice(here, *option)
    assert (here / "mine.yaml").exists()
    assert all("`readings: [mine.yaml]`" in said for said in told)
    again = run_here(here, "next", "job.yaml", *option)
    assert "`readings: [mine.yaml]`" in again.stderr and "donor.18" not in again.stdout
    (here / "job.yaml").write_text((here / "job.yaml").read_text() + "readings: [mine.yaml]\n")
    named = run_here(here, "next", "job.yaml", *option)
    assert "readings:" not in named.stderr and "donor.18" not in named.stdout


def test_a_bad_answer_in_a_file_is_told_with_its_place(here: Path) -> None:
    """Where it stands, what it says, what is allowed; as a finding in JSON; the question stands again."""
    (here / "job-notebook.yaml").write_text(
        "wiremap: notebook/1\nentries:\n  - {kind: answer, about: surroundings.ambient_C, answer: hot, by: RK, date: 2026-03-02}\n"
    )
    got = run_here(here, "next", "job.yaml", "--all")
    assert got.returncode == 0 and "surroundings.ambient_C" in got.stdout
    assert (
        "job-notebook.yaml:3:" in got.stderr
        and "`hot`" in got.stderr
        and "does not count" in got.stderr
    )
    body = json.loads(run_here(here, "next", "job.yaml", "--json").stdout)
    assert [(f["rule"], f["line"]) for f in body["findings"]] == [("answer-not-counted", 3)]
    assert body["notebook"]["named"] is True


def cavity(job: Job, name: str) -> Cavity:
    return job.ends["loom"].pinout.cavities[name]


def told_of_cavity(about: str, answer: str, of: str | None = None) -> Entry:
    return Entry(
        kind=EntryKind.ANSWER, by="RK", date="2026-03-02", about=about, answer=answer, of=of
    )


def noted_alone(job: Job, *entries: Entry) -> Job:
    return replace(job, notebooks=(Notebook("n.yaml", entries),))


@pytest.mark.parametrize(
    ("about", "wrong", "right", "look"),
    [
        ("loom.13", "permanent-supply", "pulse-input", lambda c: c.function == "pulse-input"),
        ("loom.13", "can-high", "analogue-input", lambda c: c.function == "analogue-input"),
        ("loom.13.volts", "24", "9 to 16", lambda c: (c.volts.low, c.volts.high) == (9, 16)),
        ("loom.13.wire", "2.5 RD", "0.5 BK", lambda c: c.wire.written == "0.5 BK"),
    ],
)
def test_a_wrong_answer_can_be_taken_back(
    here: Path, about: str, wrong: str, right: str, look: object
) -> None:
    """Both answers carry the fingerprint of the cavity in its file; the later one counts, and what it replaces is told."""
    for text in (wrong, right):
        said = run_here(here, "next", "job.yaml", "--about", about, "--answer", text, "--by", "RK")
        assert said.returncode == 0, said.stderr
    assert f"instead of {wrong}, RK" in " ".join(said.stderr.split())
    book = load_notebook(here / "job-notebook.yaml").value
    assert book is not None
    assert {e.of for e in book.entries} == {cavity_fingerprint(cavity(unread_demo(), "13"))}
    job = settle(replace(unread_demo(), notebooks=(book,)))
    assert look(cavity(job, "13"))  # type: ignore[operator]
    assert answers(job)[about].answer == right and settle(job) == job


def test_an_answer_that_was_stamped_with_an_earlier_answer_laid_over_counts() -> None:
    """A notebook in which each answer speaks of the cavity as the one before had made it: the last one counts, in any order."""
    first = told_of_cavity(
        "loom.13", "permanent-supply", cavity_fingerprint(cavity(unread_demo(), "13"))
    )
    later = told_of_cavity(
        "loom.13",
        "can-high",
        cavity_fingerprint(cavity(settle(noted_alone(unread_demo(), first)), "13")),
    )
    volts = told_of_cavity(
        "loom.13.volts",
        "5",
        cavity_fingerprint(cavity(settle(noted_alone(unread_demo(), first, later)), "13")),
    )
    last = told_of_cavity(
        "loom.13",
        "pulse-input",
        cavity_fingerprint(cavity(settle(noted_alone(unread_demo(), first, later, volts)), "13")),
    )
    assert len({e.of for e in (first, later, volts, last)}) == 4
    job = settle(noted_alone(unread_demo(), first, later, volts, last))
    assert cavity(job, "13").function == "pulse-input" and not stale(job)
    assert not stale(settle(noted_alone(unread_demo(), volts, later, first, last)))


def test_an_answer_over_one_that_no_longer_counts_is_stale() -> None:
    """The file was changed: neither the first answer nor one that rested on it counts, before and after they are laid over."""
    first = told_of_cavity("loom.13", "permanent-supply", "0" * 12)
    later = told_of_cavity(
        "loom.13",
        "pulse-input",
        cavity_fingerprint(
            cavity(settle(noted_alone(unread_demo(), told_of_cavity("loom.13", "can-low"))), "13")
        ),
    )
    for job in (
        noted_alone(unread_demo(), first, later),
        settle(noted_alone(unread_demo(), first, later)),
    ):
        assert [s.entry for s in stale(job)] == [first, later] and not answers(job)
        assert cavity(job, "13").function == cavity(unread_demo(), "13").function


def test_volts_answered_after_a_function_leave_the_function_standing() -> None:
    """What an answer changes in the cavity makes no other answer and no reading stale, on the settled job either."""
    name = stamp(unread_demo(), told_of_cavity("loom.13", "pulse-input"))
    read = stamp(
        unread_demo(),
        Entry(
            kind=EntryKind.SURVEY,
            by="RK",
            red=("loom.13",),
            black=("loom.8",),
            volts=0.0,
            seen=Seen.SILENT,
        ),
    )
    job = settle(
        noted_alone(
            unread_demo(),
            name,
            read,
            stamp(unread_demo(), told_of_cavity("loom.13.volts", "0 to 12")),
        )
    )
    assert cavity(job, "13").volts != cavity(unread_demo(), "13").volts
    assert not stale(job) and set(answers(job)) == {"loom.13", "loom.13.volts"}
    assert [
        d.settled and d.settled.answer for d in disagreements(job) if d.address == "loom.13"
    ] == ["pulse-input"]


def test_the_last_words_are_laid_over_last() -> None:
    """`loom.13.function` and `loom.13` speak of one thing: whichever was answered last counts."""
    for order in (("loom.13.function", "loom.13"), ("loom.13", "loom.13.function")):
        said = [
            told_of_cavity(order[0], "can-high"),
            told_of_cavity(order[1], "can-low"),
            told_of_cavity(order[0], "pulse-input"),
        ]
        assert cavity(settle(noted_alone(unread_demo(), *said)), "13").function == "pulse-input"


def test_what_a_changed_file_leaves_behind_is_told_and_asked_again(here: Path) -> None:
    """The pinout states other volts than when it was answered: said with its place, as a finding in JSON, and asked again."""
    assert (
        run_here(
            here, "next", "job.yaml", "--about", "loom.13", "--answer", "pulse-input", "--by", "RK"
        ).returncode
        == 0
    )
    pinout = here / "series1-loom.yaml"
    changed = pinout.read_text().replace("0.35 GY/PK", "0.35 VT/PK")
    assert changed != pinout.read_text()
    pinout.write_text(changed)
    got = run_here(here, "next", "job.yaml", "--about", "loom.13")
    assert (
        "[loom.13]" in got.stdout
        and "changed since it was answered: loom.13; answer anew" in got.stderr
    )
    body = json.loads(run_here(here, "next", "job.yaml", "--json").stdout)
    assert [(f["rule"], f["subject"]) for f in body["findings"]] == [
        ("answer-not-counted", ["loom.13"])
    ]
    run_here(
        here, "next", "job.yaml", "--about", "loom.13", "--answer", "pulse-input", "--by", "RK"
    )
    assert "does not count" not in run_here(here, "next", "job.yaml").stderr


def test_two_lines_for_one_address_are_refused(here: Path) -> None:
    """Both lines are named, nothing is kept; of a pinout by itself a bare cavity and one with the end's name are one address."""
    text = "# bench\nsurroundings.wet: yes\nsupply.volts: 12\nsurroundings.wet: no\n"
    got = run_here(here, "next", "job.yaml", "--batch", "-", "--by", "RK", text=text)
    assert (
        got.returncode == 2
        and ":4:" in got.stderr
        and "line 2 (`yes`) and line 4 (`no`)" in got.stderr
    )
    assert not (here / "job-notebook.yaml").exists()
    bare = run_here(
        here,
        "next",
        "series1-loom.yaml",
        "--batch",
        "-",
        "--by",
        "RK",
        text="12.amps: 1\nend.12.amps: 2\n",
    )
    assert bare.returncode == 2 and "line 1 (`1`) and line 2 (`2`)" in bare.stderr


def test_about_shows_what_is_asked_there(here: Path) -> None:
    """The question of that address or below it; that none stands, and what was answered; an unknown address is refused."""
    asked = run_here(here, "next", "job.yaml", "--about", "donor.18")
    assert (
        asked.returncode == 0
        and "[donor.18]" in asked.stdout
        and "--about donor.18" in asked.stdout
    )
    assert "[loom.13]" in run_here(here, "next", "job.yaml", "--about", "loom", "--all").stdout
    assert (
        run_here(
            here, "next", "job.yaml", "--about", "donor.18", "--answer", "carrier", "--by", "RK"
        ).returncode
        == 0
    )
    none = run_here(here, "next", "job.yaml", "--about", "donor.18")
    assert (
        none.returncode == 0
        and "no question about donor.18 stands" in none.stdout
        and "answered carrier by RK" in none.stdout
    )
    assert (
        json.loads(run_here(here, "next", "job.yaml", "--about", "donor.18", "--json").stdout)[
            "open"
        ]
        == 0
    )
    lost = run_here(here, "next", "job.yaml", "--about", "donor.99")
    assert lost.returncode == 2 and "donor.99" in lost.stderr and "--full" in lost.stderr
    assert (
        run_here(
            here,
            "next",
            "job.yaml",
            "--about",
            "donor.18",
            "--batch",
            "-",
            text="donor.18: carrier\n",
        ).returncode
        == 2
    )


@pytest.mark.parametrize(
    "words",
    [
        ("next", "job.yaml", "--about", "supply.volts", "--answer", "12"),
        ("next", "job.yaml", "--batch", "-"),
        ("survey", "job.yaml", "--readings", "-", "--save"),
    ],
)
def test_a_day_that_is_still_to_come_is_refused(here: Path, words: tuple[str, ...]) -> None:
    """Tomorrow is told with today's date and how to mend it, nothing is saved; today and the past are taken."""
    text = "loom.1 12.6 V key off\n" if words[0] == "survey" else "supply.volts: 12\n"
    ahead = (date.today() + timedelta(days=2)).isoformat()
    got = run_here(here, *words, "--by", "RK", "--date", ahead, text=text)
    assert (
        got.returncode == 2
        and ahead in got.stderr
        and "later than today" in got.stderr
        and "leave --date out" in got.stderr
    )
    assert not (here / "job-notebook.yaml").exists()
    assert run_here(here, *words, "--by", "RK", "--date", "2026-03-02", text=text).returncode == 0


def test_a_joint_is_settled_with_how_or_not_at_all(here: Path) -> None:
    """A yes without how would be kept and settle nothing: it is refused, and nothing is saved."""
    job = load_job(here / "job.yaml").value
    assert job is not None
    about = " - ".join(map(str, job.circuits[0].join))
    asked = ("next", "job.yaml", "--about", about, "--answer", "yes", "--by", "RK")
    refused = run_here(here, *asked)
    assert 2 == refused.returncode
    assert "nothing was saved" in refused.stderr and "--how" in refused.stderr
    for how in ("ok", "..."):
        refused = run_here(here, *asked, "--how", how)
        assert refused.returncode == 2 and "does not say how" in " ".join(refused.stderr.split())
    assert 0 == run_here(here, *asked, "--how", "followed by hand").returncode
    assert 0 == run_here(here, *asked[:5], "no", "--by", "RK").returncode


@pytest.mark.parametrize(
    ("key", "least", "most"),
    [
        ("beeper", "1", "1000"),
        ("peak_amps", "0", "5000"),
        ("amps", "0", "1000"),
        ("kbit_s", "1", "10000000"),
    ],
)
def test_a_figure_is_taken_up_to_its_bounds(key: str, least: str, most: str) -> None:
    """Bounds of sanity, from memory: beyond them it is a slip of the hand or of the unit."""
    assert (figure_of(key, least), figure_of(key, most)) == (float(least), float(most))
    assert figure_of(key, f"{most}.5") is None
    assert figure_of("kbit_s", "250 kbit/s") == figure_of("kbit_s", "0.25 Mbit/s") == 250


def test_so_many_clips_and_no_more() -> None:
    assert read_equipment("1000 clips") == Equipment(clips=1000)
    assert read_equipment("1001 clips") is None


def test_an_answer_bears_the_licence_that_was_claimed(
    two_papers: Callable[[str, str], Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """With its number or who gave it; a mere yes is no licence, and keeps nothing."""
    paper = "wiremap: pinout/1\ntitle: x\ncavities:\n  1: +12 always\n  2: PTO switch\n"
    two_papers(paper, paper)
    call = ["next", "job.yaml", "--about", "old.2.means", "--answer", "a lamp switch", "--licensed"]
    assert main([*call, "yes", "--how", "looked"]) == 2
    assert "licence" in capsys.readouterr().err
    assert not Path("job-notebook.yaml").exists()
    assert main([*call, "fitter's card 4711", "--how", "looked"]) == 0
    book = load_notebook("job-notebook.yaml").value
    assert book is not None and book.entries[0].licence == "fitter's card 4711"


@pytest.mark.parametrize(
    ("about", "text", "told"),
    [
        ("R1.1", "0.5", "say which: --about R1.watts or R1.a.wire or R1.b.wire"),
        ("F1", "3", "say which: --about F1.fuse_amps or F1.form or F1.a.wire or F1.b.wire"),
        ("loom.8", "it's the seat switch", "digital-input, as which these words read; to tell"),
        ("loom.8", "blinkenlight", '--about loom.8.means --answer "blinkenlight"'),
        ("loom.8", "12", "as: power-ground"),
    ],
)
def test_a_refusal_tells_what_to_type_instead(demo: Job, about: str, text: str, told: str) -> None:
    """The address of a part's figure, and where words about a contact go; what it names is taken."""
    refused = refusal(demo, about, text)
    assert refused is not None and told in refused.fix
    for address in re.findall(r"(?:about|or) ([A-Za-z]\w*\.[\w.]+)", refused.fix):
        assert allowed(demo, address) is not None


@pytest.mark.parametrize(
    ("said", "ends"),
    [
        ("9-32V", (9, 32)),
        ("9-32", (9, 32)),
        ("9...32 V", (9, 32)),
        ("9\u201332 V", (9, 32)),
        ("9 - 32 V", (9, 32)),
        ("9 to 32", (9, 32)),
        ("-5 to 5", (-5, 5)),
        ("-5", (-5, -5)),
        ("500-900 mV", (0.5, 0.9)),
        ("32-9 V", None),
        ("9-16-32", None),
        ("9-32 A", None),
    ],
)
def test_a_range_is_typed_as_leaflets_print_it(said: str, ends: tuple[float, float] | None) -> None:
    """With dots or a dash; the unit may stand behind the last end alone."""
    found = figures(said, FIGURES["volts"])
    assert (None if found is None else (found.low, found.high)) == ends


@pytest.mark.parametrize("said", ["9-32 V", "9 to 32 V", "10\u202615 V, ignition on"])
def test_a_range_is_no_reading(said: str) -> None:
    """A meter shows one figure: the end of a range proves no supply."""
    assert not tells_reading(said) and told_volts(said) == ()
    assert told_volts("12.6 V on, 0 V off")[0].volts == 12.6
