"""Wire flags: which there are, and as a table for a label printer."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import NamedTuple

from wiremap.content.given import Given
from wiremap.content.joint_work import joint_order
from wiremap.content.reaches import twisted
from wiremap.content.words import listed, signal_words, spaced, wire_words
from wiremap.model import Circuit
from wiremap.share.cells import neutral


class FlagRow(NamedTuple):
    """The flag of one wire's end."""

    circuit: str
    near: str
    far: str
    wire: str
    signal: str


def flag_rows(given: Given) -> Iterator[FlagRow]:
    """A flag for every wire's end as the wires are cut, those of capped wires too."""
    for circuit in _as_cut(given):
        points = given.points(circuit)
        for point in points:
            if point.cavity is None:
                continue
            far = listed(*(other.address for other in points if other is not point))
            wire = circuit.wire
            if point.brings_lead or point.is_tap:
                wire = point.cavity.wire
            words = wire_words(wire), signal_words(point)
            yield FlagRow(circuit.id, point.address, far, *words)
        yield from _other_ends(given, circuit)
    for point in given.treated("cap"):
        if point.cavity is not None:
            words = wire_words(point.cavity.wire), signal_words(point)
            yield FlagRow("", point.address, "capped", *words)


def _as_cut(given: Given) -> list[Circuit]:
    """The circuits as their wires are cut: of an adapter those with joints first, pairs last."""
    if not given.adapter:
        return list(given.worked)
    pairs = twisted(given)
    single = [circuit.id for circuit in given.worked if circuit.id not in pairs]
    jointed = [joint.circuit for joint in joint_order(given)]
    order = list(dict.fromkeys((*jointed, *single, *pairs)))
    return sorted(given.worked, key=lambda circuit: order.index(circuit.id))


def _other_ends(given: Given, circuit: Circuit) -> Iterator[FlagRow]:
    """The flags of a new wire's other ends: at a joint as at its contact, holder, ring."""
    for conductor in given.harness.conductors_by_circuit.get(circuit.id, ()):
        if conductor.origin != "new":
            continue
        ends = [given.harness.points[a] for a in given.loose_ends(conductor)]
        bare = [point for point in ends if point.cavity is None]
        at_joint = ends[:1] if len(ends) == 1 else []
        for point in (*bare, *at_joint):
            others = [a for a in circuit.join if a != point.address]
            words = wire_words(conductor.wire), signal_words(point)
            yield FlagRow(circuit.id, point.address, listed(*others), *words)


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
        writer.writerow([neutral(" ".join(cell.split())) for cell in cells])
    return out.getvalue().encode("utf-8-sig")
