"""Small jobs from trade practice: a planted danger is named by a finding of its kind, a sound job is left alone.

Each file of `small_jobs/` is one whole job.  Its first line says what is expected: `# sound: why`, or
`# danger: WEIGHT FAMILY SUBJECT`, with alternatives between bars and `*` for a finding about the whole
job; `# source:` tells where the danger is known from.  Every document begins with its file's name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from wiremap.base import Finding, Severity
from wiremap.check import Checked, check
from wiremap.rules import load

FOLDER = Path(__file__).parent / "small_jobs"
FILES = sorted(FOLDER.glob("*.yaml"))
BREAK = "--- # "
WEIGHTS = {"stop": (Severity.STOP,), "caution": (Severity.STOP, Severity.CAUTION)}


@dataclass(frozen=True)
class Small:
    """One small job: what is expected of it, and its files."""

    expected: str
    source: str
    files: dict[str, str]


def read(path: Path) -> Small:
    """A small job as written in its file."""
    head, *parts = path.read_text(encoding="utf-8").split(BREAK)
    lines = [line.removeprefix("# ") for line in head.splitlines()]
    files = dict(part.split("\n", 1) for part in parts)
    source = lines[1].removeprefix("source: ") if len(lines) > 1 else ""
    return Small(lines[0], source, files)


def checked(small: Small, folder: Path) -> Checked:
    """The job written into a folder and checked."""
    for name, text in small.files.items():
        (folder / name).write_text(text, encoding="utf-8")
    report = check([folder / "job.yaml"])
    assert report.jobs[0].verdict != "unread", [f.message for f in report.findings]
    return report.jobs[0]


def names_it(finding: Finding, expected: str) -> bool:
    """Whether a finding is of the expected weight and family and about an expected subject."""
    weight, families, subjects = expected.split(" ", 2)
    rule = load().get(finding.rule)
    if rule is None or rule.family not in families.split("|"):
        return False
    wanted = subjects.split("|")
    about = any(word in subject for word in wanted for subject in finding.subject)
    return finding.severity in WEIGHTS[weight] and (about or "*" in wanted)


def test_the_corpus_is_wide() -> None:
    """At least 30 sound jobs, at least as many with a danger, each danger with its source."""
    jobs = [read(path) for path in FILES]
    sound = [job for job in jobs if job.expected.startswith("sound: ")]
    danger = [job for job in jobs if job.expected.startswith("danger: ")]
    assert (len(jobs), True) == (len(sound) + len(danger), all(job.source for job in danger))
    assert min(len(sound), len(danger)) >= 30


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_small_job(path: Path, tmp_path: Path) -> None:
    """A danger is named by a finding of its kind; a sound job has neither a stop nor a caution."""
    small = read(path)
    job = checked(small, tmp_path)
    kind, expected = small.expected.split(": ", 1)
    if kind == "danger":
        told = [(f.severity.value, f.rule, f.subject) for f in job.findings]
        assert any(names_it(finding, expected) for finding in job.findings), told
    else:
        spoken = [f for f in job.findings if f.severity is not Severity.NOTE]
        assert [(f.rule, f.subject, f.message) for f in spoken] == []
        assert job.verdict == "in-order"


FIGURE = re.compile(
    r"(?:, )?\b(?:volts|volts_ac|amps|peak_amps|kbit_s|watts|milliohm|fuse_amps|ambient_C|bundle|moves|basis): "
    r"(?:\[[^\]]*\]|[^,}\n]+)"
)
UNKNOWABLE = {  # where the figure that is left out was all that spoke of the danger
    ("12_v_output_on_an_unwritten_24_v_lamp", "volts"): "the lamp's are unwritten already",
    ("class_b_negative_volts", "volts"): "nothing else tells that it is no ordinary contact",
    ("coil_of_24_v_on_12_v", "volts"): "a part of the machine is taken to fit the machine",
    ("ground_contact_of_two_amperes_behind_fifteen", "amps"): "its connector's rating then stands",
    ("machine_24_v_in_a_12_v_job", "volts"): "a part of the machine is taken to fit the machine",
    ("notebook_and_job_name_two_fuses", "fuse_amps"): "then one paper alone names a fuse",
}


def left_out(small: Small) -> Iterator[tuple[str, str, str]]:
    """Each figure of a job left out in turn: its key, the file, and the file's text without it."""
    papers = {name: text for name, text in small.files.items() if name != "notebook.yaml"}
    for name, text in papers.items():
        for found in FIGURE.finditer(text):
            key = found[0].removeprefix(", ").split(":")[0]
            start, end = found.span()
            if not found[0].startswith(", ") and text[end : end + 2] == ", ":
                end += 2
            yield key, name, text[:start] + text[end:]


def test_a_figure_left_out_is_no_way_to_pass(tmp_path: Path) -> None:
    """Without any one figure a job with a danger still holds, has a caution, or tells what it did not judge."""
    silent = []
    for path in FILES:
        small = read(path)
        if small.expected.startswith("danger: stop "):
            silent += [(path.stem, key) for key in passed_without(small, tmp_path)]
    assert set(silent) == UNKNOWABLE.keys()


def passed_without(small: Small, folder: Path) -> Iterator[str]:
    """The figures of a job without which nothing is said any more."""
    plain = {(each.subject, each.why) for each in checked(small, folder).not_judged}
    for key, name, text in left_out(small):
        job = checked(Small("", "", {**small.files, name: text}), folder)
        told = {(each.subject, each.why) for each in job.not_judged} - plain
        quiet = all(finding.severity is Severity.NOTE for finding in job.findings)
        if job.verdict == "in-order" and quiet and not told:
            yield key


INSIDE = "inside:\n  - {between: [3, 4], ohms: open}\n"
READ = """wiremap: notebook/1
entries:
  - {kind: survey, red: unit.3, black: unit.4, volts: 0, seen: %s, by: RK, date: "2026-03-02"}
"""


@pytest.mark.parametrize(
    ("seen", "held"), [("", True), ("120", False), ("open", True), ("40", True)]
)
def test_what_is_read_in_a_unit_is_a_terminator_of_its_bus(
    tmp_path: Path, seen: str, held: bool
) -> None:
    """ISO 11898-2: 120 ohm at each end.  Of a unit whose paper is silent the stop asks for the reading, which counts."""
    small = read(FOLDER / "terminator_missing_at_one_end.yaml")
    small.files["unit.yaml"] = small.files["unit.yaml"].replace(INSIDE, "")
    if seen:
        small.files["job-notebook.yaml"] = READ % seen
    stops = [f for f in checked(small, tmp_path).findings if f.rule == "terminators"]
    assert bool(stops) == held
    assert all(("unit.3 to unit.4" in stop.fix) == (seen in ("", "open")) for stop in stops)
