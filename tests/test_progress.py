"""Work that may take long says on a terminal that it goes on, and nowhere else."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest
from demo_jobs import DEMO_JOB

from wiremap.cli import progress
from wiremap.cli.main import main

JOB = str(DEMO_JOB)
MAY_TAKE_LONG = {
    "check": (["check", JOB], "checking"),
    "survey": (["survey", JOB], "reading the job"),
    "slips": (["slips", JOB], "every slip of the hand"),
    "ringout": (["ringout", JOB], "planning the readings"),
    "sheet": (["sheet", JOB, "-o", "{here}/s.pdf"], "drawing the sheet"),
    "compare": (["compare", JOB, JOB], "comparing"),
    "intake": (["intake", "{here}/t.csv"], "taking the table in"),
}


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("name", MAY_TAKE_LONG)
def test_long_work_is_told_on_a_terminal(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With no time to wait the line comes at once; it is taken away again at the end."""
    rows = "".join(f"{row},Lamp {row}\n" for row in range(1, 1500))
    (tmp_path / "t.csv").write_text(f"pin,signal\n{rows}", encoding="utf-8")
    words, told = MAY_TAKE_LONG[name]
    monkeypatch.setattr(progress, "SOON_S", 0.0)
    monkeypatch.setattr(sys, "stderr", Terminal())
    main([word.format(here=tmp_path) for word in words])
    shown = sys.stderr.getvalue()  # type: ignore[attr-defined]
    assert f"\r{told}: 0 s\r" in shown


@pytest.mark.parametrize("name", ["check", "survey"])
def test_nothing_is_told_where_nobody_looks_on(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(progress, "SOON_S", 0.0)
    main(MAY_TAKE_LONG[name][0])
    assert "\r" not in capsys.readouterr().err
