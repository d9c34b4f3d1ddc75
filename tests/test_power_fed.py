"""First power knows what feeds what: a fuse what lies beyond it, a lamp who switches it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from wiremap.cli.main import main
from wiremap.evidence.settle import settle
from wiremap.files import load_job
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.renumbered import refused_numbers, renumbered
from wiremap.firstpower.step import PowerStep
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind, Job, Notebook, Stop
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
    assert [step.black for step in clamps] == ["old.1"]
    assert 3.0 < (clamps[0].high or 0.0) <= 10.0
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


def kept(job: Job, *entries: Entry) -> Job:
    """The job with a notebook of its own."""
    return replace(job, notebooks=(Notebook("n.yaml", entries),))


def answer(about: str, said: str) -> Entry:
    """An answer by name."""
    return Entry(kind=EntryKind.ANSWER, about=about, answer=said, by="RK", date="2026-01-02")


WORK = Entry(kind=EntryKind.STOP_PASSED, stop=Stop.BATTERY, by="RK", second="AM")


def test_an_answer_behind_the_work_makes_an_older_list(tmp_path: Path) -> None:
    """Its numbers are told with where the steps are now; before the work, or of another thing, none."""
    job = made(tmp_path).job
    from_unit = answer("old.3.flow", "from-unit")

    def moved(*entries: Entry) -> dict[int, tuple[PowerStep, int | None]]:
        filed = kept(job, *entries)
        return dict(renumbered(filed, "n.yaml", power_plan(Harness(settle(filed)))))

    assert moved() == moved(from_unit) == moved(from_unit, WORK) == {}
    assert moved(WORK, answer("old.3.amps", "2")) == {}
    before, now = power_plan(Harness(job)), power_plan(Harness(settle(kept(job, from_unit))))
    found = moved(WORK, from_unit)
    gone = next(step for step in before if "machine's own switch on for" in step.do)
    assert found[gone.n] == (gone, None)
    asleep = before[-1]
    assert found[asleep.n][1] == now[-1].n != asleep.n
    assert "another step now" in refused_numbers(found).message
    assert moved(WORK, from_unit, WORK) == {}


def test_numbers_of_an_older_list_are_asked_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is saved, the numbers are told, and `--renumbered` stands to those of the new list."""
    made(tmp_path)
    book = tmp_path / "job-notebook.yaml"
    work = '  - {kind: stop-passed, stop: battery, by: RK, second: AM, date: "2026-01-02"}\n'
    said = '  - {kind: answer, about: old.3.flow, answer: from-unit, by: RK, date: "2026-01-02"}\n'
    book.write_text(f"wiremap: notebook/1\nentries:\n{work}{said}", "utf-8")
    (tmp_path / "typed.txt").write_text("1 done\n", "utf-8")
    call = ["ringout", str(tmp_path / "job.yaml"), "--power", "--save", "--by", "RK", "--readings"]
    call.append(str(tmp_path / "typed.txt"))
    assert main(call) == 2
    assert "another step now" in capsys.readouterr().err
    assert "first power" not in book.read_text("utf-8")
    assert main([*call, "--renumbered"]) == 1
    assert "first power: 1. " in book.read_text("utf-8")
