"""An answer about something that nobody reads is told, with what may be answered there."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_small_jobs import FOLDER, read

from wiremap.check import check

SOUND = read(FOLDER / "diode_in_a_pump_feed.yaml").files
NOTEBOOK = """wiremap: notebook/1
entries:
  - {{kind: answer, about: {about}, answer: {answer}, by: RK, date: 2026-03-02, how: looked}}
"""


def told(about: str, answer: str, folder: Path) -> list[str]:
    """The sentences of the answers that do not count."""
    for name, text in SOUND.items():
        (folder / name).write_text(text, encoding="utf-8")
    notebook = NOTEBOOK.format(about=about, answer=answer)
    (folder / "job-notebook.yaml").write_text(notebook, encoding="utf-8")
    found = check([folder / "job.yaml"]).jobs[0].findings
    return [f.message for f in found if f.rule == "answer-not-counted"]


@pytest.mark.parametrize(
    ("about", "answer", "instead"),
    [
        ("loom.1.fuse", "5", "fuse_amps"),
        ("loom.1.csa_mm2", "1.5", "wire"),
        ("loom.1.bundle", "3", "surroundings.bundle"),
        ("bundle", "3", "surroundings.bundle"),
        ("surroundings.bundel", "3", "surroundings.bundle"),
        ("supply.amps", "3", "supply.volts"),
        ("loom.7", "power-ground", "no contact '7'"),
        ("nonsense.9", "3", "ends: loom, unit"),
    ],
)
def test_it_says_what_may_be_answered(
    about: str, answer: str, instead: str, tmp_path: Path
) -> None:
    (message,) = told(about, answer, tmp_path)
    assert about in message
    assert instead in message


@pytest.mark.parametrize(
    ("about", "answer"),
    [("loom.1.amps", "3"), ("beeper", "30 ohm"), ("loom.1.means", "pump"), ("plus", "yes")],
)
def test_what_is_read_is_not_told(about: str, answer: str, tmp_path: Path) -> None:
    """A figure, the beeper's limit, what words mean, a circuit."""
    assert [] == told(about, answer, tmp_path)
