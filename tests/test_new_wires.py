"""The new wires of an adapter are told by answers, size, colour and length in one line; none is written by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from wiremap.base import Finding
from wiremap.check import check
from wiremap.cli.main import main
from wiremap.evidence import settle
from wiremap.evidence.new_wires import told_wire, why_no_wire
from wiremap.files import load_job
from wiremap.model import Circuit, Job
from wiremap.survey.questions import questions

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: +12 always
  2: earth
  3: earth
  4: horn
"""
NEW = """wiremap: pinout/1
title: new plug
cavities:
  1: +12 always
  2: earth
  3: horn
"""


@pytest.fixture
def adapter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two plugs of which nobody told a wire, and the adapter that is proposed between them."""
    for name, text in (("old", OLD), ("new", NEW)):
        (tmp_path / f"{name}.yaml").write_text(text, "utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WIREMAP_BY", "RK")
    main(["propose", "old.yaml", "new.yaml", "--adapter", "-o", "job.yaml"])
    return tmp_path


def read() -> Job:
    job = load_job("job.yaml").value
    assert job is not None
    return settle(job)


def circuit(point: str) -> Circuit:
    return next(each for each in read().circuits if point in each.join)


def asked() -> list[str]:
    found = [each.about for each in questions(read())]
    return [about for about in found if about.endswith(".wire") and " - " in about]


def needed() -> list[Finding]:
    return [found for found in check(["job.yaml"]).findings if found.rule == "wire-needed"]


def test_each_new_wire_is_asked_for_and_told_in_one_line(adapter: Path) -> None:
    joined = [" - ".join(each.join) for each in read().circuits]
    assert sorted(asked()) == sorted(f"{points}.wire" for points in joined)
    (first,) = [found for found in needed() if found.subject == ("old.1",)]
    assert 'wiremap next JOB --about "old.1 - new.1.wire"' in first.fix
    call = ["next", "job.yaml", "--about", "old.1 - new.1.wire", "--answer"]
    assert main([*call, "2.5 RD, 40 cm"]) == 0
    told = circuit("old.1")
    assert told.wire is not None and told.wire.csa_mm2 == 2.5
    assert told.length_mm == 400
    assert "old.1 - new.1.wire" not in asked()
    assert ("old.1",) not in [found.subject for found in needed()]


def test_a_batch_tells_them_all(adapter: Path) -> None:
    """Three wires at once, a joint's legs among them."""
    lines = [f"{' - '.join(each.join)}.wire: 1.0 BK, 300 mm" for each in read().circuits]
    Path("wires.txt").write_text("\n".join(lines) + "\n", "utf-8")
    assert main(["next", "job.yaml", "--batch", "wires.txt"]) == 0
    assert not asked() and not needed()


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("1.0 RD, 400 mm", 400),
        ("1,5 red 0.4 m", 400),
        ("0.5 GN/WH", None),
        ("0.5 bare, 12cm", 120),
        ("1.0", ()),
        ("RD, 400 mm", ()),
        ("1.0 RD, 0 mm", ()),
        ("500 RD", ()),
        ("red", ()),
    ],
)
def test_a_wire_is_told_whole(text: str, length: object) -> None:
    told = told_wire(text)
    assert (() if told is None else told.length_mm) == length


def test_a_splice_takes_no_new_wire(adapter: Path) -> None:
    Path("job.yaml").unlink()
    main(["propose", "old.yaml", "new.yaml", "-o", "job.yaml"])
    assert not asked()


@pytest.mark.parametrize(("wire", "word"), [("0.5 GY, 400 mm", "`GY`"), ("1.0 ZQ, 1 m", "`ZQ`")])
def test_letters_that_are_the_trouble_are_named(wire: str, word: str) -> None:
    """A wire that is refused for its colour says so, and how to write it."""
    told = why_no_wire(wire)
    assert word in told and told.endswith("write the colour as a word")
    assert not why_no_wire(wire.replace("GY", "grey").replace("ZQ", "red"))
