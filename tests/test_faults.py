"""Whatever fails while a file is written: the old file whole or the new one, and it is said so."""

from __future__ import annotations

import errno
import os
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from demo_jobs import ROOT
from fuzz import prepared

from wiremap.cli.main import main
from wiremap.files import load_notebook

WRITING = ("open", "write", "fsync", "link", "replace", "rename", "mkdir", "unlink")
COMMANDS = {
    "intake": ["intake", "{f}/list.csv", "-o", "{f}/new"],
    "start": ["start", "pinout", "--cavities", "4", "-o", "{f}/blank.yaml"],
    "schemas": ["start", "schemas", "-o", "{f}"],
    "propose": ["propose", "{f}/old.yaml", "{f}/new.yaml", "-o", "{f}/proposed.yaml"],
    "next": ["next", "{f}/job.yaml", "--batch", "{f}/answers.txt", "--by", "RK"],
    "ringout": ["ringout", "{f}/job.yaml", "--readings", "{f}/probes.txt", "--save", "--by", "RK"],
    "pack": [
        *("pack", "{f}/job.yaml", "-o", "{f}/p.zip", "--author", "RK"),
        *("--licence", "MIT", "--date", "2026-03-02"),
    ],
    "unpack": ["unpack", "{f}/job.zip", "{f}/laid"],
    "back": ["intake", "--back", "{f}/old.yaml", "-o", "{f}/back.csv"],
}


class FailingOnce:
    """The system's calls that write, of which the one with a number fails once with a full disk."""

    def __init__(self, patch: pytest.MonkeyPatch, folder: Path, number: int) -> None:
        self.left = number
        self.folder = str(folder)
        self.failed = False
        for name in WRITING:
            patch.setattr(os, name, self._failing(getattr(os, name)))

    def _failing(self, call: Callable[..., Any]) -> Callable[..., Any]:
        def wrapped(*args: Any, **more: Any) -> Any:
            writes = call.__name__ != "open" or bool(args[1] & (os.O_WRONLY | os.O_RDWR))
            ours = call.__name__ in ("write", "fsync") or str(args[0]).startswith(self.folder)
            if writes and ours and not self.failed:
                self.left -= 1
                if self.left == 0:
                    self.failed = True
                    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return call(*args, **more)

        return wrapped


def held(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, but the locks and scratch files that a fault may leave."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in files
        if not path.name.startswith(".")
    }


