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
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from demo_jobs import ROOT
from failing import FailingOnce, held
from fuzz import prepared

from wiremap.cli.main import main
from wiremap.entries.notebook import append
from wiremap.files import load_notebook
from wiremap.files.write import write_bytes
from wiremap.files.write_several import write_several

SAID = ("as it was", "none of the files was", "nothing was")  # of the files that stand there
COMMANDS = {
    "intake": ["intake", "{f}/list.csv", "-o", "{f}/new"],
    "start": ["start", "pinout", "--cavities", "4", "-o", "{f}/blank.yaml"],
    "schemas": ["start", "schemas", "-o", "{f}"],
    "propose": ["propose", "{f}/old.yaml", "{f}/new.yaml", "-o", "{f}/proposed.yaml"],
    "next": ["next", "{f}/job.yaml", "--batch", "{f}/answers.txt", "--by", "RK"],
    "sign": ["sign", "{f}/job.yaml", "--batch", "{f}/signatures.txt", "--by", "RK"],
    "survey": ["survey", "{f}/job.yaml", "--readings", "{f}/volts.txt", "--save", "--by", "RK"],
    "ringout": ["ringout", "{f}/job.yaml", "--readings", "{f}/probes.txt", "--save", "--by", "RK"],
    "built": [
        "ringout",
        "{f}/old.yaml",
        "{f}/new.yaml",
        "--readings",
        "{f}/bench.txt",
        "--as-built",
        "{f}/b.yaml",
    ],
    "power": [
        *("ringout", "{f}/job.yaml", "--power", "--readings", "{f}/lamp.txt"),
        *("--save", "--by", "RK"),
    ],
    "again": ["propose", "--keep-answers", "{f}/job.yaml", "-o", "{f}/again.yaml"],
    "sheet": ["sheet", "{f}/job.yaml", "-o", "{f}/s.svg", "--flags", "{f}/f.csv", "--force"],
    "pack": [
        *("pack", "{f}/job.yaml", "-o", "{f}/p.zip", "--author", "RK"),
        *("--licence", "MIT", "--date", "2026-03-02"),
    ],
    "unpack": ["unpack", "{f}/job.zip", "{f}/laid"],
    "adopt": ["sign", "{f}/kept/job.yaml", "--adopt", "all", "--by", "ML"],
    "back": ["intake", "--back", "{f}/old.yaml", "-o", "{f}/back.csv"],
}


def given(folder: Path) -> None:
    """What the commands are given: the small job, an unpacked pack of it, older results."""
    folder.mkdir(exist_ok=True)
    prepared(folder)
    (folder / "signatures.txt").write_text(
        "load-unjudged: its draw was read at the machine, well below the fuse\n"
    )
    (folder / "bench.txt").write_text("old.2 - new.b b\nold.1 - new.a b\n")
    (folder / "lamp.txt").write_text("13 0.02 V\n")
    with (folder / "notebook.yaml").open("a", encoding="utf-8") as notebook:
        notebook.writelines(
            f"  - {{kind: stop-passed, stop: {stop}, by: RK, second: AM, date: 2026-03-02}}\n"
            for stop in ("cut", "sleeves", "battery")
        )
    (folder / "s.svg").write_text("an older drawing")
    assert main(["unpack", f"{folder}/job.zip", f"{folder}/laid"]) == 0
    shutil.move(folder / "laid", folder / "kept")


