"""What differs between systems: locking, names, file systems without hard links, and the console's encoding.

Windows itself is not at hand here.  Its branch of the writer is run with a stand-in for its lock, and its names and
encodings are tried as any system can.
"""

from __future__ import annotations

import errno
import fcntl
import importlib.util
import os
import subprocess
import sys
import threading
import types
from pathlib import Path, PureWindowsPath

import pytest
from called import called

from wiremap.files import write, write_several
from wiremap.share.names import RESERVED

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "pinouts_demo" / "job.yaml"
SAID_ON_CONSOLES = (["check", str(DEMO)], ["slips", str(DEMO)], ["survey", str(DEMO)], ["--help"])


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> types.ModuleType:
    """The writer as it loads on Windows; its lock is stood in for by one that holds for an open file."""
    locks = types.ModuleType("msvcrt")
    locks.LK_NBLCK = 2  # type: ignore[attr-defined]

    def locking(descriptor: int, mode: int, count: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)

    locks.locking = locking  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "msvcrt", locks)
    monkeypatch.setattr(sys, "platform", "win32")
    spec = importlib.util.spec_from_file_location("writer_on_windows", write.__file__)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_windows_writer_replaces_a_file_whole(
    windows: types.ModuleType, tmp_path: Path
) -> None:
    """One after another, each finds what the one before wrote, and no lock file stays."""
    path = tmp_path / "notebook.yaml"
    path.write_text("a: 1\n")
    for _ in range(3):
        assert windows.update_text(path, lambda text: text + "b: 2\n") is None
    assert "a: 1\n" + 3 * "b: 2\n" == path.read_text()
    assert [path] == list(tmp_path.iterdir())


def test_the_windows_writer_waits_for_another(windows: types.ModuleType, tmp_path: Path) -> None:
    """A second program that changes the file is waited for, and told of if it does not end."""
    path = tmp_path / "notebook.yaml"
    path.write_text("a: 1\n")
    with windows.lock(path):
        refused = windows.update_text(path, lambda text: text + "b: 2\n", wait_s=0.05)
        assert refused is not None
        assert "file-busy" == refused.rule
        assert "a: 1\n" == path.read_text()
        waiting = threading.Thread(
            target=windows.update_text, args=(path, lambda text: text + "b: 2\n")
        )
        waiting.start()
    waiting.join(timeout=10)
    assert "a: 1\nb: 2\n" == path.read_text()


@pytest.fixture
def no_links(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file system without hard links, as on most memory sticks."""

    def refuse(*_: object, **__: object) -> None:
        raise OSError(errno.EPERM, "no hard links here")

    monkeypatch.setattr(os, "link", refuse)


def test_without_hard_links_nothing_is_written_over(no_links: None, tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    assert write.write_text(path, "a: 1\n") is None
    refused = write.write_text(path, "b: 2\n")
    assert refused is not None
    assert "file-exists" == refused.rule
    assert "a: 1\n" == path.read_text()


def test_without_hard_links_several_files_are_all_or_none(
    no_links: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The third of three fails: the first is as it was, the second is gone again."""
    first, second, third = (tmp_path / name for name in ("a.yaml", "b.yaml", "c.yaml"))
    first.write_text("before\n")
    place = os.rename

    def fails_at_third(source: str | Path, target: str | Path) -> None:
        if Path(target) == third:
            raise OSError(errno.ENOSPC, "full")
        place(source, target)

    monkeypatch.setattr(os, "rename", fails_at_third)
    files = {first: b"after\n", second: b"new\n", third: b"new\n"}
    refused = write_several.write_several(files, replace={first})
    assert refused is not None
    assert ["before\n"] == [path.read_text() for path in tmp_path.iterdir()]


def test_every_device_name_of_windows_is_known() -> None:
    """Held against the standard library's own list; superscript digits are left to it."""
    for name in sorted(RESERVED):
        assert PureWindowsPath(name).is_reserved(), name


@pytest.mark.parametrize("encoding", ["cp437", "cp850", "cp1252", "ascii"])
@pytest.mark.parametrize("words", SAID_ON_CONSOLES, ids=lambda words: Path(words[0]).name)
def test_old_consoles_show_every_line(words: list[str], encoding: str) -> None:
    """As many lines as in UTF-8, the same exit code, no trace of an error."""
    expected, actual = (called(*words, encoding=each) for each in ("utf-8", encoding))
    assert expected.returncode == actual.returncode
    assert expected.stdout.count("\n") == actual.stdout.count("\n")
    assert expected.stderr.count("\n") == actual.stderr.count("\n")


def test_a_console_s_encoding_is_the_one_that_is_asked_for() -> None:
    """The start itself goes through on a console that knows few letters."""
    call = [sys.executable, "-m", "wiremap", "check", str(DEMO)]
    around = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run(call, cwd=ROOT, capture_output=True, env=around, check=False)
    assert (0, b"") == (done.returncode, done.stderr)
    assert done.stdout.isascii()
