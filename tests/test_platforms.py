"""What differs between systems: locking, names, drives, folders that fold case, no fork, and the console's encoding.

Windows and macOS themselves are not at hand here.  The writer's branch for Windows is run with a stand-in for its lock, a
folder that takes `Job.yaml` for `job.yaml` is played by what the system is asked, and names, paths, encodings and the way
workers are begun are tried as any system can.
"""

from __future__ import annotations

import errno
import fcntl
import importlib.util
import ntpath
import os
import stat
import subprocess
import sys
import threading
import types
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import cache, partial
from multiprocessing import get_context
from pathlib import Path, PureWindowsPath

import pytest
from bench_share import shelf
from called import called
from demo_jobs import DEMO_JOB, ROOT
from hypothesis import given
from hypothesis import strategies as st

from wiremap.check import check
from wiremap.files import from_job, write, write_several
from wiremap.files.write import _not_written, update_text, write_text
from wiremap.share import folder
from wiremap.share.limits import FEW_FILES
from wiremap.share.names import file_stem, name_fault

SAID_ON_CONSOLES = (
    ("check", str(DEMO_JOB)),
    ("slips", str(DEMO_JOB)),
    ("survey", str(DEMO_JOB)),
    ("next", str(DEMO_JOB)),
    ("explain", "--all"),
    ("explain", "functions"),
    ("--help",),
)


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


DEVICES = (
    "CON",
    "PRN",
    "AUX",
    "NUL",
    "CONIN$",
    "CONOUT$",
    "COM1",
    "LPT9",
    "COM\u00b9",
    "LPT\u00b3",
)


@pytest.mark.parametrize("ending", ["", ".yaml", ".tar.gz", " .yaml"])
@pytest.mark.parametrize("device", DEVICES)
def test_a_device_of_windows_is_no_file_s_name(device: str, ending: str) -> None:
    """Source: the device names of Windows' file naming, whatever stands behind a dot."""
    assert PureWindowsPath(device + ending).is_reserved()
    for name in (device + ending, f"papers/{device.lower()}{ending}"):
        assert "device" in name_fault(name), name
    assert not PureWindowsPath(f"{file_stem(device)}.yaml").is_reserved()


ODD = st.text('abAB01:./\\ $\u00b9\u00c4\u91dd*?<>|"~-_\n\x00', max_size=12)


@given(st.lists(ODD | st.sampled_from(DEVICES), min_size=1, max_size=3).map("/".join))
def test_a_name_that_is_let_in_stays_in_its_folder_on_windows(name: str) -> None:
    """Source: `ntpath`: no drive, no root, nothing climbed, and each part written as it is named."""
    if name_fault(name):
        return
    assert ("", name) == ntpath.splitdrive(name)
    inside = ntpath.normpath(ntpath.join("C:\\jobs", name))
    assert inside == "C:\\jobs\\" + name.replace("/", "\\")
    assert not any(PureWindowsPath(part).is_reserved() for part in name.split("/"))
    assert not any(part.endswith((".", " ")) for part in name.split("/"))


@given(ODD | st.sampled_from(DEVICES))
def test_a_name_made_of_a_title_may_stand_on_every_system(title: str) -> None:
    """What a table calls its connector becomes a file: of letters, figures, dots and dashes."""
    made = f"{file_stem(title)[:100]}.yaml"
    assert not set('<>:"/\\|?*') & set(made)
    assert not PureWindowsPath(made).is_reserved()


