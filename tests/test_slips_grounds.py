"""A unit that loses its grounds, against the metal of the job built anew with the mistake in it; common practice: the
current of a control unit without its ground leaves by its sensor return, its bus and the loads of its outputs."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_slips import exchange, slipped

from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.open import OPEN_JOINT, Open
from wiremap.model import Job
from wiremap.rules import View
from wiremap.slips import Slip, slips
from wiremap.slips.grounds import unit_grounds

MACHINE = """wiremap: pinout/1
title: old plug
half: wired
cavities:
  1: {{signal: Supply, function: permanent-supply, volts: 12, wire: 1.0 RD}}
  2: {{signal: Ground, function: power-ground, wire: 1.0 BN}}
  3: {{signal: Return, function: {third}, wire: 0.5 BN}}
"""
UNIT = """wiremap: pinout/1
title: new plug
half: wired
cavities:
  1: {{signal: Supply, function: {feed}, volts: 12, flow: to-unit, wire: 1.0 RD}}
  2: {{signal: Ground A, function: power-ground, {amps_a}wire: 0.5 BK}}
  3: {{signal: Ground B, function: power-ground, {amps_b}wire: 0.5 BK}}
  4: {{signal: Return, function: {third}, {amps}wire: 0.5 WH}}
  5: {{signal: Variant, function: coding, wire: 0.35 OG}}
{inside}"""
JOB = """wiremap: job/1
title: two grounds in one joint
supply: {{volts: 12}}
ends:
  m: {{pinout: m.yaml, is: cut-tail, side: machine}}
  u: {{pinout: u.yaml, is: pigtail, side: unit}}
circuits:
  - {{id: plus, join: [m.1, u.1], joint: butt-crimp}}
  - {{id: gnd, join: [m.2, u.2, u.3], joint: butt-crimp}}
  - {{id: ret, join: [{third}], joint: butt-crimp}}
"""


def found(folder: Path, *subject: str, **stated: str) -> Slip:
    """The slip of that subject in a job of a supply, two grounds in one joint and a third circuit."""
    words = {
        "third": "sensor-return",
        "feed": "permanent-supply",
        "amps_a": "amps: 1, ",
        "amps_b": "amps: 2, ",
        "amps": "",
        "inside": "",
        **stated,
    }
    (folder / "m.yaml").write_text(MACHINE.format(**words), encoding="utf-8")
    (folder / "u.yaml").write_text(UNIT.format(**words), encoding="utf-8")
    (folder / "job.yaml").write_text(
        JOB.format(third=words.get("join", "m.3, u.4")), encoding="utf-8"
    )
    job = load_job(folder / "job.yaml").value
    assert job is not None
    return next(slip for slip in slips(Harness(job)).slips if set(slip.subject) == set(subject))


def test_the_only_way_to_ground_open_is_harm_by_the_return(tmp_path: Path) -> None:
    slip = found(tmp_path, "gnd", "m.2")
    assert (slip.grade, slip.cause) == ("harm", "ground lost")
    assert slip.outcome == "u has no ground (u.2): its current feeds back through Return (u.4)"


@pytest.mark.parametrize("leg", ["u.2", "u.3"])
def test_one_of_two_legs_open_leaves_the_other(leg: str, tmp_path: Path) -> None:
    slip = found(tmp_path, "gnd", leg)
    other = "u.3" if leg == "u.2" else "u.2"
    assert slip.grade == "quiet" and f"{other} carries its current too" in slip.outcome


def test_a_leg_that_is_open_to_the_other_inside_has_no_other(tmp_path: Path) -> None:
    inside = "inside:\n  - {between: [2, 3], ohms: open}\n"
    assert found(tmp_path, "gnd", "u.2", inside=inside).grade == "harm"


def test_grounds_exchanged_with_the_return_burn_it(tmp_path: Path) -> None:
    slip = found(tmp_path, "m.2", "m.3", amps="amps: 0.05, ")
    assert slip.grade == "harm" and "up to 3 A, stated for 0.05 A" in slip.outcome


@pytest.mark.parametrize(("amps", "grade"), [("2.99", "harm"), ("3", "quiet"), ("3.01", "quiet")])
def test_a_return_stated_for_the_whole_current_bears_it(
    amps: str, grade: str, tmp_path: Path
) -> None:
    assert found(tmp_path, "m.2", "m.3", amps=f"amps: {amps}, ").grade == grade


def test_amps_that_nobody_states_are_no_excuse(tmp_path: Path) -> None:
    slip = found(tmp_path, "m.2", "m.3", amps="amps: 9, ", amps_b="")
    assert slip.grade == "harm" and "up to" not in slip.outcome


@pytest.mark.parametrize(("third", "grade"), [("can-high", "harm"), ("analogue-input", "dead")])
def test_without_a_way_back_it_is_only_dead(third: str, grade: str, tmp_path: Path) -> None:
    """A bus holds its other units' ground; a sensor that floats gives none."""
    assert found(tmp_path, "gnd", "m.2", third=third).grade == grade


def test_a_unit_without_a_feed_is_only_dead(tmp_path: Path) -> None:
    assert found(tmp_path, "gnd", "m.2", feed="wake").grade == "dead"


def test_a_way_that_leads_nowhere_is_none(tmp_path: Path) -> None:
    assert found(tmp_path, "gnd", "m.2", join="u.4, u.5").grade == "dead"


def mistakes(job: Job) -> list[tuple[tuple[str, ...], Mistake]]:
    """Each exchange and each open leg that slips are told of."""
    told = slips(Harness(job)).slips
    exchanged = [s.subject for s in told if s.kind in ("exchanged", "like-coloured")]
    opened = [s.subject for s in told if s.kind == "open"]
    return [
        *((subject, exchange(*subject)) for subject in exchanged),
        *((subject, Open(OPEN_JOINT, subject, (subject[1],))) for subject in opened),
    ]


def test_no_unit_without_ground_is_said_to_work(demo: Job) -> None:
    """Every exchange and open leg made in the job itself: where by the whole new graph a unit's last ground is gone,
    the slip breaks or shows; where one is left, none is said to be without."""
    drawn = View(Harness(demo))
    grounds = [each for each in unit_grounds(drawn) if each.is_main]
    assert {each.owner for each in grounds} == {"donor", "gateway"}
    told = {s.subject: s for s in slips(Harness(demo)).slips if s.kind != "touching"}
    gone = 0
    for subject, mistake in mistakes(demo):
        built = View(Harness(slipped(demo, mistake)))
        metals = built.harness.metals
        for unit in grounds:
            held = [
                each
                for each in unit.contacts
                if {"loom.2", "chassis"} & set(metals.of(each.address).points)
            ]
            if not held:
                gone += 1
                assert told[subject].grade in ("harm", "dead"), told[subject]
            elif len(grounds) == 1:
                assert "has no ground" not in told[subject].outcome
    assert gone > 10
