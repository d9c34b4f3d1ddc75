"""Text through a pipe is taken where a table, readings or a pack are wanted, and has an end."""

from __future__ import annotations

import contextlib
import io
import os
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.entries.notebook import readings_from
from wiremap.files import filebytes
from wiremap.files.filebytes import read_bytes
from wiremap.share.table import read_tables

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no pipes in the file tree there")
NOTEBOOK = b"""wiremap: notebook/1
entries:
  - {kind: probe, red: [a.1], black: [b.1], seen: beep, by: RK, date: 2026-03-02}
"""


@pytest.fixture
def pipe() -> Iterator[tuple[Path, int]]:
    """The path under which a pipe is read, and the end that is written."""
    out, into = os.pipe()
    yield Path(f"/dev/fd/{out}"), into
    os.close(out)


def written(into: int, *chunks: bytes, pause: float = 0.0) -> None:
    """Write chunks into a pipe from another thread, and close it."""

    def write() -> None:
        with contextlib.suppress(BrokenPipeError), os.fdopen(into, "wb", buffering=0) as file:
            for chunk in chunks:
                time.sleep(pause)
                file.write(chunk)

    threading.Thread(target=write, daemon=True).start()


def test_readings_come_through_a_pipe(pipe: tuple[Path, int]) -> None:
    """Also where they come in portions, with pauses between."""
    path, into = pipe
    written(into, b"a.1 - ", b"b.1 b\n", b"a.2 - b.2 s\n", pause=0.2)
    entries, faults = readings_from(path)
    assert (["beep", "silent"], ()) == ([entry.seen for entry in entries], faults)


def test_a_notebook_comes_through_a_pipe(pipe: tuple[Path, int]) -> None:
    """It is read once: a pipe cannot be read twice."""
    path, into = pipe
    written(into, NOTEBOOK)
    entries, faults = readings_from(path)
    assert (["RK"], ()) == ([entry.by for entry in entries], faults)


def test_a_table_comes_through_a_pipe(pipe: tuple[Path, int]) -> None:
    path, into = pipe
    written(into, b"cavity,signal\n", b"1,Supply\n", pause=0.1)
    (table,) = read_tables(path)
    assert ["cavity signal", "1 Supply"] == [row.words() for row in table.rows]


def test_a_pipe_without_end_is_refused_by_its_size(pipe: tuple[Path, int]) -> None:
    path, into = pipe
    written(into, *[b"x" * 4096] * 3)
    data, faults = read_bytes(path, "p", 8192, pipes=True)
    assert (None, ["over-limit"]) == (data, [found.rule for found in faults])


def test_a_pipe_that_falls_silent_is_given_up(
    pipe: tuple[Path, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    path, into = pipe
    monkeypatch.setattr(filebytes, "SILENT_S", 0.2)
    os.write(into, b"a.1 - b.1 b\n")
    data, faults = read_bytes(path, "p", pipes=True)
    os.close(into)
    assert (None, ["not-a-file"]) == (data, [found.rule for found in faults])
    assert "gave nothing" in faults[0].message


def test_a_pipe_that_drips_for_ever_is_given_up(
    pipe: tuple[Path, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """No silence is long, yet the end does not come."""
    path, into = pipe
    monkeypatch.setattr(filebytes, "WHOLE_S", 0.5)
    written(into, *[b"x"] * 20, pause=0.1)
    began = time.monotonic()
    data, faults = read_bytes(path, "p", pipes=True)
    assert (None, ["not-a-file"]) == (data, [found.rule for found in faults])
    assert time.monotonic() - began < 2


def test_an_empty_pipe_is_named(pipe: tuple[Path, int]) -> None:
    """A command that failed gives nothing; nothing must not count as nothing to read."""
    path, into = pipe
    os.close(into)
    data, faults = read_bytes(path, "p", pipes=True)
    assert (None, "nothing came out of this pipe") == (data, faults[0].message)


@pytest.mark.skipif(not Path("/proc/kmsg").exists(), reason="only where the kernel has such a log")
@pytest.mark.parametrize("words", [["intake"], ["unpack"], ["check"]])
def test_a_log_in_a_files_guise_is_not_waited_for(words: list[str], tmp_path: Path) -> None:
    """It says that it is a file, and then gives nothing for as long as nothing happens."""
    where = [str(tmp_path / "laid")] if words == ["unpack"] else []
    assert 2 == main([*words, "/proc/kmsg", *where])


@pytest.mark.parametrize("terminal", [True, False])
def test_a_person_at_a_terminal_is_asked_for_the_table(
    *, terminal: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What comes through a pipe needs no asking, and a script's log stays clean."""
    typed = io.StringIO("Pin\tSignal\n1\tEarth\n2\tBattery\n")
    monkeypatch.setattr(typed, "isatty", lambda: terminal)
    monkeypatch.setattr(sys, "stdin", typed)
    assert main(["intake", "-", "--title", "Plug"]) == 0
    assert terminal is ("paste the table" in capsys.readouterr().err)
