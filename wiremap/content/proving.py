"""What is proven between the last reading of the ring-out and the sleeves: grounds and switches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.bus import bus_halves, mated_reading
from wiremap.content.given import Given
from wiremap.content.steps import Slot, Step
from wiremap.content.words import listed, ohms_band
from wiremap.model import CHASSIS
from wiremap.survey.later import BOLTED, LaterReading

BOLTED_OHMS = 1.0  # at most, from a ground contact to the frame it is bolted to


@dataclass(frozen=True, slots=True, kw_only=True)
class Proving:
    """A deed, or a reading with what is read; either as its step on paper."""

    step: Step
    reading: LaterReading | None = None


def proving(given: Given) -> list[Proving]:
    """All of it, in the order of the hands; nothing on the bench."""
    if given.adapter:
        return []
    found: list[Proving] = []
    for stud in studs(given):
        found += bolted(given, stud)
    return [*found, *switches_proven(given)]


def studs(given: Given) -> list[str]:
    """The studs that the job grounds something at."""
    found = [extra.name for extra in given.job.extras.values() if extra.kind == "stud"]
    return [name for name in found if given.harness.circuits_at(name)]


def bolted(given: Given, stud: str) -> Iterator[Proving]:
    """A ground that is bolted now, and read against the machine."""
    for circuit in given.circuits([stud]):
        for point in given.points(circuit):
            if point.cavity is None:
                continue
            words = "ring bolted for good, bare metal, a place of its own"
            yield Proving(step=Step(at=stud, text=words))
            step = Step(
                at=f"{point.address} – {CHASSIS}",
                text=BOLTED,
                want=ohms_band(0.0, BOLTED_OHMS),
                slot=Slot.BLANK,
                unit="Ω",
                reading=True,
            )
            reading = LaterReading(
                red=point.address, black=CHASSIS, state=BOLTED, low=0.0, high=BOLTED_OHMS
            )
            yield Proving(step=step, reading=reading)


def switches_proven(given: Given) -> Iterator[Proving]:
    """Each half of the bus with the in-line unit mated, battery still off."""
    halves = [half for half in bus_halves(given) if half.unit]
    units = listed(*dict.fromkeys(half.unit for half in halves))
    if not units:
        return
    words = "mated for these readings, battery and fuses still out"
    yield Proving(step=Step(at=units, text=words))
    for half in halves:
        yield Proving(step=mated_reading(half.with_unit), reading=half.with_unit)
    yield Proving(step=Step(at=units, text="unmated again"))
