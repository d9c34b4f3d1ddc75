"""What is asked of circuits: whether both are one signal, and whom a contact goes with."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wiremap.evidence.confirmed import JOINT, LEFT_ALONE, PARTNER, confirmed_circuits
from wiremap.evidence.expected import electrical
from wiremap.evidence.partners import denial_of, denied
from wiremap.model import Address, Job, Need, Side
from wiremap.survey.question import Question, of_table


def of_circuits(job: Job) -> Iterator[Question]:
    """The circuits that a proposal could not settle, and nobody has."""
    settled = confirmed_circuits(job)
    said = denied(job)
    for circuit in job.circuits:
        if denial_of(circuit, said) is not None:
            continue
        if circuit.grade == "ask" and circuit.id not in settled:
            points = JOINT.join(circuit.join)
            doubts = [reason for reason in circuit.because if reason.startswith("open:")]
            told = "; ".join(reason.removeprefix("open:").strip() for reason in doubts)
            yield of_table("circuit", points, points=points, doubts=told or "nothing tells it")


def of_partners(job: Job) -> Iterator[Question]:
    """Contacts to whose circuit somebody has said no, and what a unit needs and has been left
    out.
    """
    said = denied(job)
    against = {}
    for circuit in job.circuits:
        entry = denial_of(circuit, said)
        if entry is not None:
            points = JOINT.join(circuit.join)
            against[circuit.join[0]] = f"{points} are not one signal ({entry.by}, {entry.date})"
    needs = "is left out, and a unit needs each of its supplies and grounds"
    left_out = {point: f"{point} {needs}" for point in _left_out(job)}
    if not against and not left_out:
        return
    from wiremap.propose.likeliest import likeliest  # a tenth of the start, seldom needed

    for point, told in (left_out | against).items():
        near = (*likeliest(job, point), LEFT_ALONE)
        asked = of_table("partner", f"{point}{PARTNER}", near, at=point, told=told)
        yield replace(asked, against=point in against)


def _left_out(job: Job) -> Iterator[Address]:
    """Supplies and grounds of units that the job leaves out, unless their paper lets it."""
    for point in job.not_joined:
        end = job.ends.get(point.end)
        cavity = end.pinout.cavities.get(point.cavity) if end else None
        if end is None or cavity is None or end.side is not Side.UNIT:
            continue
        own = electrical(cavity) == "supply" or cavity.function == "power-ground"
        if cavity.need is Need.MUST or (own and "need" not in cavity.places):
            yield point
