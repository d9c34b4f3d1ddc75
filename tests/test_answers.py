"""Answers: what each question allows, what is refused and why, where an answer is kept and that it counts from then on."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from wiremap.evidence import allowed, answers, refusal, settle, unusable
from wiremap.files import load_notebook
from wiremap.model import Entry, Job, Notebook
from wiremap.ringout.questions import questions

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "pinouts_demo"


def run(here: Path, *args: str, text: str | None = None) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "PYTHONPATH": str(ROOT), "NO_COLOR": "1"}
    return subprocess.run([sys.executable, "-m", "wiremap", *args], cwd=here, input=text, capture_output=True, text=True, env=env,
                          check=False)


@pytest.fixture
def here(tmp_path: Path) -> Path:
    """The demo with a job that names no notebook and leaves the machine's heat open."""
    folder = tmp_path / "demo"
    shutil.copytree(DEMO, folder)
    text = (folder / "job.yaml").read_text().replace("readings: [notebook.yaml]\n", "").replace("ambient_C: 60, ", "")
    (folder / "job.yaml").write_text(text)
    return folder


@pytest.mark.parametrize(("about", "good", "bad"), [
    ("supply.volts", ("24", "12 V", "13,8", "don't know"), ("banana", "0", "-12", "1e3", "24 A", "800", "12 24")),
    ("surroundings.ambient_C", ("60", "-20 °C", "don't know"), ("hot", "400", "60 mm")),
    ("surroundings.wet", ("yes", "No"), ("damp", "1")),
    ("surroundings.bundle", ("6",), ("2.5", "0", "many")),
    ("surroundings.moves", ("none", "the boom hinge"), ("x" * 300, "a\x07b")),
    ("loom.1.basis", ("measured", "document", "don't know"), ("24", "hearsay")),
    ("loom.1.amps", ("3", "0.5 A"), ("three", "3 V", "-1")),
    ("loom.1.fuse_amps", ("5", "7.5 A"), ("0", "big")),
    ("loom.1.volts", ("12", "9 to 16", "9..16 V"), ("16 to 9", "9 to", "warm")),
    ("loom.1.wire", ("0.75 RD",), ("thick", "24")),
    ("loom.1", ("permanent-supply", "unknown"), ("banana", "24")),
    ("loom.tail_mm", ("350", "350 mm"), ("long", "0", "350 A")),
    ("gateway.TA", ("on", "OFF", "don't know"), ("open", "120")),
    ("donor.18", ("carrier", "Tractor", "don't know"), ("lorry", "6")),
    ("supply", ("don't know", "yes"), ("no such thing at all",)),
])
def test_each_question_takes_only_what_it_allows(demo: Job, about: str, good: tuple[str, ...], bad: tuple[str, ...]) -> None:
    """Choices, numbers with their own unit within bounds, ranges, wires, names; a refusal says what was typed and an example."""
    assert allowed(demo, about) is not None
    for text in good:
        assert refusal(demo, about, text) is None, text
    for text in bad:
        refused = refusal(demo, about, text)
        assert refused is not None, text
        assert text[:20] in refused[0] and "allowed are" in refused[0] and "don't know" in refused[0] and refused[1].startswith("as: ")


def test_every_example_and_every_offered_choice_is_allowed(demo: Job) -> None:
    """What a refusal shows as an example, and what a question offers as an answer, is accepted for that address."""
    bare = replace(demo, supply=replace(demo.supply, volts=None), notebooks=(), surroundings=replace(demo.surroundings, wet=None))
    asked = [q for q in questions(bare) if q.writes]
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
    bad = Entry("answer", by="RK", about="surroundings.ambient_C", answer="hot")
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
    typed = run(here, "next", "job.yaml", "--about", "supply.volts", "--answer", "banana", "--by", "RK")
    assert typed.returncode == 2 and typed.stdout == ""
    for word in ("`banana`", "1 to 60 V", "don't know", "as: 24", "nothing was saved"):
        assert word in typed.stderr
    (here / "a.txt").write_text("surroundings.wet: yes\nsupply.volts: banana  # no\n\nnonsense\n")
    for source, text in (("a.txt", None), ("-", (here / "a.txt").read_text())):
        got = run(here, "next", "job.yaml", "--batch", source, "--by", "RK", text=text)
        assert got.returncode == 2 and ":4:" in got.stderr
    (here / "a.txt").write_text("surroundings.wet: yes\nsupply.volts: banana  # no\n")
    plain = run(here, "next", "job.yaml", "--batch", "a.txt", "--by", "RK", "--json")
    (finding,) = json.loads(plain.stdout)["findings"]
    assert (plain.returncode, finding["rule"], finding["line"]) == (2, "answer-refused", 2) and "`banana`" in finding["message"]
    assert not book.exists()
    (here / "a.txt").write_text("surroundings.wet: yes\nsurroundings.ambient_C: 55 C\n")
    assert run(here, "next", "job.yaml", "--batch", "a.txt", "--by", "RK").returncode == 0
    read = load_notebook(book).value
    assert read is not None and [e.about for e in read.entries] == ["surroundings.wet", "surroundings.ambient_C"]


@pytest.mark.parametrize("option", [(), ("--notebook", "mine.yaml")])
def test_an_answer_in_a_notebook_that_the_job_does_not_name_counts(here: Path, option: tuple[str, ...]) -> None:
    """The question does not return, the line to add is told each time, and once it is added nothing is told any more."""
    book = option[1] if option else "job-notebook.yaml"

    def open_ones() -> list[str]:
        body = json.loads(run(here, "next", "job.yaml", "--all", "--json", *option).stdout)
        return [q["about"] for q in body["questions"]]

    first = open_ones()
    assert "surroundings.ambient_C" in first and "donor.18" in first
    for about, text in (("surroundings.ambient_C", "don't know"), ("donor.18", "carrier")):
        said = run(here, "next", "job.yaml", "--about", about, "--answer", text, "--by", "RK", *option)
        assert said.returncode == 0 and f"`readings: [{book}]`" in said.stderr, said.stderr
    assert (here / book).exists()
    assert open_ones() == [q for q in first if q not in ("surroundings.ambient_C", "donor.18")]
    again = run(here, "next", "job.yaml", *option)
    assert f"`readings: [{book}]`" in again.stderr and "donor.18" not in again.stdout
    (here / "job.yaml").write_text((here / "job.yaml").read_text() + f"readings: [{book}]\n")
    named = run(here, "next", "job.yaml", *option)
    assert "readings:" not in named.stderr and "donor.18" not in named.stdout


def test_a_bad_answer_in_a_file_is_told_with_its_place(here: Path) -> None:
    """Where it stands, what it says, what is allowed; as a finding in JSON; the question stands again."""
    (here / "job-notebook.yaml").write_text(
        "wiremap: notebook/1\nentries:\n  - {kind: answer, about: surroundings.ambient_C, answer: hot, by: RK, date: 2026-03-02}\n")
    got = run(here, "next", "job.yaml", "--all")
    assert got.returncode == 0 and "surroundings.ambient_C" in got.stdout
    assert "job-notebook.yaml:3:" in got.stderr and "`hot`" in got.stderr and "does not count" in got.stderr
    body = json.loads(run(here, "next", "job.yaml", "--json").stdout)
    assert [(f["rule"], f["line"]) for f in body["findings"]] == [("answer-not-counted", 3)]
    assert body["notebook"]["named"] is False
