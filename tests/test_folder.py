"""Shelves of files: the report does not depend on how many workers looked."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from bench_share import shelf
from called import called

from wiremap.check import check
from wiremap.share.folder import check_many, cores
from wiremap.share.limits import FEW_FILES


def mixed(folder: Path) -> None:
    """A shelf with sound jobs, one that holds, one unreadable file and pinouts that no job names."""
    shelf(folder, 50, 12)
    (folder / "j00003.yaml").write_text(
        (folder / "j00003.yaml")
        .read_text()
        .replace("  - old.1 - new.1\n  - old.2 - new.2\n", "  - old.1 - new.2\n  - old.2 - new.1\n")
    )
    (folder / "broken.yaml").write_text("wiremap: pinout/1\ncavities: {1: [}\n")
    (folder / "strange.yaml").write_text("hello: world\n")


def test_many_workers_say_the_same_as_one(tmp_path: Path) -> None:
    """Verdicts, findings and their order are those of the plain check."""
    mixed(tmp_path)
    told: list[tuple[int, int]] = []
    plain, spread = (
        check([tmp_path]),
        check_many([tmp_path], workers=2, progress=lambda n, of: told.append((n, of))),
    )
    assert len(plain.jobs) + len(plain.others) > FEW_FILES - 12
    assert plain.as_dict() == spread.as_dict()
    assert (plain.others, plain.exit_code) == (spread.others, spread.exit_code)
    assert told[-1] == (63, 63)
    assert [n for n, _ in told] == sorted(n for n, _ in told)


def test_pinouts_asked_for_by_name_are_told_by_many_workers_too(tmp_path: Path) -> None:
    """How their wordings are read: of those named, in their order, not of what a folder holds."""
    mixed(tmp_path)
    loose = [file for file in check([tmp_path]).others if "broken" not in file]
    asked = [Path(loose[-1]), tmp_path, Path(loose[0])]
    plain, spread = check(asked), check_many(asked, workers=2)
    assert [paper.path for paper in plain.papers] == [str(asked[0]), str(asked[2])]
    assert plain.papers == spread.papers and plain.others == spread.others


def test_the_command_checks_a_folder(tmp_path: Path) -> None:
    """A summary at the end, exit code 2 because one file cannot be read, no progress where there is no terminal."""
    mixed(tmp_path)
    done = subprocess.run(
        [sys.executable, "-m", "wiremap", "check", str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (2, "")
    assert "12 jobs: " in done.stdout and "HOLD" in done.stdout
    (tmp_path / "broken.yaml").unlink()
    done = called("check", "--json", tmp_path)
    assert done.returncode == 1
    assert {"hold"} <= {j["verdict"] for j in json.loads(done.stdout)["jobs"]}


@pytest.mark.parametrize(("known", "used"), [(None, 1), (6, 6)])
def test_where_nothing_tells_how_many_processors_there_are_one_is_used(
    known: int | None, used: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on systems that bind no process to processors."""
    monkeypatch.delattr(os, "sched_getaffinity", raising=False)
    monkeypatch.setattr(os, "cpu_count", lambda: known)
    assert cores() == used
