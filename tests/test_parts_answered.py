"""A diode or a resistor that goes between two contacts is added by an answer, and all that follows has it."""

from __future__ import annotations

import shlex
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.check import Checked, check
from wiremap.cli.main import main
from wiremap.evidence.settle import settle
from wiremap.model import ExtraKind, Job

OLD = """wiremap: pinout/1
title: old
cavities:
  1: {signal: +12V ignition, wire: 1.0 RD}
  2: {signal: Charge lamp via diode, function: lamp-feed, wire: 0.5 VT}
  3: {signal: "PTO lamp, LED with 470 ohm", function: lamp-feed, wire: 0.5 YE}
  4: {signal: "Level sensor 240 ohm", function: analogue-input, wire: 0.5 GN}
"""
NEW = """wiremap: pinout/1
title: new
cavities:
  1: {signal: +12V ignition, wire: 1.0 RD}
  2: {signal: Charge lamp, function: lamp-feed, wire: 0.5 VT}
  3: {signal: PTO lamp, function: lamp-feed, wire: 0.5 YE}
  4: {signal: Level sensor, function: analogue-input, wire: 0.5 GN}
"""
DIODE, RESISTOR = "old.2 - new.2.diode", "old.3 - new.3.resistor"


@pytest.fixture
def folder(two_papers: Callable[[str, str], Path], monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("WIREMAP_BY", "RK")
    there = two_papers(OLD, NEW)
    (there / "job.yaml").write_text(
        "wiremap: job/1\ntitle: lamps\nsupply: {volts: 12}\nends:\n"
        "  old: {pinout: old.yaml, is: cut-tail, side: machine}\n"
        "  new: {pinout: new.yaml, is: pigtail, side: unit}\ncircuits:\n"
        "  - {join: [old.1, new.1]}\n  - {join: [old.2, new.2], grade: ask}\n"
        "  - {join: [old.3, new.3]}\n  - {join: [old.4, new.4]}\n",
        encoding="utf-8",
    )
    return there


def checked() -> Checked:
    return check(["job.yaml"]).jobs[0]


def answered(about: str, text: str) -> int:
    return main(["next", "job.yaml", "--about", about, "--answer", text, "--how", "the old loom"])


def joins(job: Job | None) -> list[tuple[str, ...]]:
    assert job is not None
    return [tuple(circuit.join) for circuit in job.circuits]


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("anode", "here", "there"), [("old.2", "D1.a", "D1.k"), ("new.2", "D1.k", "D1.a")]
)
def test_a_diode_goes_into_the_wire_the_way_it_is_told(anode: str, here: str, there: str) -> None:
    """What is joined parts in two circuits; who settled it before or after has settled it still."""
    assert answered("old.2 - new.2", "yes") == 0
    assert answered(DIODE, f"1 A, anode at {anode}") == 0
    job = checked().job
    assert ("old.2", here) in joins(job) and (there, "new.2") in joins(job)
    assert job is not None and job.extras["D1"].amps == 1
    assert settle(job) == job
    rules = {finding.rule for finding in checked().findings}
    assert not rules & {"ask-unsettled", "settlement-stale", "answer-not-counted"}
    assert answered("old.2 - new.2", "yes") == 0
    assert answered("D1.amps", "3") == 0
    job = checked().job
    assert job is not None and job.extras["D1"].amps == 3


@pytest.mark.usefixtures("folder")
def test_a_resistor_and_a_diode_lie_one_behind_the_other() -> None:
    """Each in the wire of the same contact; `none` takes one of them out again."""
    assert answered("old.3 - new.3.diode", "1 A, anode at old.3") == 0
    assert answered(RESISTOR, "470 ohm, 0.5 W") == 0
    found = joins(checked().job)
    assert {("old.3", "D1.a"), ("D1.k", "R1.a"), ("R1.b", "new.3")} <= set(found)
    assert answered("old.3 - new.3.diode", "none") == 0
    assert {("old.3", "R1.a"), ("R1.b", "new.3")} <= set(joins(checked().job))


