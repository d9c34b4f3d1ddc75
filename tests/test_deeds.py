"""What was done, mended and struck out: kept by command, counted at once, nothing deleted."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from demo_jobs import copied_demo

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.content.kept import entry_words
from wiremap.files import load_notebook
from wiremap.model import Address, Entry, EntryKind


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return copied_demo(tmp_path / "demo")


def entries(job: Path) -> tuple[Entry, ...]:
    """The entries that count, from the notebook on disk."""
    notebook = load_notebook(job.parent / "notebook.yaml").value
    assert notebook is not None
    return notebook.entries


def listed(job: Path, capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    """All entries with their marks, as the command lists them."""
    capsys.readouterr()
    assert main(["next", str(job), "--kept", "--json"]) == 0
    found: list[dict[str, Any]] = json.loads(capsys.readouterr().out)["entries"]
    return found


def test_what_was_mended_names_its_points(job: Path) -> None:
    """Points, how, who and when stand in the notebook."""
    arguments = ["--mended", "loom.3", "donor.12", "--how", "crimped anew", "--by", "RK"]
    assert main(["next", str(job), *arguments, "--date", "2026-03-04"]) == 0
    last = entries(job)[-1]
    assert (last.kind, last.points, last.what, last.by, last.date) == (
        "mended",
        ("loom.3", "donor.12"),
        "crimped anew",
        "RK",
        "2026-03-04",
    )


def test_an_unknown_point_mends_nothing(job: Path) -> None:
    """Exit 2, and the notebook stays as it was."""
    before = (job.parent / "notebook.yaml").read_bytes()
    assert main(["next", str(job), "--mended", "loom.99", "--by", "RK"]) == 2
    assert (job.parent / "notebook.yaml").read_bytes() == before


def test_a_struck_out_signature_counts_no_more(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The caution is open again, the line is still in the file, and the list says so."""
    finding = next(found for found in check([job]).findings if found.accepted is not None)
    says = f"accept {finding.rule} at "
    lines = [line for line in listed(job, capsys) if line["says"].startswith(says)]
    text = (job.parent / "notebook.yaml").read_text(encoding="utf-8")
    for line in lines:
        call = ["next", str(job), "--strike", line["mark"], "--how", "wrong job", "--by", "RK"]
        assert main(call) == 0
    assert text in (job.parent / "notebook.yaml").read_text(encoding="utf-8")
    again = [found for found in check([job]).findings if found.rule == finding.rule]
    assert again
    assert all(found.accepted is None for found in again)
    marks = {line["mark"] for line in lines}
    struck = [line["struck"] for line in listed(job, capsys) if line["mark"] in marks]
    assert struck == [True] * len(lines)


@pytest.mark.parametrize("mark", ["", "0", "zzzzzzzz", "abc"])
def test_a_mark_that_names_no_entry_is_refused(job: Path, mark: str) -> None:
    """Too short, foreign, or nobody's: exit 2 or a question asked, and nothing written."""
    before = (job.parent / "notebook.yaml").read_bytes()
    main(["next", str(job), "--strike", mark, "--by", "RK"])
    assert (job.parent / "notebook.yaml").read_bytes() == before


def test_a_name_is_wanted(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What nobody stands for is not kept."""
    monkeypatch.delenv("WIREMAP_BY", raising=False)
    assert main(["next", str(job), "--done", "bolted G1"]) == 2
    assert main(["next", str(job), "--done", "bolted G1", "--by", "RK"]) == 0
    assert entries(job)[-1].what == "bolted G1"


def test_a_repair_reads_as_one() -> None:
    """Where it was, and in brackets what was found there."""
    found = "donor.1 and donor.7 are exchanged"
    points = (Address("donor", "1"), Address("donor", "7"))
    entry = Entry(kind=EntryKind.MENDED, points=points, what=found, by="RK")
    assert entry_words(entry) == f"mended at donor.1, donor.7 ({found})"
