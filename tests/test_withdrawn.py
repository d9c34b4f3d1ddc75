"""A withdrawn paper is loud wherever it is read, with its reason."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo_jobs import copied_demo

from wiremap.cli.main import main

WHY = "burned a controller: 3 and 5 exchanged"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = copied_demo(tmp_path_factory.mktemp("withdrawn") / "demo").parent
    donor = where / "series2-donor.yaml"
    donor.write_text(
        donor.read_text().replace("half: wired", f'half: wired\nwithdrawn: "{WHY}"', 1)
    )
    return where


@pytest.mark.parametrize(
    "words",
    [
        ["check", "job.yaml"],
        ["check", "series2-donor.yaml"],
        ["propose", "series1-loom.yaml", "series2-donor.yaml"],
        ["slips", "job.yaml"],
        ["survey", "job.yaml"],
        ["ringout", "job.yaml"],
        ["ringout", "job.yaml", "--power"],
        ["next", "job.yaml"],
        ["sheet", "job.yaml", "-o", "s.pdf"],
        ["compare", "job.yaml", "job.yaml"],
        ["intake", "--back", "series2-donor.yaml"],
        [
            "pack",
            "job.yaml",
            "-o",
            "a.zip",
            "--author",
            "a",
            "--licence",
            "MIT",
            "--date",
            "2026-01-01",
        ],
    ],
    ids=" ".join,
)
def test_it_is_said(
    words: list[str],
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The word and the reason, on either stream."""
    monkeypatch.chdir(folder)
    main(words)
    out = "".join(capsys.readouterr())
    assert "withdrawn" in out.casefold()
    assert WHY in " ".join(out.split())
