"""Parts of a job told anew by an answer: a fuse's amps, a resistor's watts, a lead's wire."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from wiremap.evidence.answer_figures import figure_of
from wiremap.evidence.new_wires import NEW_WIRE, told_wire
from wiremap.model import Address, Circuit, Extra, ExtraKind, Job, Leg, frozen, split
from wiremap.sizing.fuse_limits import FAMILIES

TELLS: Mapping[ExtraKind, str] = MappingProxyType(
    {ExtraKind.FUSE: "fuse_amps", ExtraKind.DIODE: "amps", ExtraKind.RESISTOR: "watts"}
)  # what an answer may say of a part


FORM = "form"  # of a fuse


def form_asked(job: Job, about: str) -> bool:
    """Whether an address speaks of the form of a fuse of the job (`F1.form`)."""
    owner, key = split(about)
    part = job.extras.get(owner)
    return key == FORM and part is not None and part.is_fuse


def figure_asked(job: Job, about: str) -> str:
    """Which figure of a part an address speaks of (`F1.fuse_amps`); empty if of none."""
    owner, key = split(about)
    part = job.extras.get(owner)
    return key if part is not None and TELLS.get(part.kind) == key else ""


def lead_of(job: Job, about: str) -> Address | None:
    """The joined leg of a part whose lead an address speaks of (`F1.a.wire`); None if of none."""
    point = Address.read(about.removesuffix(NEW_WIRE))
    if not about.endswith(NEW_WIRE) or point.end not in job.extras:
        return None
    return point if any(point in circuit.join for circuit in job.circuits) else None


def with_part(job: Job, about: str, text: str) -> Job:
    """The job with a part, or the lead of one, as it was told; unchanged if nothing counts."""
    name, _ = split(about)
    if form_asked(job, about):
        return _with_form(job, job.extras[name], text.casefold())
    key = figure_asked(job, about)
    if key:
        value = figure_of(key, text)
        return job if value is None else _with_figure(job, job.extras[name], key, value)
    point = lead_of(job, about)
    if point is None or told_wire(text) is None:
        return job
    circuits = (_with_lead(c, point, text) if point in c.join else c for c in job.circuits)
    return replace(job, circuits=tuple(circuits))


def _with_form(job: Job, part: Extra, form: str) -> Job:
    if form not in FAMILIES:
        return job
    return replace(job, extras=frozen({**job.extras, part.name: replace(part, detail=form)}))


def _with_figure(job: Job, part: Extra, key: str, value: float) -> Job:
    told = replace(part, amps=value, size_wanted=False)
    if key == TELLS[ExtraKind.RESISTOR]:
        told = replace(part, watts=value)
    return replace(job, extras=frozen({**job.extras, part.name: told}))


def _with_lead(circuit: Circuit, point: Address, text: str) -> Circuit:
    """A circuit with the wire of one of its leads; of two points that wire is the circuit's."""
    told = told_wire(text)
    assert told is not None
    if len(circuit.join) == 2:
        length = circuit.length_mm if told.length_mm is None else told.length_mm
        return replace(circuit, wire=told.wire, length_mm=length)
    leg = circuit.legs.get(point, Leg())
    length = leg.length_mm if told.length_mm is None else told.length_mm
    new = replace(leg, wire=told.wire, length_mm=length)
    return replace(circuit, legs=frozen({**circuit.legs, point: new}))
