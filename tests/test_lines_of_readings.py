"""Files of readings have an end, and what is not read is told."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from demo_jobs import filed_demo

from wiremap.base import Finding
from wiremap.entries.lines import MOST_BYTES, text_of
from wiremap.entries.probe_lines import batch
from wiremap.evidence.stamping import no_such_points
from wiremap.graph import Harness


@pytest.mark.parametrize(("size", "rule"), [(MOST_BYTES, None), (MOST_BYTES + 1, "over-limit")])
def test_a_file_of_readings_has_an_end(tmp_path: Path, size: int, rule: str | None) -> None:
    """1 MiB is read, a byte more is refused."""
    path = tmp_path / "bench.txt"
    path.write_bytes(b"#" * size)
    text = text_of(path)
    assert (text.rule if isinstance(text, Finding) else None) == rule


def test_endless_input_is_refused() -> None:
    """A device that never ends is not read at all."""
    text = text_of("/dev/zero")
    assert isinstance(text, Finding) and text.rule == "not-a-file"


@pytest.mark.skipif(sys.platform == "win32", reason="no named pipes in the file tree there")
def test_a_pipe_is_never_waited_for(tmp_path: Path) -> None:
    """A pipe that nobody writes to would keep the program for ever."""
    os.mkfifo(tmp_path / "pipe")
    text = text_of(tmp_path / "pipe")
    assert isinstance(text, Finding) and text.rule == "not-a-file"


@pytest.mark.parametrize("name", ["nowhere.txt", "a\0b", "x" * 5000, "."])
def test_what_cannot_be_opened_is_told(tmp_path: Path, name: str) -> None:
    """No such file, a name that cannot be one, a folder."""
    text = text_of(f"{tmp_path}/{name}")
    assert isinstance(text, Finding) and text.fault


def test_what_is_no_text_is_told(tmp_path: Path) -> None:
    """Bytes of another encoding are not guessed at."""
    path = tmp_path / "bench.txt"
    path.write_bytes("loom.1 - donor.3 b Ω".encode("utf-16"))
    text = text_of(path)
    assert isinstance(text, Finding) and "saved as UTF-16, not UTF-8" in text.message


@pytest.mark.parametrize(
    "line", ["nothing of use", "loom.1 - nowhere.9 b"], ids=["no reading", "no point"]
)
def test_fifty_faults_are_worked_out(line: str) -> None:
    """Of a file that is no list of readings nobody reads more, and guesses cost time."""
    entries, findings = batch(f"{line}\n" * 20_000)
    found = (*findings, *no_such_points(Harness(filed_demo()), entries))
    assert 51 == len(found)
    assert "what follows was not looked at" in found[-1].message
