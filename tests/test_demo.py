"""`wiremap demo` does the whole main job in any folder, and the demo's own papers are in order."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import pytest
from demo_jobs import DEMO

from wiremap.check import check
from wiremap.cli.main import main


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("demo") / "out"
    assert 0 == main(["demo", str(where)])
    return where


def test_every_result_is_there(folder: Path) -> None:
    """Proposal, checks, slips, ring-out and sheet, none of them empty."""
    for name in (
        "proposed.yaml",
        "proposed-check.txt",
        "check.txt",
        "slips.txt",
        "ringout.txt",
        "sheet.pdf",
    ):
        assert (folder / name).stat().st_size > 300, name
    assert (folder / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_the_raw_proposal_holds_and_the_finished_job_is_in_order(folder: Path) -> None:
    """Nobody has settled the raw papers' questions; the finished job's cautions are all signed."""
    assert [("hold")] == [j.verdict for j in check([folder / "proposed.yaml"]).jobs]
    done = check([folder / "spreader" / "job.yaml"])
    assert ["in-order"] == [j.verdict for j in done.jobs]
    assert [] == [
        f.rule for f in done.findings if f.severity.value == "caution" and f.accepted is None
    ]


def test_a_second_run_keeps_what_the_user_changed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A changed file is left as it is and named."""
    mine = folder / "spreader" / "gateway.yaml"
    text = mine.read_text() + "# mine\n"
    mine.write_text(text)
    assert 0 == main(["demo", str(folder)])
    assert text == mine.read_text()
    assert "gateway.yaml differs" in capsys.readouterr().out


def test_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The first key names command and shape; each step names its file and how to repeat it."""
    assert 0 == main(["demo", str(tmp_path / "out"), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert "wiremap" == next(iter(told)) and "demo/1" == told["wiremap"]
    assert all(
        Path(step["file"]).is_file() and step["command"].startswith("wiremap ")
        for step in told["steps"]
    )


def test_a_folder_that_cannot_be_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One clear line, exit code 2."""
    (tmp_path / "file").write_text("x")
    assert 2 == main(["demo", str(tmp_path / "file" / "out")])
    assert "cannot be written" in capsys.readouterr().err


def test_a_24_volt_carrier_is_stopped(tmp_path: Path) -> None:
    """The demo is a 12 V job; the same on a 24 V machine must hold."""
    for path in DEMO.glob("*.yaml"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    job = tmp_path / "job.yaml"
    job.write_text(
        job.read_text().replace(
            "supply: {volts: 12, min_volts: 9, max_volts: 15}",
            "supply: {volts: 24, min_volts: 18, max_volts: 30}",
        )
    )
    report = check([job])
    assert ["hold"] == [j.verdict for j in report.jobs]
    assert any(
        f.severity.value == "stop" and not f.acceptable and "24" in f.message
        for f in report.findings
    )


RESULTS = ("sheet.pdf", "check.txt", "slips.txt", "ringout.txt", "proposed.yaml")


@pytest.mark.parametrize("name", RESULTS)
def test_a_person_s_own_file_is_never_written_over(name: str, tmp_path: Path) -> None:
    """A file that bears a result's name and is not the demo's keeps its bytes; nothing is written."""
    own = tmp_path / name
    own.write_text("mine")
    assert 2 == main(["demo", str(tmp_path)])
    assert ["mine"] == [path.read_text() for path in tmp_path.iterdir()]


def test_nothing_is_written_through_a_link(tmp_path: Path) -> None:
    """A folder of the demo that is a link to elsewhere is refused, and elsewhere stays empty."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "spreader").symlink_to(elsewhere)
    assert 2 == main(["demo", str(folder)])
    assert [] == list(elsewhere.iterdir())


def test_a_result_that_was_changed_since_is_kept(folder: Path) -> None:
    """The demo writes its own results anew, but not one that somebody has written into."""
    assert 0 == main(["demo", str(folder)])
    noted = folder / "slips.txt"
    noted.write_text(noted.read_text() + "look at loom.4 again\n")
    assert 2 == main(["demo", str(folder)])
    assert noted.read_text().endswith("look at loom.4 again\n")


def test_a_failed_step_is_a_failed_command(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """A job that cannot be read any more fails four steps; each is named with what it said."""
    job = tmp_path / "spreader" / "job.yaml"
    job.parent.mkdir()
    job.write_text("wiremap: job/1\ntitle: [\n")
    assert 2 == main(["demo", str(tmp_path)])
    told = capfd.readouterr().err
    assert 4 == told.count("failed: wiremap ")
    assert not (tmp_path / "check.txt").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes and devices there")
@pytest.mark.parametrize("what", ["pipe", "endless", "nothing", "link to nowhere", "empty"])
def test_what_stands_where_a_result_goes_is_never_waited_for(tmp_path: Path, what: str) -> None:
    """A pipe, a device, a link or an empty file of a result's name refuses the whole demo."""
    result = tmp_path / "check.txt"
    if what == "pipe":
        os.mkfifo(result)
    elif what == "empty":
        result.touch()
    else:
        targets = {"endless": "/dev/zero", "nothing": os.devnull}
        result.symlink_to(targets.get(what, "elsewhere"))
    assert 2 == main(["demo", str(tmp_path)])
    assert [result] == list(tmp_path.iterdir())


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes there")
def test_a_pipe_for_the_list_of_sums_is_never_waited_for(tmp_path: Path) -> None:
    """It ends at once and writes nothing."""
    os.mkfifo(tmp_path / ".wiremap-written.json")
    assert 2 == main(["demo", str(tmp_path)])
    assert 1 == len(list(tmp_path.iterdir()))
