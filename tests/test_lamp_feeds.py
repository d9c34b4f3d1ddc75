"""The fuse of a lamp is asked for where the machine feeds it; who feeds it is asked where no paper says."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from wiremap.evidence.settle import settle
from wiremap.files import load_job
from wiremap.model import Entry, EntryKind, Job, Notebook
from wiremap.survey.questions import questions

PAPER = "wiremap: pinout/1\ntitle: {}\ncavities:\n  1: {{signal: Work lamp, function: lamp-feed{}}}\n  2: ground\n"
JOB = """wiremap: job/1
title: lamps
supply: {volts: 12}
ends:
  old: {pinout: old.yaml, is: cut-tail, side: machine}
  new: {pinout: new.yaml, is: pigtail, side: unit}
circuits:
  - {id: lamp, join: [old.1, new.1]}
not_joined:
  old.2: {why: not used, treat: cap}
  new.2: {why: not used, treat: cap}
"""


def lamp_job(folder: Path, flow: str, *, joined: bool = True) -> Job:
    text = JOB
    if not joined:
        text = text.replace(
            "  - {id: lamp, join: [old.1, new.1]}\n", "  - {id: g, join: [old.2, new.2]}\n"
        )
        text = text.replace("  old.2:", "  old.1:").replace("  new.2:", "  new.1:")
    for name in ("old", "new"):
        (folder / f"{name}.yaml").write_text(PAPER.format(name, flow), "utf-8")
    (folder / "job.yaml").write_text(text, "utf-8")
    read = load_job(folder / "job.yaml").value
    assert read is not None
    return settle(read)


def asked(of: Job) -> set[str]:
    return {each.about for each in questions(of) if each.about.startswith("old.1.")}


@pytest.mark.parametrize(
    ("flow", "fuse", "who"),
    [(", flow: to-unit", True, False), (", flow: from-unit", False, False), ("", False, True)],
)
def test_only_what_the_machine_feeds_has_a_fuse_there(
    tmp_path: Path, flow: str, fuse: bool, who: bool
) -> None:
    """A unit's output is protected by the unit (common practice)."""
    found = asked(lamp_job(tmp_path, flow))
    assert ("old.1.fuse_amps" in found) is fuse
    assert ("old.1.flow" in found) is who


def test_what_is_left_out_is_not_asked_about(tmp_path: Path) -> None:
    assert not asked(lamp_job(tmp_path, "", joined=False))


@pytest.mark.parametrize(("said", "fuse"), [("to-unit", True), ("from-unit", False)])
def test_the_answer_leads_to_the_fuse_or_past_it(tmp_path: Path, said: str, fuse: bool) -> None:
    entry = Entry(
        kind=EntryKind.ANSWER, by="RK", date="2026-03-02", about="old.1.flow", answer=said
    )
    told = settle(replace(lamp_job(tmp_path, ""), notebooks=(Notebook("n.yaml", (entry,)),)))
    found = asked(told)
    assert ("old.1.fuse_amps" in found) is fuse and "old.1.flow" not in found
