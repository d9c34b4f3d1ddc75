"""A job of more circuits than a ring-out is planned for is refused in words wherever a plan is made."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from called import called
from demo_jobs import copied_demo

WORDS = "a ring-out is planned for at most 5"
REFUSED = (
    ("ringout", "job.yaml"),
    ("ringout", "job.yaml", "--walk", "--by", "RK"),
    ("ringout", "job.yaml", "--readings", "bench.txt"),
    ("ringout", "job.yaml", "--judge"),
    ("sheet", "job.yaml", "-o", "sheet.pdf"),
    ("compare", "--ways", "adapter/splice.yaml", "adapter/job.yaml"),
)
UNHINDERED = (("check", "job.yaml"), ("next", "job.yaml"), ("slips", "job.yaml"))


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo, as if five circuits were too many."""
    folder = copied_demo(tmp_path / "demo").parent
    (folder / "bench.txt").write_text("loom.12 - donor.16 b\n", encoding="utf-8")
    monkeypatch.setattr("wiremap.ringout.plan.MOST_NETS", 5)
    return folder


@pytest.mark.parametrize("words", REFUSED, ids=" ".join)
def test_it_is_refused_with_what_to_do(here: Path, words: tuple[str, ...]) -> None:
    """Exit code 2, the reason, and what to do; nothing written."""
    came = called(*words, cwd=here)
    assert 2 == came.returncode, came.stderr
    said = came.stdout + came.stderr
    assert WORDS in said and "part the job into several" in said
    assert not (here / "sheet.pdf").exists()


@pytest.mark.parametrize("words", UNHINDERED, ids=" ".join)
def test_what_needs_no_plan_goes_on(here: Path, words: tuple[str, ...]) -> None:
    """Findings, questions and slips are told as ever; with readings kept too."""
    assert called(*words, cwd=here).returncode in (0, 1)
    book = here / "notebook.yaml"
    read = (
        "  - {kind: probe, red: loom.12, black: donor.16, seen: beep, by: RK, date: 2026-03-05}\n"
    )
    book.write_text(book.read_text(encoding="utf-8") + read, encoding="utf-8")
    assert called(*words, cwd=here).returncode in (0, 1)


def test_json_says_it_too(here: Path) -> None:
    """One document, with the reason in it."""
    came = called("ringout", "job.yaml", "--json", cwd=here)
    assert WORDS in json.dumps(json.loads(came.stdout))
