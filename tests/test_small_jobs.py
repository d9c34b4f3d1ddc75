"""Small jobs from trade practice: a planted danger is named by a finding of its kind, a sound job is left alone.

Each file of `small_jobs/` is one whole job.  Its first line says what is expected: `# sound: why`, or
`# danger: WEIGHT FAMILY SUBJECT`, with alternatives between bars and `*` for a finding about the whole
job; `# source:` tells where the danger is known from.  Every document begins with its file's name.
"""

from __future__ import annotations

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
