"""What was measured at a contact is known, and a value stated twice is kept both ways."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wiremap.evidence import measured_volts, settle
from wiremap.model import Address, Entry, EntryKind, Flow, Job, Notebook, OnOff, frozen
from wiremap.naming import Meaning

WHO = {"by": "RK", "date": "2026-03-02"}


def settled_with(job: Job, *entries: Entry) -> Job:
    return settle(replace(job, notebooks=(Notebook("notebook.yaml", entries),)))


def volts(point: str, value: float, key: OnOff, **more: str) -> Entry:
    black = (Address("battery minus"),)
    return Entry(
        kind=EntryKind.SURVEY,
        red=(Address.read(point),),
        black=black,
        volts=value,
        key=key,
        **WHO,
        **more,
    )


@pytest.mark.parametrize(
    ("value", "live"), [(5.5, False), (5.6, True), (-0.5, False), (-0.6, True), (24.7, True)]
)
def test_a_contact_is_live_beyond_what_a_signal_shows(
    unread_demo: Job, value: float, live: bool
) -> None:
    """5 V and half a volt, or half a volt below zero: no signal, reference, bus or guard."""
    found = measured_volts(settled_with(unread_demo, volts("loom.12", value, OnOff.ON)))
    assert (found[Address("loom.12")].is_live, found[Address("loom.12")].volts) == (live, value)


def test_a_later_nothing_does_not_take_a_live_reading_away(unread_demo: Job) -> None:
    """What was live once may be so again: the reading farthest from zero stays."""
    job = settled_with(
        unread_demo, volts("loom.12", 24.7, OnOff.OFF), volts("loom.12", 0.0, OnOff.OFF)
    )
    assert measured_volts(job)[Address("loom.12")].volts == 24.7


def test_probes_exchanged_are_turned_round(unread_demo: Job) -> None:
    """The contact under the black probe reads below zero what it has above."""
    turned = replace(
        volts("loom.12", -24.6, OnOff.ON), red=(Address("chassis"),), black=(Address("loom.12"),)
    )
    assert measured_volts(settled_with(unread_demo, turned))[Address("loom.12")].volts == 24.6


def test_what_the_paper_accounts_for_is_expected(unread_demo: Job) -> None:
    """Volts belong on a supply, not on a sensor's signal."""
    job = settled_with(
        unread_demo, volts("loom.1", 12.6, OnOff.OFF), volts("loom.12", 12.6, OnOff.OFF)
    )
    found = measured_volts(job)
    assert found[Address("loom.1")].expected
    assert not found[Address("loom.12")].expected


def test_an_answer_keeps_what_the_file_stated(unread_demo: Job) -> None:
    """A fuse of two ratings: the notebook's counts, the job's is kept beside it."""
    answer = Entry(kind=EntryKind.ANSWER, about="loom.1.fuse_amps", answer="7.5", **WHO)
    job = settled_with(unread_demo, answer)
    assert [(r.about, r.paper, r.answer) for r in job.replaced] == [
        ("loom.1.fuse_amps", "5", "7.5")
    ]
    assert settle(job).replaced == job.replaced


def test_an_answer_that_says_as_much_is_no_second_value(unread_demo: Job) -> None:
    """The same rating twice, or what the file left out, replaces nothing."""
    answers = [
        Entry(kind=EntryKind.ANSWER, about="loom.1.fuse_amps", answer="5 A", **WHO),
        Entry(kind=EntryKind.ANSWER, about="supply.volts", answer="12", **WHO),
        Entry(kind=EntryKind.ANSWER, about="surroundings.bundle", answer="4 wires", **WHO),
    ]
    assert settled_with(unread_demo, *answers).replaced == ()


@pytest.mark.parametrize(("flow", "expected"), [(Flow.TO_UNIT, True), (Flow.FROM_UNIT, False)])
def test_a_line_that_the_machine_feeds_may_be_live(
    unread_demo: Job, flow: Flow, expected: bool
) -> None:
    """A lamp's feed from the machine, not a lamp that the unit feeds (unit unplugged)."""
    loom = unread_demo.ends["loom"]
    cavities = dict(loom.pinout.cavities)
    cavities["3"] = replace(cavities["3"], reading=Meaning("lamp-feed"), flow=flow, volts=None)
    pinout = replace(loom.pinout, cavities=frozen(cavities))
    job = replace(
        unread_demo, ends=frozen({**unread_demo.ends, "loom": replace(loom, pinout=pinout)})
    )
    found = measured_volts(settled_with(job, volts("loom.3", 12.4, OnOff.ON)))
    assert found[Address("loom.3")].expected is expected