@pytest.mark.parametrize("name", COMMANDS)
def test_each_write_failing_once_leaves_whole_files(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is changed where a write failed, or all is done; 2 says which."""
    sound = tmp_path / "sound"
    sound.mkdir()
    prepared(sound)
    done = tmp_path / "done"
    shutil.copytree(sound, done)
    assert main([word.format(f=done) for word in COMMANDS[name]]) in (0, 1)
    for number in range(1, 200):
        folder = tmp_path / str(number)
        shutil.copytree(sound, folder)
        with monkeypatch.context() as patch:
            failing = FailingOnce(patch, folder, number)
            code = main([word.format(f=folder) for word in COMMANDS[name]])
        if not failing.failed:
            break
        told = capsys.readouterr()
        after = held(folder)
        if code == 2:
            assert held(sound) == after, (number, told)
            assert told.err.strip()
        else:
            assert code in (0, 1)
            assert held(done).keys() == after.keys(), number
    assert number > 1


@pytest.mark.parametrize("name", COMMANDS)
def test_a_full_disk_changes_nothing(name: str, tmp_path: Path) -> None:
    """No file may grow beyond 64 bytes: code 2, one cause told, every file as it was."""
    prepared(tmp_path)
    before = held(tmp_path)
    limit = (64, 64)
    around = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}  # Python itself would write halves
    done = subprocess.run(
        [sys.executable, "-m", "wiremap", *(word.format(f=tmp_path) for word in COMMANDS[name])],
        cwd=ROOT,
        env=around,
        capture_output=True,
        text=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, limit),
    )
    assert (2, before) == (done.returncode, held(tmp_path)), done.stderr
    assert "file too large" in done.stderr


def test_a_kill_while_saving_leaves_a_notebook_that_can_be_read(tmp_path: Path) -> None:
    """Twelve kills at odd moments: the notebook has all entries of before, each of them whole."""
    prepared(tmp_path)
    notebook = tmp_path / "notebook.yaml"
    words = [word.format(f=tmp_path) for word in COMMANDS["ringout"]]
    before = len(load_notebook(notebook).value.entries)
    for moment in range(12):
        probes = tmp_path / "probes.txt"
        probes.write_text(f"old.2 - new.b {moment}.5\n")
        process = subprocess.Popen(
            [sys.executable, "-m", "wiremap", *words],
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        time.sleep(0.02 + 0.04 * moment)
        process.send_signal(signal.SIGKILL)
        process.wait()
        read = load_notebook(notebook)
        assert () == read.findings
        assert len(read.value.entries) >= before
        before = len(read.value.entries)


def test_two_writers_lose_nothing(tmp_path: Path) -> None:
    """Two saves at once: every reading of both is in the notebook."""
    prepared(tmp_path)
    calls = []
    for number in range(2):
        lines = tmp_path / f"probes{number}.txt"
        lines.write_text("\n".join(f"old.2 - new.b {number}{n}.5" for n in range(1, 6)))
        words = [word.format(f=tmp_path) for word in COMMANDS["ringout"]]
        words[words.index("--readings") + 1] = lines.as_posix()
        calls.append([sys.executable, "-m", "wiremap", *words])
    with ThreadPoolExecutor() as pool:
        list(pool.map(lambda call: subprocess.run(call, cwd=ROOT, capture_output=True), calls))
    entries = load_notebook(tmp_path / "notebook.yaml").value.entries
    ohms = {entry.ohms.low for entry in entries if entry.ohms is not None}
    assert {float(f"{a}{b}.5") for a in range(2) for b in range(1, 6)} <= ohms


FULL = Path("/dev/full")


@pytest.mark.skipif(not FULL.exists(), reason="no device that is always full")
@pytest.mark.parametrize("words", [["--help"], ["check", "{f}/job.yaml"], ["size", "awg", "20"]])
def test_a_full_output_is_told(words: list[str], tmp_path: Path) -> None:
    """Exit code 2 and one line, not a fault of our own."""
    prepared(tmp_path)
    call = [sys.executable, "-m", "wiremap", *(word.format(f=tmp_path) for word in words)]
    with open(FULL, "w") as full:
        done = subprocess.run(call, cwd=ROOT, stdout=full, stderr=subprocess.PIPE, text=True)
    assert (2, 1) == (done.returncode, len(done.stderr.splitlines()))
    assert "no space left" in done.stderr


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_any_output_encoding_will_do(encoding: str, tmp_path: Path) -> None:
    """Characters that the output lacks are shown by their numbers."""
    prepared(tmp_path)
    call = [sys.executable, "-m", "wiremap", "explain", "--all"]
    environment = {**os.environ, "PYTHONIOENCODING": encoding}
    done = subprocess.run(call, cwd=ROOT, capture_output=True, env=environment)
    assert (0, b"") == (done.returncode, done.stderr)


@pytest.mark.parametrize(
    "words", [["check", "{f}/job.yaml"], ["explain", "--all"], ["slips", "{f}/job.yaml"]]
)
def test_docstrings_may_be_stripped(words: list[str], tmp_path: Path) -> None:
    """`python -OO` runs every command alike."""
    prepared(tmp_path)
    call = [sys.executable, "-OO", "-m", "wiremap", *(word.format(f=tmp_path) for word in words)]
    assert subprocess.run(call, cwd=ROOT, capture_output=True).returncode in (0, 1)


def test_nobody_reads_the_rest(tmp_path: Path) -> None:
    """A closed pipe gives 141, also for a job in order."""
    call = [sys.executable, "-m", "wiremap", "explain", "--all", "--json"]
    with subprocess.Popen(
        call, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        process.stdout.close()
        assert b"" == process.stderr.read()
        assert 141 == process.wait()
