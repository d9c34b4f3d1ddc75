"""Nothing that a command saves can lock the job that reads it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from demo_jobs import DEMO

from wiremap.cli.main import main


@pytest.mark.parametrize(
    "words",
    [
        [
            "next",
            "job.yaml",
            "--about",
            "loom.2.basis",
            "--answer",
            "told",
            "--by",
            "RK",
            "--date",
            "2026-02-30",
        ],
        [
            "next",
            "job.yaml",
            "--about",
            "loom.2.basis",
            "--answer",
            "told",
            "--by",
            "RK",
            "--date",
            "yesterday",
        ],
        [
            "ringout",
            "job.yaml",
            "--readings",
            "bench.txt",
            "--save",
            "--by",
            "RK",
            "--date",
            "2026-13-01",
        ],
    ],
    ids=lambda w: f"{w[0]} {w[-1]}",
)
def test_a_day_that_does_not_exist_saves_nothing(
    words: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Exit 2, one clear line, the notebook byte for byte as it was."""
    shutil.copytree(DEMO, tmp_path / "d")
    monkeypatch.chdir(tmp_path / "d")
    (tmp_path / "d" / "bench.txt").write_text("loom.1 - donor.3 b\n")
    before = (tmp_path / "d" / "notebook.yaml").read_bytes()
    assert 2 == main(words)
    assert before == (tmp_path / "d" / "notebook.yaml").read_bytes()
    assert "day" in (said := "".join(capsys.readouterr())) or "date" in said
    assert 0 == main(["check", "job.yaml"])
