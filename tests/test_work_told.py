"""What hands did at a joint or a contact, and what wires stand, told by an answer instead of in a file."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main

CASES = Path(__file__).parent / "cases"


def found(job: Path, rule: str) -> int:
    """How many findings of a rule a job has that nobody has signed."""
    findings = check([str(job)]).jobs[0].findings
    return sum(finding.rule == rule and finding.accepted is None for finding in findings)


@pytest.mark.parametrize(
    ("rule", "about", "answer", "refused"),
    [
        ("crimp-moves", "loom.12 - donor.12.supported", "yes", "held"),
        ("left-out-unexplained", "", "blank", "glue"),
        ("surroundings-beyond-insulation", "surroundings.limit_C", "150", "9999"),
    ],
)
def test_the_answer_that_a_cure_names_ends_its_finding(
    tmp_path: Path, rule: str, about: str, answer: str, refused: str
) -> None:
    """By its command, no file edited; what is no answer is refused, and a no leaves it as it is."""
    job = Path(shutil.copytree(CASES / rule, tmp_path / rule)) / "bad.yaml"
    before = found(job, rule)
    assert before
    if not about:
        first = next(f for f in check([str(job)]).jobs[0].findings if f.rule == rule)
        about = f"{first.subject[0]}.treat"
    call = ["next", str(job), "--about", about, "--how", "seen at the bench", "--by", "RK"]
    assert main([*call, "--answer", refused]) == 2 and found(job, rule) == before
    text = job.read_text("utf-8")
    if answer == "yes":
        assert main([*call, "--answer", "no"]) == 0 and found(job, rule) == before
    assert main([*call, "--answer", answer]) == 0
    assert found(job, rule) < before and job.read_text("utf-8") == text