@pytest.mark.usefixtures("folder")
def test_between_two_circuits_a_part_lies_across_their_joints() -> None:
    assert answered("old.2 - new.3.diode", "1 A, anode at new.3") == 0
    found = joins(checked().job)
    assert ("old.2", "new.2", "D1.k") in found and ("old.3", "new.3", "D1.a") in found


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("about", "text"),
    [
        (DIODE, "1 A"),
        (DIODE, "1 A, anode at new.3"),
        (DIODE, "anode at old.2"),
        (RESISTOR, "470 ohm"),
        (RESISTOR, "0.5 W"),
    ],
)
def test_a_part_without_its_figures_or_its_way_round_is_refused(
    about: str, text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert answered(about, text) == 2
    assert f"as: {'1 A, anode at old.2' if about == DIODE else '470 ohm, 0.25 W'}" in (
        capsys.readouterr().err
    )


@pytest.mark.usefixtures("folder")
def test_a_part_that_a_paper_names_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    """Until it is there or somebody says that it is none of the job's; a sensor's ohms are its own."""
    main(["next", "job.yaml", "--full"])
    told = " ".join(capsys.readouterr().out.split())
    assert f"[{DIODE}]" in told and f"[{RESISTOR}]" in told and "old.4 - new.4" not in told
    answered(DIODE, "1 A, anode at old.2")
    answered(RESISTOR, "none")
    capsys.readouterr()
    main(["next", "job.yaml", "--full"])
    told = " ".join(capsys.readouterr().out.split())
    assert "diode]" not in told and "resistor]" not in told
    job = checked().job
    assert job is not None and {part.kind for part in job.extras.values()} == {ExtraKind.DIODE}


@pytest.mark.usefixtures("folder")
def test_what_flows_through_a_diode_is_not_asked_as_its_rating() -> None:
    answered(DIODE, "1 A, anode at old.2")
    (found,) = (each for each in checked().findings if each.rule == "load-unjudged")
    assert "D1" in found.subject and "D1.amps" not in found.fix and ".2.amps" in found.fix


def test_a_part_is_explained_with_the_call_that_adds_it(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for part, example in (("diode", "1 A, anode at old.7"), ("resistor", "470 ohm, 0.5 W")):
        assert main(["explain", part]) == 0
        told = " ".join(capsys.readouterr().out.split())
        assert f'.{part}" --answer "{example}"' in told
    assert main(["next", "job.yaml", "--about", "D1"]) == 2
    assert "wiremap explain diode" in " ".join(capsys.readouterr().err.split())


def laid_out(case: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The guilty job of a rule, worked in by RK."""
    for path in (Path(__file__).parent / "cases" / case).glob("*.yaml"):
        shutil.copy(path, folder)
    shutil.move(folder / "bad.yaml", folder / "job.yaml")
    monkeypatch.chdir(folder)
    monkeypatch.setenv("WIREMAP_BY", "RK")


def cure_of(rule: str) -> list[str]:
    """The words of the call that the cure of a rule's finding names."""
    finding = next(each for each in checked().findings if each.rule == rule)
    call = finding.fix.partition("wiremap ")[2].split(", or ")[0].rstrip(".")
    return shlex.split(call.replace("JOB", "job.yaml"))


@pytest.mark.parametrize(
    ("rule", "wrong", "right"),
    [("untwisted", "much", "20 mm"), ("outputs-over-supply", "much", "14 A")],
)
def test_a_length_or_amps_that_a_cure_asks_for_are_answered(
    rule: str, wrong: str, right: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the call that it names, without a line of YAML; then the finding is gone."""
    laid_out(rule, tmp_path, monkeypatch)
    call = [*cure_of(rule), "--how", "measured beside the plug"]
    for said, code in ((wrong, 2), (right, 0)):
        assert main([*call, "--answer", said]) == code
    assert rule not in {finding.rule for finding in checked().findings}
