"""The two halves of a cut bus: where each is read, its switch, and what it must show."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.steps import Slot, Step
from wiremap.content.words import ohms_band
from wiremap.evidence.meter import displayed
from wiremap.model import End, OnOff, Side, Span, Switch
from wiremap.survey.rows import Terminator


@dataclass(frozen=True, slots=True)
class SwitchSet:
    """A terminator switch of an in-line unit, and how the job wants it."""

    end: str
    name: str
    stands: OnOff | None
    delivered: OnOff | None


@dataclass(frozen=True, slots=True)
class BusHalf:
    """One half of a bus at its cut: the terminator question, its switch, the in-line unit."""

    question: Terminator
    switch: SwitchSet | None
    unit: str  # the in-line unit between the halves; empty where there is none
    mated: Span  # ohms that it must show once that unit is mated


def bus_halves(given: Given) -> tuple[BusHalf, ...]:
    """Each half whose two legs the job joins."""
    if given.survey is None:
        return ()
    found = []
    for question in given.survey.terminators:
        legs = (question.red, question.black)
        if all(given.harness.circuits_at(leg) for leg in legs):
            found.append(_half(given, question))
    return tuple(found)


def _half(given: Given, question: Terminator) -> BusHalf:
    ends = list(_between(given, question))
    switch = next((s for end in ends for s in _switches(given, end, question)), None)
    unit = ends[0].name if ends else ""
    ohms = displayed(given.harness.ohms(question.red, question.black))
    return BusHalf(question, switch, unit, ohms)


def _between(given: Given, question: Terminator) -> Iterator[End]:
    """The in-line units that a leg of this half goes to."""
    for circuit in given.circuits([question.red]):
        for point in given.points(circuit):
            if point.end is not None and point.end.side == Side.BETWEEN:
                yield point.end


def _switches(given: Given, end: End, question: Terminator) -> Iterator[SwitchSet]:
    """The switch across the port that this half goes to."""
    for switch in end.pinout.switches.values():
        if _across(given, end, switch, question):
            stands = end.switches.get(switch.name)
            yield SwitchSet(end.name, switch.name, stands, switch.delivered)


def _across(given: Given, end: End, switch: Switch, question: Terminator) -> bool:
    legs = {question.red, question.black}
    for cavity in (switch.a, switch.b):
        circuits = given.circuits([f"{end.name}.{cavity}"])
        if not any(legs.intersection(circuit.join) for circuit in circuits):
            return False
    return True


def mated_reading(half: BusHalf) -> Step:
    """The ohms of one half of the bus with its unit mated."""
    return Step(
        at=f"{half.question.red} – {half.question.black}",
        text=f"{half.unit} mated",
        want=ohms_band(half.mated.low, half.mated.high),
        slot=Slot.BLANK,
        unit="Ω",
        reading=True,
    )
