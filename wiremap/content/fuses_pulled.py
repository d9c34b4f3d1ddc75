"""Each of the machine's fuses out for a moment: the wire that it is said to feed goes dead."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.joint_ends import dead_reading, fuses_before, tapped
from wiremap.content.joint_work import TO_WRITE, joint_order
from wiremap.content.steps import Step, Steps
from wiremap.content.words import listed
from wiremap.evidence.expected import Quantity
from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.model import OnOff
from wiremap.survey.rows import Survey


def own_fuses(given: Given, survey: Survey) -> Iterator[Steps]:
    """Each fuse out for a moment, while what it feeds is live."""
    steps = tuple(_feeds_proved(given))
    turned = any(row.key == OnOff.ON for row in survey.block("volts"))
    if steps:
        title = "Its own fuse out, ignition still on" if turned else "Its own fuse out"
        yield Steps(title=title, steps=steps, whole=True)


def left_out(given: Given) -> Iterator[Steps]:
    """The fuse of each wire in service out for good, the sleep current being read with it in."""
    steps = tuple(_service_proved(given))
    if steps:
        title = "The fuse of a wire in service out, battery still on"
        yield Steps(title=title, steps=steps, whole=True)


def _service_proved(given: Given) -> Iterator[Step]:
    """While it is live: that the fuse taken out is the one that feeds a wire in service."""
    off, on = _live(given, OnOff.OFF), _live(given, OnOff.ON)
    for joint in joint_order(given):
        for address in tapped(given, joint):
            out = fuses_before(given, address)
            if not out:
                continue
            how = "live first, by its own switch if it has one, battery on"
            if address in off:
                how = "battery on, ignition off"
            elif address in on:
                how = "battery on, ignition on for this row"
            sits = f"{out}, which sits at {TO_WRITE}, taken out"
            text = f"{how}: {sits}: dead, so it is the right one; it stays out"
            yield dead_reading(address, text)


def _live(given: Given, key: OnOff) -> set[str]:
    """The contacts that the survey wants live, the ignition off or on."""
    rows = given.survey.block(Quantity.VOLTS) if given.survey else ()
    plain = [row for row in rows if row.key == key and row.state is None]
    return {row.red for row in plain if row.low is not None and row.low > DEAD_VOLTS}


def _feeds_proved(given: Given) -> Iterator[Step]:
    """Each fuse of the machine's pulled once: the wire that it is said to feed goes dead."""
    read = {end.name for end in given.surveyed_ends}
    rows = given.survey.block(Quantity.VOLTS) if given.survey else ()
    live = {row.red for row in rows if row.low is not None and row.low > DEAD_VOLTS}
    for fuse in given.fuses_out:
        points = [given.harness.points[address] for address in fuse.feeds]
        feeds = [p.address for p in points if p.owner in read and not p.is_tap]
        if fuse.own or not feeds:
            continue
        which = fuse.out if fuse.named else "its fuse, found so"
        text = f"{which} out: dead, so nothing else feeds it; back in, at {TO_WRITE}"
        if not live.issuperset(feeds):
            text = f"live first, by its own switch if it has one; {text}, that switch off again"
        yield dead_reading(listed(*feeds), text)
