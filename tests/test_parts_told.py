"""A fuse of the job, a resistor's watts and the wire of a part's lead are told anew by an answer."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
import sweeper

from wiremap.check import check
from wiremap.cli.guided_answers import own_fuse_fault, unusual_own_fuse
from wiremap.cli.main import main
from wiremap.evidence.allowed import allowed
from wiremap.evidence.parts_told import with_part
from wiremap.model import Address, Job
from wiremap.share.module_paper import own_fuse


@pytest.fixture
def job(demo: Job) -> Job:
    """The demo, whose F1 feeds its gateway and whose R1 lies across a pair."""
    assert {"F1", "R1", "G1"} <= demo.extras.keys()
    return demo


def lead(job: Job, leg: str) -> tuple[float | None, float | None]:
    """Size and length of what goes to a leg."""
    point = Address.read(leg)
    circuit = next(each for each in job.circuits if point in each.join)
    held = circuit if len(circuit.join) == 2 else circuit.legs[point]
    return (held.wire.csa_mm2 if held.wire else None), held.length_mm


def test_a_fuse_and_a_resistor_are_told_anew(job: Job) -> None:
    assert with_part(job, "F1.fuse_amps", "3 A").extras["F1"].amps == 3
    assert with_part(job, "R1.watts", "0,25").extras["R1"].watts == 0.25
    assert with_part(job, "R1.watts", "0,25").extras["R1"].amps is None


@pytest.mark.parametrize(
    ("about", "text"),
    [("F1.fuse_amps", "many"), ("R1.watts", "x"), ("F1.a.wire", "thick"), ("G1.watts", "1")],
)
def test_what_tells_nothing_changes_nothing(job: Job, about: str, text: str) -> None:
    assert with_part(job, about, text) == job
    asked = allowed(job, about)
    assert asked is None or not asked.fits(text)


def test_the_form_of_a_fuse_is_told_anew(job: Job) -> None:
    """Only one whose opening limits are known, and only of a fuse."""
    assert with_part(job, "F1.form", "large-blade").extras["F1"].detail == "large-blade"
    assert with_part(job, "F1.form", "glass") == job
    asked = allowed(job, "F1.form")
    assert asked is not None and asked.fits("blade") and not asked.fits("glass")
    assert allowed(job, "R1.form") is None


@pytest.mark.parametrize(
    ("said", "form", "amps"),
    [
        ("blade 2", "blade", 2),
        ("in-line blade 3A", "blade", 3),
        ("3 A inline blade fuse", "blade", 3),
        ("large blade 40", "large-blade", 40),
        ("blade", "blade", None),
        ("glass 5", "glass", 5),
    ],
)
def test_a_blade_fuse_is_one_however_it_is_held(said: str, form: str, amps: float | None) -> None:
    """What opens otherwise keeps its words, and is asked back."""
    fuse = own_fuse(said)
    assert fuse is not None and (fuse.form, fuse.amps) == (form, amps)
    assert bool(unusual_own_fuse(said)) == (form == "glass")


def test_amps_alone_tell_no_fuse() -> None:
    assert own_fuse("2 A") is None and own_fuse_fault("2 A")


def test_what_a_part_does_not_have_is_not_asked(job: Job) -> None:
    for about in ("R1.fuse_amps", "F1.watts", "G1.fuse_amps", "F1.c.wire", "F9.fuse_amps"):
        assert allowed(job, about) is None


def test_a_lead_is_told_anew_and_keeps_its_length(job: Job) -> None:
    """At two points the wire is the circuit's, at more the leg's own."""
    for leg in ("F1.a", "F1.b"):
        before = lead(job, leg)
        assert lead(with_part(job, f"{leg}.wire", "2.5 RD"), leg) == (2.5, before[1])
        assert lead(with_part(job, f"{leg}.wire", "2.5 RD, 300 mm"), leg) == (2.5, 300)


def test_the_check_takes_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of the sweeper a lead too thin for its fuse: the cure's own command lifts that stop."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO(sweeper.SPLICE))
    main(["start"])
    (stop,) = (f for f in check(["job.yaml"]).findings if f.rule == "conductor-below-fuse")
    assert "--about F1.a.wire" in stop.fix and "F1.a" in stop.message
    call = ["next", "job.yaml", "--about", "F1.a.wire", "--answer", "2.5 RD, 300 mm"]
    assert main([*call, "--how", "changed lead", "--by", "RK"]) == 0
    found = [f for f in check(["job.yaml"]).findings if f.rule == "conductor-below-fuse"]
    assert not any("F1.a" in f.message for f in found)
