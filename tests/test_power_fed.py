"""First power knows what feeds what: a fuse what lies beyond it, a lamp who switches it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from wiremap.evidence.settle import settle
from wiremap.files import load_job
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import PowerStep
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind, Job, Notebook
from wiremap.ringout.fuses import fuses_out

PAPER = """wiremap: pinout/1
title: unit
cavities:
  1: {signal: battery plus, function: permanent-supply}
  2: {signal: ground, function: power-ground}
  3: {signal: Beacon, function: lamp-feed}
  4: {signal: Work lamp, function: lamp-feed, flow: from-unit}
"""
MODULE = """wiremap: pinout/1
title: module
cavities:
  1: {signal: battery plus, function: permanent-supply}
  2: {signal: ground, function: power-ground}
"""
JOB = """wiremap: job/1
title: lamps
supply: {volts: 12}
ends:
  old: {pinout: old.yaml, is: cut-tail, side: machine, fed: {1: {fuse: F3, fuse_amps: 10}}}
  new: {pinout: new.yaml, is: pigtail, side: unit}
  module: {pinout: module.yaml, is: mate, side: between}
extras:
  F1: {fuse: mini blade, amps: 3}
circuits:
  - {id: plus, join: [old.1, new.1, F1.LEG]}
  - {id: ground, join: [old.2, new.2, module.2]}
  - {id: beacon, join: [old.3, new.3]}
  - {id: lamp, join: [old.4, new.4]}
  - {id: module, join: [F1.FAR, module.1]}
"""


def made(folder: Path, leg: str = "a", far: str = "b", **told: str) -> Harness:
    """The job, its fuse in one way or the other, with answers about `old_3` and the like."""
    for name, text in (("old", PAPER), ("new", PAPER), ("module", MODULE)):
        (folder / f"{name}.yaml").write_text(text, "utf-8")
    (folder / "job.yaml").write_text(JOB.replace("LEG", leg).replace("FAR", far), "utf-8")
    job = load_job(folder / "job.yaml").value
    assert job is not None
    return Harness(settle(answered(job, told)))


def answered(job: Job, told: dict[str, str]) -> Job:
    """The job with who feeds a contact answered."""
    entries = tuple(
        Entry(
            kind=EntryKind.ANSWER,
            about=f"{at.replace('_', '.')}.flow",
            answer=flow,
            by="RK",
            date="2026-01-02",
        )
        for at, flow in told.items()
    )
    return replace(job, notebooks=(Notebook("n.yaml", entries),))


def works(steps: tuple[PowerStep, ...]) -> set[str]:
    """The contacts whose load the unit itself tries."""
    return {step.tries for step in steps if "at the new unit's controls" in step.do}


@pytest.mark.parametrize(("leg", "far"), [("a", "b"), ("b", "a")])
def test_a_fuse_feeds_what_lies_beyond_it(tmp_path: Path, leg: str, far: str) -> None:
    """Whichever way it is drawn; the clamp names the fuse that the unit hangs on."""
    harness = made(tmp_path, leg, far, old_3="from-unit")
    feeds = {fuse.name: fuse.feeds for fuse in fuses_out(harness)}
    assert feeds == {"F3": ("old.1",), "F1": ("module.1",)}
    clamps = [step for step in power_plan(harness) if "by a clamp" in step.do]
    assert [(step.black, step.high) for step in clamps] == [("old.1", 10.0)]
    assert "current through F3 10 A" in clamps[0].do


@pytest.mark.parametrize("at", ["old_3", "new_3"])
def test_who_feeds_a_lamp_may_be_told_at_either_end(tmp_path: Path, at: str) -> None:
    """From the unit: no switch of the machine lights it, the unit's own controls do."""
    asked = power_plan(made(tmp_path))
    assert "new.3" not in works(asked) and any("machine's own switch" in s.do for s in asked)
    steps = power_plan(made(tmp_path, **{at: "from-unit"}))
    assert works(steps) == {"new.3", "new.4"}
    assert not any("machine's own switch" in step.do for step in steps)
    assert "new.3" not in works(power_plan(made(tmp_path, **{at: "to-unit"})))
