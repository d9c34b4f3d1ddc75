"""Whatever is named where a file is wanted, a clear line and exit code 2: exit 70 is ours alone."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from demo_jobs import ROOT
from fuzz import prepared

from wiremap.cli.main import main

PACK = ("--author", "RK", "--licence", "MIT", "--date", "2026-03-02")
READING = {
    "check": ["check", "{p}"],
    "slips": ["slips", "{p}"],
    "survey": ["survey", "{p}"],
    "survey readings": ["survey", "{f}/job.yaml", "--readings", "{p}"],
    "ringout": ["ringout", "{p}"],
    "ringout faces": ["ringout", "{f}/old.yaml", "{p}"],
    "ringout readings": ["ringout", "{f}/job.yaml", "--readings", "{p}"],
    "next": ["next", "{p}"],
    "next batch": ["next", "{f}/job.yaml", "--batch", "{p}", "--by", "RK"],
    "propose": ["propose", "{f}/old.yaml", "{p}"],
    "intake": ["intake", "{p}"],
    "intake back": ["intake", "--back", "{p}"],
    "compare": ["compare", "{f}/job.yaml", "{p}"],
    "pack": ["pack", "{p}", "-o", "{f}/p.zip", *PACK],
    "unpack": ["unpack", "{p}", "{f}/laid"],
    "sheet": ["sheet", "{p}", "-o", "{f}/s.pdf"],
    "start job": ["start", "job", "{f}/old.yaml", "{p}"],
}
WRITING = {
    "intake": ["intake", "{f}/table.csv", "-o", "{p}"],
    "intake back": ["intake", "--back", "{f}/old.yaml", "-o", "{p}"],
    "propose": ["propose", "{f}/old.yaml", "{f}/new.yaml", "-o", "{p}"],
    "start": ["start", "pinout", "--cavities", "3", "-o", "{p}"],
    "schemas": ["start", "schemas", "-o", "{p}"],
    "pack": ["pack", "{f}/job.yaml", "-o", "{p}", *PACK],
    "unpack": ["unpack", "{f}/job.zip", "{p}"],
    "demo": ["demo", "{p}"],
}


def place(kind: str, folder: Path) -> Path:
    """A place of a kind where no file can be read or written."""
    path = folder / "place"
    if kind == "a name too long":
        return folder / ("a" * 300)
    if kind == "a path too long":
        return folder / "/".join(["a" * 200] * 40)
    if kind == "a loop of links":
        path.symlink_to(path)
    if kind == "a pipe":
        os.mkfifo(path)
    if kind == "a folder":
        path.mkdir()
    if kind == "below a file":
        return folder / "old.yaml" / "x"
    if kind == "no text":
        path.write_bytes(bytes(range(256)) * 4)
    if kind == "a name with a line break":
        return folder / "x\nverdict: paper in order"
    return path


KINDS = (
    *("nothing", "a name too long", "a path too long", "a loop of links", "a pipe"),
    *("below a file", "no text", "a name with a line break"),
)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", READING)
def test_what_cannot_be_read_is_named(
    name: str, kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2, something said, and no line that the name itself has forged."""
    prepared(tmp_path)
    where = place(kind, tmp_path)
    words = [word.format(f=tmp_path, p=where) for word in READING[name]]
    assert 2 == main(words)
    told = capsys.readouterr()
    assert told.err or told.out
    assert not any(line.startswith("verdict:") for line in (told.out + told.err).splitlines())


@pytest.mark.parametrize("kind", ["a name too long", "a loop of links", "a pipe", "below a file"])
@pytest.mark.parametrize("name", WRITING)
def test_what_cannot_be_written_is_named(
    name: str, kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2 and a line; every file is as it was."""
    prepared(tmp_path)
    where = place(kind, tmp_path)
    before = {path: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    assert 2 == main([word.format(f=tmp_path, p=where) for word in WRITING[name]])
    assert capsys.readouterr().err
    assert before == {path: path.read_bytes() for path in before}


def test_a_pack_is_laid_out_where_one_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`unpack x.zip .` in an empty folder."""
    prepared(tmp_path)
    empty = tmp_path / "empty"
    empty.mkdir()
    monkeypatch.chdir(empty)
    assert 0 == main(["unpack", "../job.zip", "."])
    assert (empty / "job.yaml").is_file()


@pytest.mark.parametrize("closed", ["<&-", ">&-"])
def test_closed_streams(closed: str, tmp_path: Path) -> None:
    """No trace where input or output is closed: a line and code 2."""
    prepared(tmp_path)
    call = f"{sys.executable} -m wiremap next {tmp_path}/job.yaml --batch - {closed}"
    done = subprocess.run(["sh", "-c", call], cwd=ROOT, capture_output=True, text=True)
    assert 2 == done.returncode
    assert "closed" in done.stderr


def test_a_name_of_stray_bytes(tmp_path: Path) -> None:
    """Bytes that are no text are told as such."""
    call = [sys.executable, "-m", "wiremap", "check", b"\xff\xfe.yaml"]
    done = subprocess.run(call, cwd=ROOT, capture_output=True, text=True)
    assert 2 == done.returncode
    assert "is no text" in done.stderr
