"""A fault inside a unit against the grounds it flows back by, each share by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from sizing_jobs import spreader
from test_small_jobs import FOLDER, checked, read

from wiremap.sizing.job import size_job


def test_of_two_grounds_each_may_carry_the_whole_fault() -> None:
    feed = size_job(spreader()).feed("loom.1")
    shares = {(wire.unit, wire.subject): wire.share for wire in feed.grounds}
    assert shares == {("donor", "donor.1"): 1, ("donor", "donor.2"): 1, ("donor", "loom.2"): 1}


def test_of_three_grounds_one_is_taken_as_open(tmp_path: Path) -> None:
    """1, 0.75 and 0.75 mm2 of one length: the 1 mm2 open, two share alike, one told for both; else 1 / 1.75."""
    small = read(FOLDER / "three_grounds_share.yaml")
    files = {**small.files, "unit.yaml": small.files["unit.yaml"].replace("0.75 BK,", "1 BK,")}
    job = checked(replace(small, files=files), tmp_path)
    (feed,) = size_job(job.harness).feeds
    shares = {wire.subject: wire.share for wire in feed.grounds}
    assert shares == pytest.approx({"unit.2": 1 / 1.75, "unit.3": 0.5, "loom.2": 1})
