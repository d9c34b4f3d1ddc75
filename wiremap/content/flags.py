"""Wire flags: which there are, and as a table for a label printer."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import NamedTuple

from wiremap.content.given import Given
from wiremap.content.wire_work import new_as_cut
from wiremap.content.words import listed, signal_words, spaced, wire_words
from wiremap.graph import Conductor
from wiremap.model import Circuit
from wiremap.share.cells import formula_safe


class FlagRow(NamedTuple):
    """The flag of one wire's end."""

    circuit: str
    near: str
    far: str
    wire: str
    signal: str


def flag_rows(given: Given) -> Iterator[FlagRow]:
    """A flag for every wire's end, in the order in which the wires come to hand.

    First the wires that lie in the harness, face by face, capped ones too; then the new wires as
    they are cut, two flags each.  Of an adapter, which is begun at the bench, the new wires come
    first.
    """
    there, new = list(_there(given)), list(_new(given))
    yield from (*new, *there) if given.adapter else (*there, *new)


def _there(given: Given) -> Iterator[FlagRow]:
    """The flags of the wires that the ends bring, cavity after cavity."""
    capped = {point.address for point in given.treated("cap")}
    for address, point in given.harness.points.items():
        if point.cavity is None:
            continue
        words = wire_words(point.cavity.wire), signal_words(point)
        if address in capped:
            yield FlagRow("", address, "capped", *words)
        if not (point.brings_lead or point.is_tap):
            continue
        for circuit in given.circuits([address]):
            if given.refused_points(circuit):
                continue
            yield FlagRow(circuit.id, address, _far(circuit, address), *words)
            yield from _into_contacts(given, circuit, address)


def _into_contacts(given: Given, circuit: Circuit, tail: str) -> Iterator[FlagRow]:
    """The flags of a tail's other end, where that goes into a contact without a joint."""
    for conductor in given.harness.conductors_by_circuit.get(circuit.id, ()):
        if conductor.point == tail:
            others = (node for node in given.loose_ends(conductor) if node != tail)
            yield from (_of_end(given, circuit, conductor, node) for node in others)


def _new(given: Given) -> Iterator[FlagRow]:
    """The two flags of each new wire, as the wires are cut."""
    for conductor in new_as_cut(given):
        circuit = given.harness.circuit(conductor.circuit)
        ends = list(given.loose_ends(conductor))
        if len(ends) == 1:  # its other end lies in a joint: both flags name the one contact
            ends *= 2
        yield from (_of_end(given, circuit, conductor, node) for node in ends)


def _of_end(given: Given, circuit: Circuit, conductor: Conductor, address: str) -> FlagRow:
    """The flag of one end of a wire."""
    words = wire_words(conductor.wire), signal_words(given.harness.points[address])
    return FlagRow(circuit.id, address, _far(circuit, address), *words)


def _far(circuit: Circuit, address: str) -> str:
    """Where else a circuit goes."""
    return listed(*(other for other in circuit.join if other != address))


def job_mark(given: Given) -> str:
    """Which job and revision a flag belongs to."""
    job = given.job
    revision = "" if job.revision is None else f"r{job.revision}"
    return spaced(job.id or job.title, revision)


def flags_csv(given: Given) -> bytes:
    """The flags as a table: UTF-8 with a byte-order mark, formulas disarmed by an apostrophe."""
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    job = given.job
    revision = "" if job.revision is None else str(job.revision)
    writer.writerow(("job", "revision", *FlagRow._fields))
    for row in flag_rows(given):
        cells = (job.id or job.title, revision, *row)
        writer.writerow([formula_safe(" ".join(cell.split())) for cell in cells])
    return out.getvalue().encode("utf-8-sig")
