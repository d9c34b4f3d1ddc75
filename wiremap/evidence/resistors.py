"""A terminator that the job puts across a pair at its joints, told by an answer.

An answer about `old.10.resistor`, the high half, says ohms and watts, or that there is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import count
from typing import NamedTuple

from wiremap.entries.numbers import figure
from wiremap.evidence.answer_figures import FIGURES
from wiremap.evidence.terminators import NONE, TERMINATOR, low_half
from wiremap.graph import fingerprint
from wiremap.model import Address, Cavity, Circuit, End, Extra, ExtraKind, Job, frozen

RESISTOR = "resistor"
EXAMPLE = "120 ohm, 0.25 W"
WORDS = f"the ohms and the watts of a resistor across the pair (as {EXAMPLE}), or {NONE}"


class ToldResistor(NamedTuple):
    """A resistor as a person tells it."""

    ohms: float
    watts: float


def told_resistor(text: str) -> ToldResistor | None:
    """The resistor that a text tells; None where it tells no ohms or no watts."""
    match text.split(","):
        case [one, other]:
            ohms = figure(one.strip(), FIGURES[TERMINATOR])
            watts = figure(other.strip(), FIGURES["watts"])
            return None if ohms is None or watts is None else ToldResistor(ohms, watts)
    return None


def tells_resistor(text: str) -> bool:
    """Whether a text tells a resistor, or that there is none."""
    return text.strip().casefold() == NONE or told_resistor(text) is not None


def joints_across(job: Job, end: End, high: Cavity) -> tuple[Circuit, Circuit] | None:
    """The circuits of the two halves of a pair, at whose joints a resistor can lie; None where the
    pair is not joined.
    """
    low = low_half(end, high)
    if low is None:
        return None
    of_high = circuit_of(job, Address(end.name, high.name))
    of_low = circuit_of(job, Address(end.name, low))
    if of_high is None or of_low is None or of_high is of_low:
        return None
    return of_high, of_low


def with_resistor(job: Job, end: End, high: Cavity, text: str) -> Job:
    """The job with a resistor as it was told; the same job where it has it already."""
    told, across = told_resistor(text), joints_across(job, end, high)
    if told is None or across is None:
        return job
    if _has_resistor(job, across):
        return job
    part = Extra(
        name=free_name(job, "R"),
        kind=ExtraKind.RESISTOR,
        ohms=told.ohms,
        watts=told.watts,
        answered=True,
    )
    legs = dict(zip((circuit.id for circuit in across), part.legs, strict=True))
    for circuit in across:
        job = with_join(job, circuit, (*circuit.join, legs[circuit.id]))
    return replace(job, extras=frozen({**job.extras, part.name: part}))


def with_join(job: Job, circuit: Circuit, join: tuple[Address, ...]) -> Job:
    """The job with other points in a circuit; who settled it as it stood has settled it."""
    places = circuit.join_places if join[: len(circuit.join)] == circuit.join else ()
    new = replace(circuit, join=join, join_places=places)
    circuits = (new if each is circuit else each for each in job.circuits)
    stood, stands = fingerprint(circuit.join), fingerprint(join)
    confirmed = (
        replace(each, of=stands) if (each.circuit, each.of) == (circuit.id, stood) else each
        for each in job.confirmed
    )
    return replace(job, circuits=tuple(circuits), confirmed=tuple(confirmed))


def as_filed(job: Job, circuit: Circuit) -> tuple[Address, ...]:
    """The points of a circuit without the legs of resistors that an answer added."""
    return tuple(_as_filed(job, circuit, ()))


def _as_filed(job: Job, circuit: Circuit, through: tuple[str, ...]) -> Iterator[Address]:
    """The file's own points, those behind a part that an answer put into a wire as well."""
    for point in circuit.join:
        part = job.extras.get(point.end)
        if part is None or not part.answered:
            yield point
        elif part.before is not None and part.name not in through:
            legs = set(part.legs) - {point}
            for other in job.circuits:
                if legs & set(other.join):
                    yield from _as_filed(job, other, (*through, part.name))


def _has_resistor(job: Job, across: tuple[Circuit, Circuit]) -> bool:
    """Whether a resistor lies across already, by the file or by this answer."""
    one, other = (set(circuit.join) for circuit in across)
    return any(
        (a in one and b in other) or (a in other and b in one)
        for a, b in (p.legs for p in job.extras.values() if p.kind is ExtraKind.RESISTOR)
    )


def free_name(job: Job, letter: str) -> str:
    """A name for a part that nothing of the job bears."""
    taken = {*job.extras, *job.ends}
    return next(name for number in count(1) if (name := f"{letter}{number}") not in taken)


def circuit_of(job: Job, point: Address) -> Circuit | None:
    """The circuit that joins a point; None if none does."""
    return next((circuit for circuit in job.circuits if point in circuit.join), None)
