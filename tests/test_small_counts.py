"""Counts, places and rounding that a step more or less would change: by hand, at the step and beside it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo_jobs import DEMO

from wiremap.files import load_job
from wiremap.files.faults import Faults
from wiremap.files.strict import Scalar
from wiremap.files.values import TEXT, unknown_key
from wiremap.firstpower.lamp import Lamp
from wiremap.model import Job
from wiremap.model.quantities import Span
from wiremap.share.ways import _joined_by_one
from wiremap.survey.alike import _overlapping

PATHS = ("one.yaml", "two.yaml")


@pytest.mark.parametrize(
    ("watts", "volts", "amps"),
    [(21.0, 12.0, 1.8), (23.9, 12.0, 2.0), (24.0, 12.0, 2.0), (24.1, 12.0, 2.1)],
)
def test_a_feed_for_a_lamp_is_told_in_tenths_upwards(
    watts: float, volts: float, amps: float
) -> None:
    """Amps are watts over volts: 21 W at 12 V are 1.75 A."""
    assert amps == Lamp(watts=watts, volts=volts, or_feed=True).feed_amps


def test_only_loads_whose_bands_meet_are_grouped() -> None:
    first, apart = ("a", Span(1.0, 2.0)), ("b", Span(2.1, 3.0))
    between, beyond = ("c", Span(2.0, 2.1)), ("d", Span(3.1, 4.0))
    assert [first] == _overlapping([first, apart])
    assert [first, apart, between] == _overlapping([first, apart, between, beyond])


def test_a_contact_that_one_way_alone_joins_is_told_beside_that_way() -> None:
    read = load_job(DEMO / "adapter" / "job.yaml").value
    assert isinstance(read, Job)
    unit = {name for name, end in read.ends.items() if end.side == "unit"}
    circuit = next(c for c in read.circuits if any(point.end in unit for point in c.join))
    fewer = replace(read, circuits=tuple(c for c in read.circuits if c is not circuit))
    alone = tuple(
        f"{read.ends[point.end].pinout.title}, contact {point.cavity}"
        for point in sorted(circuit.join, key=str)
        if point.end in unit
    )
    assert {PATHS[0]: alone} == _joined_by_one((read, fewer), PATHS)
    assert {PATHS[1]: alone} == _joined_by_one((fewer, read), PATHS)


@pytest.mark.parametrize(
    ("key", "rule"),
    [
        ("title:lamps", "missing-space"),
        ("lamps:title", "unknown-key"),
        ("title:title", "missing-space"),
    ],
)
def test_a_missing_space_is_told_of_a_known_key_before_the_colon(key: str, rule: str) -> None:
    faults = Faults("job.yaml")
    unknown_key(faults, Scalar(key, 1, 1, plain=True), {"title": TEXT})
    assert [rule] == [found.rule for found in faults.findings]
