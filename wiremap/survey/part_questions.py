"""What is asked where a contact's words name a diode or a resistor that nobody has put there."""

from __future__ import annotations

import re
from collections.abc import Iterator

from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import BETWEEN_POINTS
from wiremap.evidence.expected import electrical
from wiremap.evidence.parts_between import part_between
from wiremap.evidence.resistors import RESISTOR, as_filed
from wiremap.model import Cavity, Circuit, ExtraKind, Job
from wiremap.survey.question import Question, of_table

_NAMED = re.compile(r"(?<!photo)(?<!photo-)\b(diode|resistor)", re.IGNORECASE)
_OHMS = re.compile(r"\d\s*k?\s*(?:ohms?\b|\u03a9|\u2126)", re.IGNORECASE)
OWN_OHMS = frozenset({"input", "bus", "reference"})  # a sensor's ohms, a bus's terminator


def of_named_parts(job: Job) -> Iterator[Question]:
    """The circuits at which a paper speaks of a part that the job does not have there."""
    for circuit in job.circuits:
        points = as_filed(job, circuit)
        for point in points:
            known = cavity_of(job, point)
            kind = _named(known.cavity) if known else ""
            about = f"{BETWEEN_POINTS.join((points[0], points[-1]))}.{kind}"
            part = part_between(job, about) if kind else None
            if part is None or known is None or part.kind in _kinds(job, circuit):
                continue
            told = {"at": point, "signal": known.cavity.signal, "part": kind}
            yield of_table("named_part", about, **told, example=part.example)
            break


def _named(cavity: Cavity) -> str:
    """The part that the words of a contact name; empty if none."""
    found = _NAMED.search(cavity.signal)
    if found:
        return found[1].casefold()
    return RESISTOR if _OHMS.search(cavity.signal) and electrical(cavity) not in OWN_OHMS else ""


def _kinds(job: Job, circuit: Circuit) -> set[ExtraKind]:
    """The kinds of part that a circuit leads to."""
    return {job.extras[point.end].kind for point in circuit.join if point.end in job.extras}