@pytest.mark.parametrize(
    ("job", "path", "named"),
    [
        ("C:\\jobs\\a\\job.yaml", "C:\\jobs\\a\\old.yaml", "old.yaml"),
        ("C:\\jobs\\a\\job.yaml", "C:\\jobs\\papers\\old.yaml", "../papers/old.yaml"),
        ("C:\\jobs\\job.yaml", "c:\\Jobs\\papers\\old.yaml", "papers/old.yaml"),
        ("C:\\jobs\\job.yaml", "D:\\stick\\notebook.yaml", "D:/stick/notebook.yaml"),
        ("\\\\server\\share\\job.yaml", "C:\\old.yaml", "C:/old.yaml"),
    ],
)
def test_a_job_names_its_files_with_forward_slashes(
    job: str, path: str, named: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As Windows' paths go, two drives among them, between which there is no way."""
    monkeypatch.setattr(from_job, "os", types.SimpleNamespace(path=ntpath, sep="\\"))
    assert named == from_job.from_job(job, path)


@pytest.fixture
def folded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that takes `Job.yaml` for `job.yaml`, as Windows' and macOS' do unless told otherwise."""

    def as_it_lies(path: object) -> object:
        if not isinstance(path, str | Path) or Path(path).parent != tmp_path:
            return path
        wanted = Path(path).name.casefold()
        lying = (name for name in listed(tmp_path) if name.casefold() == wanted)
        return tmp_path / next(lying, Path(path).name)

    def asked(of: Callable[..., object]) -> Callable[..., object]:
        def wrapped(*words: object, **more: object) -> object:
            return of(*map(as_it_lies, words), **more)

        return wrapped

    listed = os.listdir
    for name in ("stat", "lstat", "open", "link", "rename", "replace", "unlink", "chmod"):
        monkeypatch.setattr(os, name, asked(getattr(os, name)))
    return tmp_path


def test_one_name_in_other_letters_is_one_file(folded: Path) -> None:
    """It is kept, never the second of two, and what was read is not written over."""
    assert write.write_text(folded / "job.yaml", "a: 1\n") is None
    kept = write.write_text(folded / "Job.yaml", "b: 2\n")
    read = write.write_text(
        folded / "JOB.yaml", "b: 2\n", overwrite=True, inputs=[folded / "job.yaml"]
    )
    assert kept is not None and read is not None
    assert "there already" in kept.message and "was read in the same call" in read.message
    assert {"job.yaml": "a: 1\n"} == {path.name: path.read_text() for path in folded.iterdir()}


def test_two_names_that_are_one_file_are_not_both_written(folded: Path) -> None:
    """Or the second would take the first one's place, and nobody would be told."""
    refused = write_several.write_several({folded / "A.yaml": b"1\n", folded / "a.yaml": b"2\n"})
    assert refused is not None
    assert "file-exists" == refused.rule
    assert [] == list(folded.iterdir())


def test_a_notebook_in_other_letters_is_locked_and_kept(folded: Path) -> None:
    assert write.update_text(folded / "notebook.yaml", lambda _: "a: 1\n") is None
    with write.lock(folded / "Notebook.yaml"):
        busy = write.update_text(folded / "notebook.yaml", lambda text: text + "b\n", wait_s=0.05)
    assert busy is not None
    assert "file-busy" == busy.rule
    assert write.update_text(folded / "NOTEBOOK.yaml", lambda text: text + "b: 2\n") is None
    assert ["a: 1\nb: 2\n"] == [path.read_text() for path in folded.iterdir()]


def test_workers_begun_anew_say_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a process cannot be forked, a worker begins with nothing but what it is handed."""
    shelf(tmp_path, FEW_FILES + 2, 4)
    (tmp_path / "broken.yaml").write_text("wiremap: pinout/1\ncavities: {1: [}\n")
    begun = partial(ProcessPoolExecutor, mp_context=get_context("spawn"))
    monkeypatch.setattr(folder, "ProcessPoolExecutor", begun)
    monkeypatch.delattr(os, "fork")
    assert check([tmp_path]).as_dict() == folder.check_many([tmp_path], workers=2).as_dict()


@cache
def said_in_full(words: tuple[str, ...]) -> subprocess.CompletedProcess[str]:
    return called(*words)


@pytest.mark.parametrize("encoding", ["cp437", "cp850", "cp1252", "ascii"])
@pytest.mark.parametrize("words", SAID_ON_CONSOLES, ids=lambda words: words[0])
def test_old_consoles_show_every_line(words: tuple[str, ...], encoding: str) -> None:
    """As many lines as in UTF-8, the same exit code, no trace of an error."""
    expected, actual = said_in_full(words), called(*words, encoding=encoding)
    assert expected.returncode == actual.returncode
    assert expected.stdout.count("\n") == actual.stdout.count("\n")
    assert expected.stderr.count("\n") == actual.stderr.count("\n")


@pytest.mark.parametrize(("encoding", "typed"), [("cp437", "7,4 \u03a9"), ("cp1252", "7,4 \u2013")])
def test_lines_piped_in_an_old_encoding_are_refused(encoding: str, typed: str) -> None:
    """They are not guessed at: an ohm sign of one is a letter of the other."""
    done = called(
        "survey",
        DEMO_JOB,
        "--readings",
        "-",
        text=f"loom.3 to chassis {typed}\n",
        encoding=encoding,
    )
    assert 2 == done.returncode
    assert "it is not UTF-8 text" in done.stderr


def test_a_console_s_encoding_is_the_one_that_is_asked_for() -> None:
    """The start itself goes through on a console that knows few letters."""
    call = [sys.executable, "-m", "wiremap", "check", str(DEMO_JOB)]
    around = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run(call, cwd=ROOT, capture_output=True, env=around, check=False)
    assert (0, b"") == (done.returncode, done.stderr)
    assert done.stdout.isascii()


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (PermissionError(errno.EACCES, "Permission denied"), "permission denied"),
        (ValueError("embedded null byte"), "the name cannot be a file's"),
        (OSError(), "the name cannot be a file's"),
    ],
)
def test_why_a_file_was_not_written_is_told(
    tmp_path: Path, error: OSError | ValueError, words: str
) -> None:
    """In the system's words where it has some; a name that no system takes has none."""
    told = _not_written(tmp_path / "s.pdf", error)
    assert told.message == f"the file cannot be written: {words}"


@pytest.mark.skipif(sys.platform == "win32", reason="rights of a file are POSIX's")
def test_a_new_file_has_the_rights_that_its_user_leaves(tmp_path: Path) -> None:
    """Read and write for all, less what the umask withholds (POSIX, `open`)."""
    before = os.umask(0o026)
    try:
        assert write_text(tmp_path / "job.yaml", "a: 1\n") is None
        assert update_text(tmp_path / "notes.yaml", lambda text: f"{text}a: 1\n") is None
    finally:
        os.umask(before)
    for name in ("job.yaml", "notes.yaml"):
        assert stat.S_IMODE((tmp_path / name).stat().st_mode) == 0o640


def test_what_a_killed_write_left_goes_with_the_next_one(tmp_path: Path) -> None:
    path = tmp_path / "notes.yaml"
    left = tmp_path / ".notes.yaml.0123456789ab.tmp"
    of_another = tmp_path / ".other.yaml.0123456789ab.tmp"
    for each in (left, of_another):
        each.write_text("a", encoding="utf-8")
    assert update_text(path, lambda _: "a: 1\n") is None
    assert sorted(tmp_path.iterdir()) == [of_another, path]
