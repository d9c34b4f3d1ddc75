"""A ground of the machine is one ground, however many ways lead from it to the chassis."""

from __future__ import annotations

from pathlib import Path

import pytest

from wiremap.evidence import settle
from wiremap.files import load_job
from wiremap.graph import Harness
from wiremap.rules import run

PAPER = """
wiremap: pinout/1
title: {title}
letters: iec
cavities:
  1: {{signal: Ground, function: power-ground, wire: 1 BN, basis: measured}}
  2: {{signal: Shield, function: shield, wire: 0.5 BK, basis: measured}}
{behind}
"""
JOB = """
wiremap: job/1
title: drain
ends:
  old: {pinout: old.yaml, is: cut-tail, side: machine, tail_mm: 300}
  new: {pinout: new.yaml, is: pigtail, side: unit, tail_mm: 300}
circuits:
  - {id: earth, join: [old.1, new.1, new.2]}
not_joined:
  old.2: {why: "left open at this end", treat: cap}
"""


@pytest.mark.parametrize("behind", ["", "behind: [{between: [1, chassis], ohms: 0.2}]"])
def test_a_drain_on_a_machines_ground_is_grounded_once(tmp_path: Path, behind: str) -> None:
    """Stated or taken as usual, the way from the contact to the chassis is no second ground."""
    (tmp_path / "old.yaml").write_text(PAPER.format(title="old", behind=behind).strip() + "\n")
    (tmp_path / "new.yaml").write_text(PAPER.format(title="new", behind="").strip() + "\n")
    (tmp_path / "job.yaml").write_text(JOB.strip() + "\n")
    job = load_job(tmp_path / "job.yaml").value
    assert job is not None
    found = [f.message for f in run(Harness(settle(job))) if f.rule == "drain-grounds"]
    assert not any("behind" in message or "inside old" in message for message in found), found
