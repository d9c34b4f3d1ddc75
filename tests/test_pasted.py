"""Every command that a `next:` line, a mend or a hint prints works as it is printed."""

from __future__ import annotations

import io
import re
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from demo_jobs import DEMO

from wiremap.cli.main import COMMANDS, main

CALL = re.compile(r"(?<!`)\bwiremap (?=[a-z])(?:\"[^\"\n]*\"|[^;:,()\n`])*")
WRONG_CALL = re.compile(r"^see: wiremap", re.MULTILINE)  # the last line on a call that is none
OLD = "wiremap: pinout/1\ntitle: old plug\ncavities:\n  1: +24 always, red\n  2: earth\n  3: pump\n"
NEW = "wiremap: pinout/1\ntitle: new plug\ncavities:\n  1: ground\n  2: +24 V permanent\n  3: ?\n"
READ = "old.1 26.4 V ignition off\nold.3 26 V ignition on\n"
PROBED = "loom.3 - donor.13 0.2\nloom.5 - donor.12 0.2\n"
"""Placeholders that a person fills in: one that the test can."""
FILLED = {"NAME": "RK", "POINT": "loom.3", "WHICH": "K1", "MARK": "00000000", "DAY": "2026-03-02"}


@pytest.fixture(params=["sketch", "answered", "spreader", "adapter"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A job in one of four states, in a folder with a blank in its name; its path."""
    there = tmp_path / "the jobs"
    if request.param in ("spreader", "adapter"):
        shutil.copytree(DEMO, there)
        (there / "probed.txt").write_text(PROBED, encoding="utf-8")
        return there / ("job.yaml" if request.param == "spreader" else "adapter/job.yaml")
    there.mkdir()
    for name, text in (("old.yaml", OLD), ("new.yaml", NEW), ("read.txt", READ)):
        (there / name).write_text(text, encoding="utf-8")
    job = there / "job.yaml"
    main(["propose", str(there / "old.yaml"), str(there / "new.yaml"), "-o", str(job)])
    if request.param == "answered":
        main(["next", str(job), "--answer", "24", "--by", "RK"])
        read = str(there / "read.txt")
        main(["survey", str(job), "--readings", read, "--save", "--by", "RK"])
    return job


def commands(job: str, folder: Path) -> Iterator[tuple[str, ...]]:
    """What a person calls, whose last lines are pasted."""
    for word in ("check", "next", "survey", "sign", "slips", "ringout"):
        yield (word, job)
    yield ("check", job, "--full")
    yield ("survey", job, "--judge")
    yield ("next", job, "--kept")
    yield ("ringout", job, "--power")
    yield ("ringout", job, "--judge")
    for file in sorted(folder.glob("probed.txt")):
        yield ("ringout", job, "--readings", str(file))


@pytest.mark.parametrize("below", [False, True], ids=["beside", "below"])
def test_what_is_printed_can_be_pasted(
    place: Path, below: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """From beside the job and from a folder below; no call is refused, and each file is found."""
    here = place.parent / "below"
    here.mkdir()
    monkeypatch.chdir(here if below else place.parent)
    job = f"../{place.name}" if below else place.name
    for words in commands(job, place.parent):
        monkeypatch.setattr("sys.stdin", io.StringIO(""))
        main(words)
        told = capsys.readouterr()
        for call in printed(told.out + told.err):
            assert refused(call, monkeypatch, capsys) == "", (words, call)


def printed(text: str) -> list[list[str]]:
    """The calls within a text, each once; lines that were broken to fit are put together."""
    whole = re.sub(r"\n +(?! |\w+: )", " ", text)  # a line with a name of its own goes on with none
    found = [shlex.split(call.rstrip(". ")) for call in CALL.findall(whole)]
    return [list(call) for call in dict.fromkeys(map(tuple, found))]


def refused(
    call: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> str:
    """What a call is refused with, its placeholders filled in; empty if it is none of that."""
    _, command, *words = call
    assert command in COMMANDS, call
    if command in ("page", "pack", "sheet"):
        return ""  # they write, or serve until they are stopped
    if {"FILE", "CONTACT.amps", "CONTACT"} & set(words):
        return ""  # a person's own file or contact
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    main([command, *(FILLED.get(word, word) for word in words)])
    said = capsys.readouterr().err
    if WRONG_CALL.search(said) or "there is no such file" in said or "there is no folder" in said:
        return said
    return ""


@pytest.mark.parametrize("call", ["next nowhere.yaml", "check --fulll", "sheet2 x", "survey"])
def test_a_wrong_call_would_be_found(
    call: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file that is not there, an option or command that is none, a word too few."""
    if call.startswith("sheet2"):
        with pytest.raises(AssertionError):
            refused(["wiremap", *call.split()], monkeypatch, capsys)
    else:
        assert refused(["wiremap", *call.split()], monkeypatch, capsys)
