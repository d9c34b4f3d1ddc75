"""What a job lacks is asked: contacts that nobody spoke of, what a unit cannot do without, terminators. All
of it is answered by `next`; an answer comes into the job without a line of YAML.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main
from wiremap.evidence.settle import settle
from wiremap.files import load_job
from wiremap.model import Job
from wiremap.survey.question import Question
from wiremap.survey.questions import questions

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: {signal: battery plus, function: permanent-supply, wire: 1.5 RD}
  2: {signal: ground, function: power-ground, wire: 1.5 BN}
  3: {signal: CAN H, function: can-high, wire: 0.5 YE, kbit_s: 250}
  4: {signal: CAN L, function: can-low, wire: 0.5 GN}
"""
NEW = """wiremap: pinout/1
title: new plug
cavities:
  1: {signal: supply, function: permanent-supply, wire: 1.5 RD}
  2: {signal: ground, function: power-ground, wire: 1.5 BN}
  3: {signal: CAN H, function: can-high, wire: 0.5 YE, kbit_s: 250}
  4: {signal: CAN L, function: can-low, wire: 0.5 GN}
  5: {signal: wake, function: wake, wire: 0.5 VT}
  6: {signal: LIN, function: lin, wire: 0.5 BU}
  7: {signal: spare input, function: digital-input, wire: 0.5 GY}
"""
MODULE = """wiremap: pinout/1
title: in-line module
cavities:
  1: {signal: CAN A high, function: can-high}
  2: {signal: CAN A low, function: can-low}
  3: {signal: CAN B high, function: can-high}
  4: {signal: CAN B low, function: can-low}
  5: {signal: +12 V, function: permanent-supply}
  6: {signal: ground, function: power-ground}
  7: {signal: nothing, function: unused}
segments: {a: [1, 2], b: [3, 4]}
bridges: [[a, b]]
"""
JOB = """wiremap: job/1
title: module cut in
supply: {volts: 12}
ends:
  old: {pinout: old.yaml, is: cut-tail, side: machine}
  new: {pinout: new.yaml, is: pigtail, side: unit}
  module: {pinout: module.yaml, is: mate, side: between}
circuits:
  - {join: [old.1, new.1]}
  - {join: [old.2, new.2]}
  - {join: [old.3, module.1], wire: 0.5 YE}
  - {join: [old.4, module.2], wire: 0.5 GN}
  - {join: [module.3, new.3], wire: 0.5 YE}
  - {join: [module.4, new.4], wire: 0.5 GN}
not_joined:
  new.5: {why: no contact on the other side carries wake, treat: cap}
  new.6: {why: no contact on the other side carries lin, treat: cap}
  new.7: {why: no contact on the other side carries digital-input, treat: cap}
"""


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WIREMAP_BY", "RK")
    papers = {"old.yaml": OLD, "new.yaml": NEW, "module.yaml": MODULE, "job.yaml": JOB}
    for name, text in papers.items():
        Path(name).write_text(text, encoding="utf-8")


def settled(path: str = "job.yaml") -> Job:
    job = load_job(path).value
    assert job is not None
    return settle(job)


def asked(path: str = "job.yaml") -> dict[str, Question]:
    return {question.about: question for question in questions(settled(path))}


def answer(about: str, said: str) -> None:
    call = ["next", "job.yaml", "--about", about, "--answer", said, "--how", "its leaflet, p. 3"]
    assert main(call) == 0


def rules(path: str = "job.yaml") -> set[str]:
    return {found.rule for found in check([path]).findings}


def test_a_module_s_ground_and_supply_that_nobody_told_are_asked() -> None:
    ground, supply = asked()["module.6.partner"], asked()["module.5.partner"]
    assert ground.answers[0] == "old.2" and "old.1" not in ground.answers
    assert supply.answers[0] == "old.1" and "left alone" in supply.answers
    assert "module.7.partner" not in asked()


def test_what_it_goes_with_comes_into_the_job_without_yaml() -> None:
    answer("module.6.partner", "old.2")
    answer("module.5.partner", "left alone")
    assert main(["propose", "--keep-answers", "job.yaml", "-o", "anew.yaml"]) in (0, 1)
    job = settled("anew.yaml")
    (ground,) = (circuit.join for circuit in job.circuits if "module.6" in circuit.join)
    assert "old.2" in ground
    assert "left alone: RK" in job.not_joined["module.5"].why
    assert "cavity-forgotten" not in rules("anew.yaml")


def test_a_job_of_which_nothing_is_joined_yet_is_not_asked_contact_by_contact() -> None:
    bare, _, _ = JOB.partition("circuits:")
    Path("job.yaml").write_text(bare, encoding="utf-8")
    assert not [about for about in asked() if about.endswith(".partner")]


def test_wake_and_lin_that_a_proposal_left_out_are_asked_an_input_is_not() -> None:
    assert "wake" in asked()["new.5.partner"].why
    assert "new.6.partner" in asked()
    assert "new.7.partner" not in asked()


def test_what_a_person_left_out_with_a_reason_is_agreed() -> None:
    said = JOB.replace(
        "no contact on the other side carries lin", "kept for service by its leaflet"
    )
    Path("job.yaml").write_text(said, encoding="utf-8")
    assert "new.6.partner" not in asked()


def test_terminators_of_unit_and_module_are_asked_not_those_of_the_loom() -> None:
    about = [about for about in asked() if about.endswith(".terminator")]
    assert sorted(about) == ["module.1.terminator", "module.3.terminator", "new.3.terminator"]


def test_a_told_terminator_counts_and_is_not_asked_again() -> None:
    assert "terminators-unknown" in rules()
    for about, said in (("module.1", "none"), ("module.3", "120 ohm"), ("new.3", "120")):
        answer(f"{about}.terminator", said)
    assert not [about for about in asked() if about.endswith(".terminator")]
    found = [f for f in check(["job.yaml"]).findings if f.rule.startswith("terminators")]
    assert [f.rule for f in found] == ["terminators"], "behind the module there are two"
    assert "old.3 to old.4" in found[0].fix, "first the loom is read"
    again = settle(settled())
    assert len(again.ends["new"].pinout.inside) == 1


def test_a_terminator_that_the_paper_tells_takes_no_answer(
    capsys: pytest.CaptureFixture[str],
) -> None:
    told = NEW + "inside: [{between: [3, 4], ohms: 120}]\n"
    Path("new.yaml").write_text(told, encoding="utf-8")
    assert "new.3.terminator" not in asked()
    assert main(["next", "job.yaml", "--about", "new.3.terminator", "--answer", "none"]) == 2
    assert "new.3.terminator" in capsys.readouterr().err