@pytest.mark.parametrize("name", COMMANDS)
def test_each_write_failing_once_leaves_whole_files(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is changed where a write failed, or all is done; 2 says which."""
    sound, done = tmp_path / "sound", tmp_path / "done"
    given(sound)
    shutil.copytree(sound, done)
    assert main([word.format(f=done) for word in COMMANDS[name]]) in (0, 1)
    refused = 0
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
            refused += 1
            assert held(sound) == after, (number, told)
            assert any(words in told.err for words in SAID), told.err
        else:
            assert code in (0, 1)
            assert held(done).keys() == after.keys(), number
            changed = {path for path, data in held(done).items() if held(sound).get(path) != data}
            assert changed == {
                path for path, data in after.items() if held(sound).get(path) != data
            }
    assert number > 1 and refused


@pytest.mark.skipif(os.name != "posix", reason="a folder is made read-only in another way there")
@pytest.mark.parametrize("name", COMMANDS)
def test_a_folder_that_may_only_be_read_is_told(name: str, tmp_path: Path) -> None:
    """Another user, who may read and not write: code 2, the cause, every file as it was."""
    given(tmp_path)
    before = held(tmp_path)
    for place in (tmp_path, *tmp_path.rglob("*")):
        place.chmod(0o555 if place.is_dir() else 0o444)
    done = subprocess.run(
        [*as_another_user(), sys.executable, "-m", "wiremap"]
        + [word.format(f=tmp_path) for word in COMMANDS[name]],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
    )
    for place in (tmp_path, *tmp_path.rglob("*")):
        place.chmod(0o755 if place.is_dir() else 0o644)
    assert done.returncode == 2, done.stderr
    assert "the file cannot be written: permission denied" in done.stderr
    assert any(words in done.stderr for words in SAID)
    assert held(tmp_path) == before


ANSWERED = """
import sys
from pathlib import Path
from test_page_cards import Desk
print(Desk(Path(sys.argv[1])).send("/joints", {"volts": "0.0", "ohms": "119"}).text)
"""


@pytest.mark.skipif(os.name != "posix", reason="a folder is made read-only in another way there")
def test_an_answer_that_the_page_cannot_keep_is_told(tmp_path: Path) -> None:
    """In a folder that may only be read: not kept, with the cause, asked again, and all as it was."""
    pytest.importorskip("flask")
    from page_states import at

    job = at("bus", tmp_path / "demo")
    before = held(tmp_path)
    places = (tmp_path, *tmp_path.rglob("*"))
    for place in places:
        place.chmod(0o555 if place.is_dir() else 0o444)
    done = subprocess.run(
        [*as_another_user(), sys.executable, "-c", ANSWERED, str(job)],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env={
            **os.environ,
            "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tests")]),
            "PYTHONDONTWRITEBYTECODE": "1",
        },
    )
    for place in places:
        place.chmod(0o755 if place.is_dir() else 0o644)
    assert 0 == done.returncode, done.stderr
    assert "not kept: the file cannot be written: permission denied" in done.stdout
    assert held(tmp_path) == before


def as_another_user() -> list[str]:
    """For whom no mode of a file counts, the words that run as nobody, who reads all and obeys it."""
    if os.geteuid():
        return []
    if shutil.which("setpriv") is None:
        pytest.skip("setpriv is not there, and root may write everywhere")
    nobody = "65534"
    reads = "+dac_read_search"  # the interpreter may lie in a folder of root's own
    caps = [f"--inh-caps=-all,{reads}", f"--ambient-caps={reads}"]
    return ["setpriv", f"--reuid={nobody}", f"--regid={nobody}", "--clear-groups", *caps]


def test_what_cannot_be_taken_back_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that fails for good once the first of two files is there: that one is named."""
    first, second = tmp_path / "a.csv", tmp_path / "b.csv"
    link, placed = os.link, []

    def failing(*args: Any, **more: Any) -> None:
        if placed:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        placed.append(link(*args, **more))

    for call in ("link", "rename", "replace"):
        monkeypatch.setattr(os, call, failing)
    unlink = os.unlink
    monkeypatch.setattr(
        os, "unlink", lambda path: failing() if Path(path) == first else unlink(path)
    )
    found = write_several({first: b"1", second: b"2"})
    assert found is not None
    assert f"not taken back as that failed too: {first}" in found.message
    assert first.exists() and not second.exists()


@pytest.mark.parametrize("name", COMMANDS)
def test_a_full_disk_changes_nothing(name: str, tmp_path: Path) -> None:
    """No file may grow beyond 64 bytes: code 2, one cause told, every file as it was."""
    given(tmp_path)
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


def test_writers_that_are_killed_lose_and_double_nothing() -> None:
    """Forty killed at odd moments, two at a time: what was told of as kept is there, once."""
    call = [sys.executable, "tests/kills.py", "--kills", "40"]
    around = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(call, cwd=ROOT, env=around, capture_output=True, text=True)
    assert 0 == done.returncode, done.stdout + done.stderr


def test_leftovers_of_killed_writes_are_cleared(tmp_path: Path) -> None:
    """An old half-written file of the same name goes with the next write; another's stays, and a
    lock that nobody holds is no hindrance.
    """
    notebook = tmp_path / "notebook.yaml"
    prepared(tmp_path)
    stale = tmp_path / ".notebook.yaml.0123456789ab.tmp"
    others = tmp_path / ".job.yaml.0123456789ab.tmp"
    for path in (stale, others, tmp_path / ".notebook.yaml.lock"):
        path.write_text("half")
    (entry, *_) = load_notebook(notebook).value.entries
    assert append(notebook, [entry]) is None
    hidden = {path.name for path in tmp_path.iterdir() if path.name.startswith(".")}
    assert {others.name} == hidden
    assert write_bytes(tmp_path / "job.yaml", b"", overwrite=True) is None
    assert others.exists()  # somebody may still be writing it
    os.utime(others, (0, 0))
    assert write_bytes(tmp_path / "job.yaml", b"", overwrite=True) is None
    assert not others.exists()


def test_a_sheet_asks_before_it_is_worked_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """An output that stands there is refused before the job is even read."""
    prepared(tmp_path)
    (tmp_path / "s.pdf").write_text("mine")
    monkeypatch.setattr("wiremap.cli.sheet.gather", lambda *_: pytest.fail("worked out"))
    for more in ([], ["--flags", f"{tmp_path}/s.csv"]):
        assert 2 == main(["sheet", f"{tmp_path}/job.yaml", "-o", f"{tmp_path}/s.pdf", *more])
    assert 2 == main(["sheet", f"{tmp_path}/job.yaml", "-o", f"{tmp_path}/job.yaml", "--force"])
    assert "--force" in capsys.readouterr().err


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
