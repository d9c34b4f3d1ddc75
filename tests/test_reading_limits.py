"""Every limit of readings with a hand meter, of the survey and of first power: at it, below, above.

The figures are typed here from the trade, not read from the tables: common practice, but for the
terminators and the levels of a bus, which are ISO 11898-2's (the levels from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from wiremap.entries.numbers import read_seen
from wiremap.entries.power_lines import TypedPower, taken_apart
from wiremap.entries.survey_lines import Shown, shown
from wiremap.evidence import expected, meter
from wiremap.evidence.apart import BUS, FEED, GROUND, LEAST_OHMS, VOLTS
from wiremap.evidence.measured import QUIET
from wiremap.files import load_job
from wiremap.firstpower.figures import _wrong
from wiremap.firstpower.loads import LoadedTests
from wiremap.firstpower.step import PowerStage, PowerStep
from wiremap.mistakes.drawn import Drawn
from wiremap.model import Address, Entry, EntryKind, Job, Seen, Span, Supply
from wiremap.survey.later import LaterReading, LaterVerdict
from wiremap.survey.loaded import lamp_watts
from wiremap.trade.limits import limit
from wiremap.trade.tables import table

DEMO = Path(__file__).parents[1] / "pinouts_demo"
Within = Callable[[float], bool]
RED, BLACK = Address("a", "1"), Address("a", "2")
BEEP = Entry(kind=EntryKind.PROBE, seen=Seen.BEEP)
SILENT = Entry(kind=EntryKind.PROBE, seen=Seen.SILENT)


def read(ohms: float) -> Entry:
    return Entry(kind=EntryKind.SURVEY, red=(RED,), black=(BLACK,), ohms=Span.of(ohms))


def verdict(reading: LaterReading, entry: Entry) -> LaterVerdict:
    return reading.verdict([entry])


def dead(volts: float) -> bool:
    """Whether volts between two points leave their ohms to be read."""
    entry = replace(read(1), volts=volts)
    return verdict(LaterReading(red=RED, black=BLACK), entry) is not LaterVerdict.LIVE


def bolted(ohms: float) -> bool:
    """Whether a ground goes well with the frame that it is bolted to."""
    reading = LaterReading(red=RED, black=BLACK, low=0.0, high=meter.BOLTED_OHMS)
    return verdict(reading, read(ohms)) is LaterVerdict.FITS


def one_metal(ohms: float) -> bool:
    """Whether two nets that meet outside at so many ohms read as one."""
    sound = SimpleNamespace(between=lambda *_: Span.of(ohms))
    nets = SimpleNamespace(tied={1: {2}}, sound=sound, close_to=lambda _: {2})
    return Drawn.inseparable(cast("Drawn", nets), 1, 2)


def within(band: Span) -> Within:
    return lambda value: Span.of(value).overlaps(band)


def demo_of(volts: float) -> Job:
    """The demo on a machine of which one voltage is stated."""
    job = load_job(DEMO / "job.yaml").value
    assert job is not None
    return replace(job, supply=Supply(volts=volts))


def machine(volts: float) -> Span:
    """The volts of a machine of which one voltage is stated, at rest and while charging."""
    found = expected.machine_volts(demo_of(volts))
    assert found is not None
    return found


def rested(volts: float) -> Span:
    """The volts of a machine of which one voltage is stated, while nothing charges."""
    found = expected.rested_volts(demo_of(volts))
    assert found is not None
    return found


def coil(volts: float) -> Span:
    """What is usual of a coil on a machine of so many volts: 200 ohm at 12 V, four times at 24."""
    return expected.coil_of(demo_of(volts))


def calm(expected_volts: float) -> bool:
    """Whether a contact of which so much is expected is not told as one that is fed."""
    step = PowerStep(stage=PowerStage.VOLTS, do="")
    return "too many volts" not in _wrong(step, Span.of(expected_volts), 99.0)


def lost(ohms: float) -> float | None:
    """The most volts that a way of so many ohms may lose to a lamp of 1 A at 12 V."""
    stub = SimpleNamespace(faces=SimpleNamespace(volts=12.0), _sized_ohms=lambda *_, **__: ohms)
    return LoadedTests._most_lost(cast(Any, stub), cast(Any, None), 1.0, back=False).volts


AT_MOST: list[tuple[str, float, Within]] = [
    ("silent-sure", 50.0, lambda ohms: meter.fits(BEEP, Span.of(ohms))),
    ("leads", 0.5, lambda ohms: meter.fits(read(0), Span.of(ohms))),
    ("meter-share", 102.5, lambda ohms: meter.fits(read(100), Span.of(ohms))),
    ("short", 1.5, lambda ohms: meter.is_short(read(ohms))),
    ("bolted", 1.0, bolted),
    ("leads", 1.0, one_metal),
    ("dead", 0.1, dead),
    ("most-volts", 2000.0, lambda v: isinstance(taken_apart(f"{v:.6f} V", ()), TypedPower)),
    ("most-volts", 2000.0, lambda v: isinstance(said(f"{v:.6f} V off"), Shown)),
    ("most-amps", 1000.0, lambda a: isinstance(taken_apart(f"{a:.6f} A", ()), TypedPower)),
    ("most-ohms", 1000.0, lambda m: isinstance(read_seen(f"{m:.6f}M"), Span)),
    ("live", 1.0, calm),
    ("terminator", 130.0, within(expected.TERMINATOR)),
    ("ground", 0.5, within(expected.GROUND)),
    ("loop", 2.0, within(expected.LOOP)),
    ("coil", 200.0, within(expected.COIL)),
    ("filament", 200.0, within(expected.FILAMENT)),
    ("coil-volts", 800.0, lambda ohms: Span.of(ohms).overlaps(coil(24))),
    ("sender", 9000.0, within(expected.SENDER)),
    ("quiet", 5.5, within(QUIET)),
    ("zero", 0.1, within(expected.ZERO)),
    ("bus-high", 3.5, within(expected.AWAKE["can-high"])),
    ("bus-low", 3.0, within(expected.AWAKE["can-low"])),
    ("bus-high-any", 3.6, within(expected.ASLEEP_OR_AWAKE["can-high"])),
    ("bus-low-any", 3.1, within(expected.ASLEEP_OR_AWAKE["can-low"])),
    ("stated-load", 110.0, within(expected.as_found(Span.of(100)))),
    ("supply-high", 15.0, within(machine(12))),
    ("rested", 13.2, within(rested(12))),
]

AT_LEAST: list[tuple[str, float, Within]] = [
    ("beep-sure", 20.0, lambda ohms: meter.fits(SILENT, Span.of(ohms))),
    ("meter-share", 97.5, lambda ohms: meter.fits(read(100), Span.of(ohms))),
    ("open", 500_000.0, lambda ohms: meter.is_silent(read(ohms))),
    ("open", 500_000.0, lambda ohms: read_seen(f">{ohms:.6f}") == Span(math.inf, math.inf)),
    ("lamp-of-fuse", 3.5, lambda amps: lamp_watts(12, amps) == 21),
    ("lamp-of-fuse", 10 / 6, lambda amps: lamp_watts(12, amps) == 10),
    ("dead", -0.1, dead),
    ("terminator", 100.0, within(expected.TERMINATOR)),
    ("coil", 2.0, within(expected.COIL)),
    ("reference", 100.0, within(expected.REFERENCE)),
    ("filament", 0.5, within(expected.FILAMENT)),
    ("lamp", 0.5, within(expected.LAMP)),
    ("sender", 20.0, within(expected.SENDER)),
    ("pulses", 9000.0, within(expected.PULSES)),
    ("pickup", 200.0, within(expected.PICKUP)),
    ("floating", 10_000.0, within(expected.FLOATING)),
    ("feed-apart", 10.0, within(LEAST_OHMS[FEED, GROUND])),
    ("bus-apart", 150.0, within(LEAST_OHMS[BUS, FEED])),
    ("forward", -0.1, within(VOLTS[FEED, GROUND])),
    ("quiet", -0.5, within(QUIET)),
    ("zero", -0.1, within(expected.ZERO)),
    ("bus-high", 2.0, within(expected.AWAKE["can-high"])),
    ("bus-low", 1.5, within(expected.AWAKE["can-low"])),
    ("bus-high-any", -0.1, within(expected.ASLEEP_OR_AWAKE["can-high"])),
    ("bus-low-any", -0.1, within(expected.ASLEEP_OR_AWAKE["can-low"])),
    ("stated-load", 90.0, within(expected.as_found(Span.of(100)))),
    ("supply-low", 10.8, within(machine(12))),
    ("rested", 12.0, within(rested(12))),
]


def said(words: str) -> Shown | str:
    return shown(words, has_black=False, states=())


@pytest.mark.parametrize(("name", "most", "holds"), AT_MOST)
def test_up_to_its_greatest_value(name: str, most: float, holds: Within) -> None:
    """Just below and at the limit yes, just above no."""
    step = 1e-5 * max(1.0, abs(most))
    found = (holds(most - step), holds(most), holds(most + step))
    assert found == (True, True, False), name


@pytest.mark.parametrize(("name", "least", "holds"), AT_LEAST)
def test_down_to_its_least_value(name: str, least: float, holds: Within) -> None:
    """Just below the limit no, at it and just above yes."""
    step = 1e-5 * max(1.0, abs(least))
    found = (holds(least - step), holds(least), holds(least + step))
    assert found == (False, True, True), name


def test_constants_that_are_no_limits() -> None:
    """Each against its printed value; a tenth more or less is seen."""
    assert meter.NOISE_VOLTS == 0.5
    assert lamp_watts(None, None) == 5
    assert [lost(ohms) for ohms in (0.01, 0.5)] == [pytest.approx(0.1), pytest.approx(0.6)]
    assert limit("insulation-C") == Job(title="", path="", ends={}, circuits=()).limit_C() == 85
    assert limit("kept-plug-tail-mm") == 150
    assert limit("twist-turn-mm") == 20


def test_every_row_is_held_here() -> None:
    """A new row of these tables needs a boundary."""
    held = {name for name, _, _ in (*AT_MOST, *AT_LEAST)}
    held |= {"noise", "guard-lamp", "least-lost", "charging"}
    held |= {"again-asleep", "least-asleep", "clamp-reverse"}  # printed: tests/test_sheet_proofs.py
    held |= {"near-battery", "ground-beyond"}  # printed: tests/test_battery_at_rest.py
    rows = [*table("survey.toml").section("share")]
    for file in ("meter.toml", "survey.toml", "first_power.toml"):
        rows += table(file).rows
    assert {row["name"] for row in rows} == held


def test_few_ohms_are_told_in_tenths() -> None:
    """A display shows no hundredths that its leads would not swallow; the band is rounded outwards."""
    assert meter.displayed(Span.of(0.95)) == Span(0.4, 1.5)
    assert meter.displayed(Span.of(1234)) == Span(1200, 1300)
