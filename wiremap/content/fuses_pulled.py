"""Each of the machine's fuses out for a moment: the wire that it is said to feed goes dead."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_ends import dead_reading, fuses_before, tapped
from wiremap.content.joint_work import TO_WRITE, joint_order, said_step
from wiremap.content.steps import Step, Steps
from wiremap.content.words import listed
from wiremap.evidence.expected import Quantity
from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.model import OnOff

FEED_OUT, FEED_OUT_IGNITION_ON = "Its own fuse out", "Its own fuse out, ignition still on"
SERVICE_OUT = "The fuse of a wire in service out, battery still on"
ITS_PLACE = f", which sits at {TO_WRITE},"


@dataclass(frozen=True, slots=True)
class FusePull:
    """One fuse out: the wires that go dead then, the step that says so, the heading over it."""

    points: tuple[str, ...]
    step: Step
    title: str

    @property
    def deed(self) -> str:
        """How it is kept once it is done."""
        return said_step(self.step)

    @property
    def words(self) -> str:
        """What is done, without what is written in by hand."""
        return self.step.text.replace(ITS_PLACE, "")


def feeds_proved(given: Given) -> Iterator[Steps]:
    """Each fuse out for a moment, while what it feeds is live."""
    yield from _under_heading(feed_pulls(given))


def service_fuses_out(given: Given) -> Iterator[Steps]:
    """The fuse of each wire in service out for good, the sleep current being read with it in."""
    yield from _under_heading(service_pulls(given))


def _under_heading(pulls: Iterable[FusePull]) -> Iterator[Steps]:
    """Fuses under one heading, if there are any."""
    found = tuple(pulls)
    if found:
        yield Steps(title=found[0].title, steps=tuple(pull.step for pull in found), whole=True)


def service_pulls(given: Given) -> Iterator[FusePull]:
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
            text = f"{how}: {out}{ITS_PLACE} taken out: dead, so it is the right one; it stays out"
            yield FusePull((address,), dead_reading(address, text), SERVICE_OUT)


def _live(given: Given, key: OnOff) -> set[str]:
    """The contacts that the survey wants live, the ignition off or on."""
    rows = given.survey.block(Quantity.VOLTS) if given.survey else ()
    plain = [row for row in rows if row.key == key and row.state is None]
    return {row.red for row in plain if row.low is not None and row.low > DEAD_VOLTS}


def feed_pulls(given: Given) -> Iterator[FusePull]:
    """Each fuse of the machine's pulled once: the wire that it is said to feed goes dead."""
    read = {end.name for end in given.surveyed_ends}
    rows = given.survey.block(Quantity.VOLTS) if given.survey else ()
    live = {row.red for row in rows if row.low is not None and row.low > DEAD_VOLTS}
    title = FEED_OUT_IGNITION_ON if any(row.key == OnOff.ON for row in rows) else FEED_OUT
    for fuse in given.fuses_out:
        points = [given.harness.points[address] for address in fuse.feeds]
        feeds = [p.address for p in points if p.owner in read and not p.is_tap]
        if fuse.own or not feeds:
            continue
        which = fuse.out if fuse.named else "its fuse, found so"
        text = f"{which}{ITS_PLACE} out: dead, so nothing else feeds it; back in"
        if not live.issuperset(feeds):
            text = f"live first, by its own switch if it has one; {text}, that switch off again"
        yield FusePull(tuple(feeds), dead_reading(listed(*feeds), text), title)
