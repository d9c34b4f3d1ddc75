"""One answer laid over what the files say; nothing is overwritten, every claim is kept."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wiremap.entries.face_words import read_face
from wiremap.entries.numbers import figures
from wiremap.entries.told_readings import tells_basis
from wiremap.evidence.allowed import NAMES, WORDS, YES
from wiremap.evidence.answer_figures import FIGURES, figure_of
from wiremap.evidence.cavity_lookup import claim_of
from wiremap.evidence.confirmed import circuit_at, one_port_answer
from wiremap.evidence.new_wires import filled_up, wired_circuit, with_new_wire
from wiremap.evidence.parts_between import part_between, with_part_between
from wiremap.evidence.parts_told import with_part
from wiremap.evidence.resistors import RESISTOR, with_resistor
from wiremap.evidence.supply_answered import FED, supply_with, surroundings_with, with_feed
from wiremap.evidence.terminators import TERMINATOR, with_terminator
from wiremap.evidence.told_twist import UNTWISTED, with_untwisted
from wiremap.evidence.told_work import HELD, TREATED, with_work
from wiremap.files.wires import BadWire, parse_wire
from wiremap.model import (
    Address,
    Basis,
    Cavity,
    Claim,
    Confirmed,
    End,
    Entry,
    Half,
    Job,
    LookedAt,
    OnOff,
    Wire,
    frozen,
    split,
)
from wiremap.naming import Meaning, read_signal
from wiremap.trade.functions import called, normalise

NUMBERS = frozenset({"amps", "peak_amps", "asleep_amps", "kbit_s", "volts_ac", "pwm_hz", "limit_C"})


def laid_over(job: Job, about: str, entry: Entry) -> Job:
    """The job with one answer applied; unchanged if it says nothing that counts there.

    An answer about a cavity names its function (`loom.12: analogue-input`) or one key of it
    (`loom.1.amps: 3`); about `end.SWITCH` it says on or off; about a circuit's id or its points
    it confirms the circuit, with `.wire` behind the points it tells its new wire, with
    `.supported` that its joints are held, with `.diode` or `.resistor` what goes between them;
    `loom.14.treat` tells what is done with a contact left out; further `end.tail_mm`,
    `supply.volts`, `surroundings.wet` and their like.
    """
    owner, rest = split(about)
    text = entry.answer.strip()
    circuit = circuit_at(job, about)
    if circuit is not None:
        return _with_confirmation(job, circuit.id, entry)
    wired = wired_circuit(job, about)
    if wired is not None:
        return with_new_wire(job, wired, text)
    between = part_between(job, about)
    if between is not None:
        return with_part_between(job, between, text)
    if about.endswith((HELD, TREATED)):
        return with_work(job, about, entry, yes=text.casefold() in YES)
    if owner in job.extras:
        return with_part(job, about, text)
    if owner in job.ends:
        return _with_answer_at_end(job, job.ends[owner], rest, entry)
    if any(circuit.id == about for circuit in job.circuits):
        return _with_confirmation(job, about, entry)
    if owner == "supply":
        return replace(job, supply=supply_with(job.supply, rest, text))
    if owner == "surroundings":
        return replace(job, surroundings=surroundings_with(job.surroundings, rest, text))
    return job


def with_cavity(job: Job, address: str, **changes: Any) -> Job:
    """The job with one cavity changed."""
    owner, name = split(address)
    end = job.ends[owner]
    cavities = dict(end.pinout.cavities)
    cavities[name] = replace(cavities[name], **changes)
    return _with_end(job, replace(end, pinout=replace(end.pinout, cavities=frozen(cavities))))


def _with_end(job: Job, end: End) -> Job:
    return replace(job, ends=frozen({**job.ends, end.name: end}))


def _with_confirmation(job: Job, circuit_id: str, entry: Entry) -> Job:
    if entry.answer.strip().casefold() not in YES or not entry.by.strip():
        return job
    spoken_of = next(circuit for circuit in job.circuits if circuit.id == circuit_id)
    said = [
        Confirmed(circuit=each.id, by=entry.by, date=entry.date, how=entry.how, place=entry.place)
        for each in one_port_answer(job, spoken_of)
    ]
    fresh = [known for known in said if known not in job.confirmed]
    return replace(job, confirmed=(*job.confirmed, *fresh)) if fresh else job


def _with_answer_at_end(job: Job, end: End, rest: str, entry: Entry) -> Job:
    pinout, text = end.pinout, entry.answer.strip()
    if rest in pinout.switches:
        return _with_switch(job, end, rest, text)
    if rest in pinout.cavities:
        return _with_function(job, end, pinout.cavities[rest], entry)
    name, _, key = rest.partition(".")
    if name in pinout.cavities:
        return _with_cavity_key(job, end, pinout.cavities[name], key, entry)
    if rest == "face":
        return _with_face(job, end, text)
    if rest == "face.view":
        return _with_face_view(job, end, text)
    value = figure_of(rest, text)
    if rest == "tail_mm" and value is not None:
        return _with_end(job, replace(end, tail_mm=value))
    return job


def _with_switch(job: Job, end: End, name: str, text: str) -> Job:
    word = text.casefold()
    if word not in tuple(OnOff):
        return job
    return _with_end(job, replace(end, switches=frozen({**end.switches, name: OnOff(word)})))


def _with_face(job: Job, end: End, text: str) -> Job:
    """The face as somebody told it; what its paper draws stays."""
    connector = end.pinout.connector
    read = read_face(text, end.pinout.cavities)
    drawn = connector.face is not None and connector.face.place is not None
    if isinstance(read, str) or drawn:
        return job
    half = end.pinout.half or Half.WIRED
    told = replace(end.pinout, connector=replace(connector, face=read), half=half)
    return _with_end(job, replace(end, pinout=told))


def _with_face_view(job: Job, end: End, text: str) -> Job:
    face, word = end.pinout.connector.face, text.casefold()
    if face is None or word not in tuple(LookedAt):
        return job
    seen = replace(face, view=LookedAt(word))
    connector = replace(end.pinout.connector, face=seen)
    return _with_end(job, replace(end, pinout=replace(end.pinout, connector=connector)))


# -- what a cavity is -----------------------------------------------------------------------------


def _with_function(job: Job, end: End, cavity: Cavity, entry: Entry) -> Job:
    slug = normalise(entry.answer.strip())
    if slug is None or not entry.by.strip():
        return job
    old = claim_of(end, cavity, entry.place)
    claims = (old, *cavity.also)
    same = next((claim for claim in claims if claim.reading.function == slug), None)
    return with_cavity(
        job,
        Address(end.name, cavity.name),
        reading=replace(same.reading if same else _answered(cavity, slug, entry), settled=True),
        basis=_best_basis(claims, slug, entry),
        source=same.source if same else f"{entry.by}, {entry.date}",
        also=tuple(claim for claim in claims if claim.reading.function != slug),
        signal=_signal(cavity, claims, slug),
    )


def _answered(cavity: Cavity, slug: str, entry: Entry) -> Meaning:
    """The meaning of a contact's wording with the function that was answered."""
    because = f"{entry.by}: {entry.how or entry.answer.strip()}"
    return replace(read_signal(cavity.signal, stated=slug), how="answer", because=(because,))


