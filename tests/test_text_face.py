"""The face as text where a contact is asked for, in `next` and `check`."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo_jobs import DEMO_JOB, copied_demo
from sheet_cases import demo_given

from wiremap.cli.main import main
from wiremap.content.text_face import asked_face

LOOM = "            8    9   10   11  [12]  13   14"
DONOR = "           11   12   13   14   15   16   17  [18]  19   20"


@pytest.fixture
def open_job(tmp_path: Path) -> Path:
    """The demo before anybody has answered for loom.12, where papers disagree, and for donor.18."""
    return copied_demo(tmp_path / "demo", "donor.18", "loom.12")


def test_a_contact_is_shown_on_its_face() -> None:
    """By its address, or by something of it; nothing for what is no contact, or has no face."""
    job = demo_given().harness.job
    whole, part = asked_face(job, "loom.12"), asked_face(job, "loom.12.basis")
    assert whole == part
    assert whole[0].startswith("loom, mating side") and whole[2].split() == [
        "8",
        "9",
        "10",
        "11",
        "[12]",
        "13",
        "14",
    ]
    assert (
        asked_face(job, "gateway.TA") == asked_face(job, "supply") == asked_face(job, "x.1") == ()
    )


def test_next_shows_where_to_look(open_job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Under the question, not in the list of all."""
    assert main(["next", str(open_job), "--about", "donor.18"]) == 0
    assert DONOR.strip() in capsys.readouterr().out
    assert main(["next", str(open_job), "--full"]) == 0
    assert "[18]" not in capsys.readouterr().out


def test_check_shows_the_contact_that_is_asked_for(
    open_job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before the last line, which says what comes next; a job in order shows none."""
    assert main(["check", str(open_job)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[-1].startswith("next: answer") and lines[-2] == LOOM
    assert main(["check", str(DEMO_JOB)]) == 0
    assert "mating side" not in capsys.readouterr().out
