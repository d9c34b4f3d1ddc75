"""Wires that a job makes anew, told by an answer: `old.1 - new.3.wire: 1.0 RD, 400 mm`."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from wiremap.evidence.answer_figures import figure_of
from wiremap.evidence.confirmed import circuit_at
from wiremap.files.wires import BadWire, describe, parse_wire, same_wire
from wiremap.model import Circuit, Job, Wire

NEW_WIRE = ".wire"  # behind the points of a circuit: its new wire is spoken of
THICKEST_MM2 = 120  # our own sanity limit
WORDS = "size in mm2 (up to 120) and colour of the wire, and its length"
EXAMPLE = "1.0 RD, 400 mm"
_COMMA = re.compile(r"\A(\d+),(?=\d)")
_LENGTH = re.compile(r"[,;]?\s+(\d+(?:[.,]\d+)?\s*(?:mm|cm|m)|\d{2,})\Z")


@dataclass(frozen=True, slots=True)
class ToldWire:
    """A wire as a person tells it, its length if that is told too [mm]."""

    wire: Wire
    length_mm: float | None


def wired_circuit(job: Job, about: str) -> Circuit | None:
    """The circuit whose new wire an answer speaks of; None if it speaks of none."""
    if not about.endswith(NEW_WIRE):
        return None
    return circuit_at(job, about.removesuffix(NEW_WIRE))


def told_wire(text: str) -> ToldWire | None:
    """What a text tells of a wire; None without a size, or without a colour or the word bare."""
    length = length_in(text)
    wire = wire_in(text)
    if wire is None or not is_whole(wire) or (_LENGTH.search(text) and length is None):
        return None
    return ToldWire(wire, length)


def length_in(text: str) -> float | None:
    """The length that stands behind a wire, in mm where no unit is said; None if none does."""
    found = _LENGTH.search(text)
    return figure_of("length_mm", found[1].replace(",", ".")) if found else None


def wire_in(text: str) -> Wire | None:
    """The wire of a text that may tell its length behind; None where it cannot be read."""
    wire = _parsed(text)
    return None if isinstance(wire, BadWire) else wire


def _parsed(text: str) -> Wire | BadWire:
    """The wire of a text that may tell its length behind."""
    found = _LENGTH.search(text)
    return parse_wire(_COMMA.sub(r"\1.", text[: found.start()] if found else text), None, None)


def why_no_wire(text: str) -> str:
    """What of a text could not be read as a wire, and how to write it; empty if nothing."""
    wire = _parsed(text)
    if not isinstance(wire, BadWire):
        return ""
    return f"{wire.message}; {'write the colour as a word' if wire.colour else wire.fix}"


def wrong_wire(about: str, text: str) -> str:
    """What is wrong with a wire that was typed, in brackets; empty for any other answer."""
    why = why_no_wire(text) if about.endswith(NEW_WIRE) else ""
    return f" ({why})" if why else ""


def tells_wire(text: str) -> bool:
    """Whether a text tells a wire whole."""
    return told_wire(text) is not None


def names_wire(text: str) -> bool:
    """Whether a text names a size or a colour of a wire; a number alone may be anything."""
    wire = parse_wire(text, None, None)
    if isinstance(wire, BadWire):
        return False
    is_told = wire.colour is not None or wire.bare
    if wire.csa_mm2 is None:
        return is_told
    return (is_told or any(map(str.isalpha, text))) and wire.csa_mm2 <= THICKEST_MM2


def is_whole(wire: Wire) -> bool:
    """Whether a wire has a size that there is, and a colour or none by intent."""
    sized = wire.csa_mm2 is not None and 0 < wire.csa_mm2 <= THICKEST_MM2
    return sized and (wire.colour is not None or wire.bare)


def with_new_wire(job: Job, circuit: Circuit, text: str) -> Job:
    """The job with the wire of one circuit as it was told."""
    told = told_wire(text)
    if told is None:
        return job
    length = circuit.length_mm if told.length_mm is None else told.length_mm
    wired = replace(circuit, wire=told.wire, length_mm=length)
    circuits = tuple(wired if each is circuit else each for each in job.circuits)
    return replace(job, circuits=circuits)


def lacks_wire(job: Job, circuit: Circuit) -> bool:
    """Whether a circuit takes a new wire of which size or colour is not told."""
    if circuit.wire is not None:
        return not is_whole(circuit.wire)
    bare = [point for point in circuit.join if _brings_none(job, point.end)]
    if len(circuit.join) == 2:
        return bare == list(circuit.join)
    return any(point not in circuit.legs or circuit.legs[point].wire is None for point in bare)


def _brings_none(job: Job, name: str) -> bool:
    """Whether the contacts of an end come without a wire to join."""
    end = job.ends.get(name)
    return end is not None and not end.is_tap and not end.has_tail


def filled_up(told: Wire, filed: Wire) -> Wire:
    """A wire as it was told, with what only the file says of it; as told if the two differ."""
    if not same_wire(told, filed):
        return told
    found = replace(
        told,
        colour=told.colour or filed.colour,
        tinned=told.tinned or filed.tinned,
        wall=told.wall or filed.wall,
        outside_mm=told.outside_mm or filed.outside_mm,
    )
    if told.csa_mm2 is None:
        found = replace(found, csa_mm2=filed.csa_mm2, gauge=filed.gauge, doubtful=filed.doubtful)
    return found if found == told else replace(found, written=describe(found))