def _best_basis(claims: tuple[Claim, ...], slug: str, entry: Entry) -> Basis:
    measured = entry.volts is not None or entry.ohms is not None
    known = [claim.basis for claim in claims if claim.reading.function == slug]
    known.append(Basis.MEASURED if measured else Basis.TOLD)
    return max(known, key=lambda basis: basis.rank)


def _signal(cavity: Cavity, claims: tuple[Claim, ...], slug: str) -> str:
    for claim in claims:
        if claim.reading.function == slug and claim.signal:
            return claim.signal
    if slug == cavity.function or not cavity.signal:
        return cavity.signal
    if slug in cavity.reading.may_be:  # the words may mean that too
        return f"{cavity.signal} ({called(slug)})"
    # the old name alone would tell the reader of another signal
    return f"{called(slug)} (paper: {cavity.signal})"


def _with_cavity_key(job: Job, end: End, cavity: Cavity, key: str, entry: Entry) -> Job:
    text = entry.answer.strip()
    if key == "function":
        return _with_function(job, end, cavity, entry)
    if key == RESISTOR:
        return with_resistor(job, end, cavity, text)
    if key == UNTWISTED:
        return with_untwisted(job, end, cavity, text)
    if key == TERMINATOR:
        return _with_end(job, with_terminator(end, cavity, text))
    if key in FED:
        return _with_end(job, with_feed(end, cavity.name, key, text))
    value = _value(key, text, named=bool(entry.by.strip()))
    if value is None:
        return job
    if isinstance(value, Wire) and cavity.wire is not None:
        value = filled_up(value, cavity.wire)
    return with_cavity(job, Address(end.name, cavity.name), **{key: value})


def _value(key: str, text: str, *, named: bool) -> Any:
    """The value of a cavity's key; None if the text states none. A basis takes a named person."""
    if key == "volts":
        return figures(text, FIGURES["volts"])
    if key in NUMBERS:
        return figure_of(key, text)
    if key == "wire":
        wire = parse_wire(text, None, None)
        return None if isinstance(wire, BadWire) else wire
    if key in WORDS:
        return WORDS[key](text.casefold())
    if key in NAMES:
        return text
    if key == "basis" and named:
        return _basis(text)
    return None


def _basis(text: str) -> Basis | None:
    """How a statement is known: by what a meter showed, or in one of the list's words."""
    if tells_basis(text):
        return Basis.MEASURED
    return next((basis for basis in Basis if basis == text), None)
