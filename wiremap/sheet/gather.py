"""From a job's path to all that a sheet is made from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from wiremap.base import Finding
from wiremap.sheet.given import Given

if TYPE_CHECKING:
    from wiremap.graph import Harness


def gather(path: Path, method: str = "near") -> tuple[Given | None, tuple[Finding, ...]]:
    """Everything about a job that a sheet can show, or None with the faults that say why it could not be read."""
    from wiremap.evidence import settle
    from wiremap.files import load_job
    from wiremap.graph import Harness

    loaded = load_job(path)
    if loaded.value is None:
        return None, loaded.findings
    harness = Harness(settle(loaded.value))
    return given_of(harness, loaded.findings, method), loaded.findings


def given_of(harness: Harness, findings: tuple[Finding, ...], method: str = "near") -> Given:
    """The inputs of a sheet, worked out from a settled job's graph."""
    from wiremap.evidence import boxes
    from wiremap.ringout.plan import plan
    from wiremap.sizing.job import size_job

    counted = boxes(harness)
    return Given(harness, findings, counted["surveyed"], counted["rung_out"], size_job(harness), plan(harness, method))
