"""What is proven between the ring-out and the sleeves: tapped wires, grounds, and the
switches of terminators by the ohms of each bus half.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wiremap.content.bus import bus_halves, mated_reading
from wiremap.content.given import Given
from wiremap.content.joint_places import joints_of
from wiremap.content.probe_steps import clips_off
from wiremap.content.steps import Slot, Step
from wiremap.content.words import listed, ohms_band
from wiremap.evidence.meter import BOLTED_OHMS
from wiremap.graph import Reach
from wiremap.model import CHASSIS, Span
from wiremap.ringout.bunch import bunches
from wiremap.ringout.probe import Probe
from wiremap.survey.later import BOLTED, OWN_FACE, LaterReading

WHOLE = Span(0.0, BOLTED_OHMS)  # what a way that is whole shows


@dataclass(frozen=True, slots=True, kw_only=True)
class Proving:
    """A deed, or a reading with what is read; either as its step on paper."""

    step: Step
    reading: LaterReading | None = None


def proving(given: Given) -> list[Proving]:
    """Each deed and reading, in the order of the hands; none for an adapter, whose grounds and
    buses are met at first power.
    """
    if given.adapter:
        return []
    proven = list(taps_read(given))
    for stud in studs(given):
        proven += grounds_bolted(given, stud)
    return [*proven, *switches_proven(given)]


def clips_taken_off(probes: Iterable[Probe]) -> list[Proving]:
    """The clips of a ring-out off and counted, once for each size of bunch."""
    steps = [clips_off(bunch) for bunch in bunches(probes).values() if bunch.ends]
    return [Proving(step=step) for step in dict.fromkeys(steps)]


def taps_read(given: Given) -> Iterator[Proving]:
    """Each wire in service through its T, read at its own connector."""
    for joint in given.harness.joints.values():
        for address in joint.points if joint.tap else ():
            black = _behind(given, address)
            if given.harness.points[address].is_tap and black:
                text = f"{OWN_FACE}, breakout lead in, then out for good: the T is whole"
                yield _as_if_bolted(address, black, OWN_FACE, text)


def _as_if_bolted(red: str, black: str, state: str, text: str) -> Proving:
    """A reading of no more ohms than a bolted joint has."""
    step = Step(
        at=f"{red} – {black}",
        text=text,
        want=ohms_band(WHOLE.low, WHOLE.high),
        slot=Slot.BLANK,
        unit="Ω",
        reading=True,
    )
    reading = LaterReading(red=red, black=black, state=state, low=WHOLE.low, high=WHOLE.high)
    return Proving(step=step, reading=reading)


def _behind(given: Given, address: str) -> str:
    """A contact behind the T that a probe gets to: of a face, or of an empty holder."""
    harness = given.harness
    points = [point for point in harness.sections.of(address).points if point != address]
    return next((p for p in points if harness.reach(p) in (Reach.FACE, Reach.HOLDER)), "")


def studs(given: Given) -> list[str]:
    """The studs that the job grounds something at."""
    found = [extra.name for extra in given.job.extras.values() if extra.is_stud]
    return [name for name in found if given.harness.circuits_at(name)]


def grounds_bolted(given: Given, stud: str) -> Iterator[Proving]:
    """Each ground at a stud: a deed that bolts it, and its reading against the machine."""
    for circuit in given.circuits([stud]):
        for point in given.points(circuit):
            if point.cavity is None:
                continue
            words = "ring bolted for good, bare metal, a place of its own, grease over it"
            yield Proving(step=Step(at=stud, text=words))
            yield _as_if_bolted(point.address, CHASSIS, BOLTED, BOLTED)


def switches_proven(given: Given) -> Iterator[Proving]:
    """Each half of the bus with its units mated, battery still off.

    With all faces mated it is read at the bare joints of its legs.
    """
    halves = [half for half in bus_halves(given) if half.unit]
    if not halves:
        return
    units = [half.unit for half in halves] + [half.plugged for half in halves if half.plugged]
    named = listed(*dict.fromkeys(units))
    words = "mated, if all above is right; battery and fuses still out"
    yield Proving(step=Step(at=named, text=words))
    for half in halves:
        at = " and ".join(joints_of(given, half.legs))
        with_it = f"new unit plugged into {half.plugged}" if half.plugged else ""
        note = listed(with_it, f"at {at}" if at else "")
        yield Proving(step=mated_reading(half.with_unit, note), reading=half.with_unit)
    yield Proving(step=Step(at=named, text="unmated again"))
