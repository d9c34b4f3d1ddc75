"""The reasons of a proposal are true: what both papers say, in any order or letters, is not open."""

from __future__ import annotations

from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.model import Cavity
from wiremap.naming import read_signal
from wiremap.propose.compare import compare
from wiremap.propose.comparison import Comparison

MODULE = """wiremap: pinout/1
title: module
cavities: {1: {signal: in, wire: 1 RD}, 2: {signal: out, wire: 1 RD}}
"""


def compared(old: str, new: str) -> Comparison:
    """Two wordings compared as contacts of machine and unit."""
    return compare(*[Cavity(name="1", reading=read_signal(s), signal=s) for s in (old, new)])


@pytest.mark.parametrize(
    ("old", "new", "no_word"),
    [
        ("terminal 15", "Wake up (terminal 15)", "15"),
        ("broom motor relay", "Relay broom motor, output", "may not be"),
        ("valve pump relay", "relay pump valve", "may not be"),
        ("temperature sensor ground", "Temp sensor GND", "temp"),
        ("Temperatursensor Masse", "temp sensor GND", "`temp`"),
        ("Hall speed sensor supply", "Hall sensor supply", "`speed`"),
    ],
)
def test_what_both_papers_say_is_not_open(old: str, new: str, no_word: str) -> None:
    """Neither a word that the other paper says too, nor another order of words, is a doubt."""
    found = compared(old, new)
    assert not found.refused
    assert no_word not in " ".join(map(str, (*found.soft, *found.hard)))


@pytest.mark.parametrize(
    ("old", "new"),
    [("beacon", "Beacon output"), ("left lamp", "Lamp left output"), ("left lamp", "lamp left")],
)
def test_who_feeds_a_lamp_is_one_doubt(old: str, new: str) -> None:
    """The word `output` and the two readings of a bare lamp all leave one thing open."""
    found = compared(old, new)
    assert not found.hard and len(found.soft) == 1 and "who feeds it" in found.soft[0].words


@pytest.mark.parametrize(
    ("wording", "volts"), [("+12V permanent", 12), ("battery 24 V", 24), ("terminal 30 (12V)", 12)]
)
def test_volts_of_a_wording_are_told_as_assumed(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    wording: str,
    volts: int,
) -> None:
    """In the file and on the screen; where the paper states them nothing was assumed."""
    monkeypatch.chdir(tmp_path)
    paper = "wiremap: pinout/1\ntitle: p\ncavities: {1: {signal: '%s'%s}, 2: ground}\n"
    Path("new.yaml").write_text(paper % (wording, ""), "utf-8")
    for more, count in (("", 1), (f", volts: {volts}", 0)):
        Path("old.yaml").write_text(paper % (wording, more), "utf-8")
        Path("job.yaml").unlink(missing_ok=True)
        capsys.readouterr()
        main(["propose", "old.yaml", "new.yaml", "-o", "job.yaml"])
        text = Path("job.yaml").read_text("utf-8")
        assert f"supply: {{volts: {volts}}}" in text
        assert text.count(f"# Assumed: the supply is {volts} V, for old.1") == count
        assert capsys.readouterr().out.count("assumed: the supply is") == count


def test_a_proposal_made_anew_claims_nothing_untrue(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A splice with a mated unit in between is cut, and what hands wrote nobody has settled."""
    monkeypatch.chdir(tmp_path)
    paper = "wiremap: pinout/1\ntitle: p\ncavities: {1: {signal: horn, wire: 1 RD}}\n"
    for name, text in (("old", paper), ("new", paper), ("module", MODULE)):
        Path(f"{name}.yaml").write_text(text, "utf-8")
    Path("job.yaml").write_text(
        "wiremap: job/1\ntitle: j\nends:\n  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit}\n"
        "  module: {pinout: module.yaml, is: mate, side: between}\n"
        "circuits: [old.1 - module.1, module.2 - new.1]\n",
        "utf-8",
    )
    main(["propose", "--keep-answers", "job.yaml"])
    told = capsys.readouterr()
    assert "Nothing is cut" not in told.out and "settled before" not in told.out
    assert "0 circuits settled by name, 2 made or changed by hand" in told.err
