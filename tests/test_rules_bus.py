"""Rules of buses over jobs that the case of a rule does not hold."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from wiremap.check import check

CASE = Path(__file__).parent / "cases" / "pair-parted"


@pytest.mark.parametrize("names", ["pair and segment", "segment"])
def test_a_low_wire_at_two_ports_is_told_at_the_port_without_its_high_one(
    names: str, tmp_path: Path
) -> None:
    """Port A has both halves, as it must (ISO 11898-2): that the low one is at port B too is the fault."""
    folder = shutil.copytree(CASE, tmp_path / "case")
    job, gateway = folder / "bad.yaml", folder / "gateway.yaml"
    lines = [
        line for line in job.read_text("utf-8").splitlines() if "id: b-" not in line
    ]  # port B left open
    both = "\n".join(lines).replace("[loom.6, gateway.4]", "[loom.6, gateway.2, gateway.4]")
    job.write_text(both + "\n", "utf-8")
    if names == "segment":
        paper = gateway.read_text("utf-8").replace(" pair: a,", "").replace(" pair: b,", "")
        gateway.write_text(paper, "utf-8")
    findings = check([job]).jobs[0].findings
    told = [found.message for found in findings if found.rule == "pair-parted"]
    assert len(told) == 1
    assert "gateway.1 (Port A high)" in told[0] and "gateway.4 (Port B low)" in told[0]
