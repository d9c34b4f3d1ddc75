"""Signatures that came in a pack count once a person here has adopted them by name."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from called import last_step
from demo_jobs import DEMO_JOB

from wiremap.base import Severity
from wiremap.check import check
from wiremap.cli.main import main
from wiremap.model.notebook import Entry, EntryKind, Notebook, without_waiting
from wiremap.share.unpack import unpack

SIGNED = 4  # cautions of the demo, each signed by RK
BY = ("--by", "AM", "--date", "2026-03-05")


@pytest.fixture
def job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """The demo as somebody else's pack lays it out."""
    pack = tmp_path / "spreader.zip"
    words = ["--author", "RK, workshop", "--licence", "CC-BY-4.0", "--date", "2026-03-04"]
    assert 0 == main(["pack", str(DEMO_JOB), "-o", str(pack), *words])
    assert 0 == main(["unpack", str(pack), str(tmp_path / "here")])
    capsys.readouterr()
    return tmp_path / "here" / "job.yaml"


def signed_by(job: Path) -> list[str]:
    """Who stands to each caution; empty where nobody does."""
    cautions = [f for f in check([job]).findings if f.severity is Severity.CAUTION]
    return [found.accepted.by if found.accepted else "" for found in cautions]


def test_what_came_signed_is_open_here(job: Path) -> None:
    """Every caution is told with who signed it elsewhere, and counts as unsigned."""
    assert [""] * SIGNED == signed_by(job)
    findings = [f for f in check([job]).findings if f.severity is Severity.CAUTION]
    assert all("RK signed it in the pack" in found.message for found in findings)


def test_adopted_by_name_it_counts(job: Path) -> None:
    """With both names; adopting again finds nothing left."""
    assert 0 == main(["sign", str(job), "--adopt", "all", *BY])
    assert ["RK, adopted by AM"] * SIGNED == signed_by(job)
    assert 0 == main(["sign", str(job), "--adopt", *BY])


def test_one_at_a_time(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Enter adopts nothing, each key means what it says, the end of input leaves the rest."""
    monkeypatch.setattr("sys.stdin", io.StringIO("\n\nl\na\n"))
    assert 1 == main(["sign", str(job), "--adopt", *BY])
    assert ["", "", "", "RK, adopted by AM"] == sorted(signed_by(job))


def test_one_by_its_mark(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert 1 == main(["sign", str(job), "--adopt", "--json"])
    items = json.loads(capsys.readouterr().out)["items"]
    assert SIGNED == len(items)
    assert 1 == main(["sign", str(job), "--adopt", items[0]["mark"], *BY])
    assert 1 == sum(map(bool, signed_by(job)))


def test_the_list_of_what_waits_ends_with_what_to_do(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 1 == main(["sign", str(job), "--adopt"])
    shown = capsys.readouterr()
    assert f"{SIGNED} signatures from a pack not adopted" in shown.out
    assert last_step(f"{shown.out}{shown.err}".splitlines())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--adopt", "all"), "with a name under it"),
        (("--adopt", "00000000", *BY), "no signature that came in a pack"),
    ],
)
def test_no_name_and_no_such_mark(
    job: Path, words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    book = job.with_name("notebook.yaml").read_bytes()
    assert 2 == main(["sign", str(job), *words])
    assert said in capsys.readouterr().err
    assert book == job.with_name("notebook.yaml").read_bytes()


def test_an_adoption_is_struck_out_like_any_entry(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["sign", str(job), "--adopt", "all", *BY])
    capsys.readouterr()
    assert 0 == main(["next", str(job), "--kept", "--json"])
    kept = json.loads(capsys.readouterr().out)
    marks = [row["mark"] for row in kept["entries"] if row["says"].startswith("adopted ")]
    assert 0 == main(["next", str(job), "--strike", marks[0], *BY])
    assert SIGNED - 1 == sum(map(bool, signed_by(job)))


def test_an_adoption_that_came_along_does_not_count(job: Path, tmp_path: Path) -> None:
    """Passed on once more, what was adopted there waits for a name here."""
    main(["sign", str(job), "--adopt", "all", *BY])
    pack = tmp_path / "again.zip"
    words = ["--author", "AM", "--licence", "CC-BY-4.0", "--date", "2026-03-06"]
    main(["pack", str(job), "-o", str(pack), *words])
    assert () == unpack(pack, tmp_path / "there").findings
    assert [""] * SIGNED == signed_by(tmp_path / "there" / "job.yaml")


@pytest.mark.parametrize(
    ("adoption", "counts"),
    [
        (Entry(kind=EntryKind.ADOPTED, by="AM", mark="00000001"), True),
        (Entry(kind=EntryKind.ADOPTED, by=" ", mark="00000001"), False),
        (Entry(kind=EntryKind.ADOPTED, by="AM", mark="00000001", from_pack=True), False),
        (Entry(kind=EntryKind.ADOPTED, by="AM", mark="00000002"), False),
        (Entry(kind=EntryKind.STRUCK_OUT, by="AM", mark="00000001"), False),
    ],
)
def test_only_an_adoption_of_it_with_a_name_from_here_lets_a_signature_count(
    adoption: Entry, counts: bool
) -> None:
    signed = Entry(kind=EntryKind.ACCEPT, by="RK", own_mark="00000001", from_pack=True)
    (book,) = without_waiting([Notebook(path="notebook.yaml", entries=(signed, adoption))])
    assert counts == (signed in book.entries)
    assert counts == (signed not in book.waiting)


def test_what_is_written_here_counts_at_once(job: Path) -> None:
    """A signature of our own stands behind those that came along."""
    reason = job.with_name("reasons.txt")
    reason.write_text("sleeves-overlap: the boot closes over it\n", "utf-8")
    assert 1 == main(["sign", str(job), "--batch", str(reason), *BY])
    assert ["", "", "", "AM"] == sorted(signed_by(job))
