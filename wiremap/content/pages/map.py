"""The map: every wire across the cut, and what stays out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import groupby
from operator import attrgetter

from wiremap.content.given import Given
from wiremap.content.joint_work import NO_END_RANK, SIDE_RANK
from wiremap.content.pieces import (
    Block,
    LeftOutRow,
    RefusedRow,
    Section,
    TextPiece,
    WireEnd,
    WireRow,
    WireTable,
)
from wiremap.content.stages import Page, Stage
from wiremap.content.words import (
    LEAVE,
    PLUG,
    TREAT,
    lays_wire,
    listed,
    point_wire,
    signal_words,
    wire_words,
)
from wiremap.graph import Point
from wiremap.model import Address, Circuit

REFUSED = (
    "restraint or high-voltage circuit: no work is printed for it. Do not cut, probe or join it."
)
ACROSS = " across the cut"
PLUGS_FROM = "left: the machine's plugs; right: the unit's"
SAME = "the same wire"


def map_section(given: Given) -> Section:
    """The map: every wire across the cut, then every cavity that stays out."""
    blocks: list[Block] = [wire_table(given)]
    left = list(_folded(_left_out_row(given, point) for point in given.harness.not_joined()))
    if left:
        blocks += [TextPiece("Not joined, and what becomes of each", strong=True), *left]
    return Section(
        key="map",
        title="The map: one row for each wire" + (", plug to plug" if given.adapter else ACROSS),
        drawn_from=PLUGS_FROM if given.adapter else "",
        blocks=tuple(blocks),
        whole=True,
    )


def wire_table(given: Given) -> WireTable:
    """Every circuit as rows across the cut."""
    rows: list[WireRow | RefusedRow] = []
    for circuit in given.job.circuits:
        refused = given.refused_points(circuit)
        if refused:
            rows.append(RefusedRow(circuit.id, tuple(refused), REFUSED))
        else:
            rows += _rows(given, circuit)
    wires = [row for row in rows if isinstance(row, WireRow)]
    left = _ends(given, (row.left for row in wires))
    right = _ends(given, (row.right for row in wires))
    here = "machine's plugs" if given.adapter else "left of the cut"
    there = "unit's plugs" if given.adapter else "right"
    return WireTable(
        f"{here}: {left}" if left else here,
        f"{there}: {right}" if right else there,
        tuple(rows),
    )


def _ends(given: Given, sides: Iterable[WireEnd]) -> str:
    """Which ends stand on one side of the cut."""
    names = {Address.read(side.point).end for side in sides}
    return listed(*(name for name in given.job.ends if name in names))


def _rows(given: Given, circuit: Circuit) -> Iterator[WireRow]:
    points = sorted(given.points(circuit), key=_side)
    ends = [_end(given, circuit, point) for point in points]
    first_point = next(iter(points), None)
    new = first_point is not None and lays_wire(circuit, first_point)
    left, *others = ends or [WireEnd("", "", "")]
    if not others:
        nowhere = WireEnd("?", "", "no second point")
        yield WireRow(circuit=circuit.id, left=left, right=nowhere, mark="cannot be built")
        return
    mark = _mark(given, circuit)
    first = True
    for other in others:
        if new and other.wire == left.wire:
            other = replace(other, wire=SAME)
        yield WireRow(circuit=circuit.id, left=left, right=other, mark=mark, first=first)
        mark, first = "", False


def _mark(given: Given, circuit: Circuit) -> str:
    """The grade of a circuit that nobody has settled."""
    settled = any(c.circuit == circuit.id for c in given.job.confirmed)
    if circuit.grade in ("ask", "likely") and not settled:
        return str(circuit.grade)
    return ""


def _side(point: Point) -> int:
    if point.end is None:
        return NO_END_RANK
    return SIDE_RANK.get(point.end.side, SIDE_RANK["unit"])


def _end(given: Given, circuit: Circuit, point: Point) -> WireEnd:
    return WireEnd(point.address, point_wire(given.harness, circuit, point), signal_words(point))


def _folded(rows: Iterable[LeftOutRow]) -> Iterator[LeftOutRow]:
    """Rows of an end that say the same stand as one; what bears a wire stands by itself."""
    same = attrgetter("end", "wire", "signal", "treat", "why")
    for _, alike in groupby(rows, same):
        first, *others = alike
        if first.wire:
            yield from (first, *others)
        else:
            points = tuple(point for row in (first, *others) for point in row.points)
            yield replace(first, points=points)


def _left_out_row(given: Given, point: Point) -> LeftOutRow:
    cavity = point.cavity
    assert cavity is not None
    entry = given.job.not_joined.get(point.address)
    signal, wire = signal_words(point), ""
    if cavity.wire and point.brings_lead:
        wire = wire_words(cavity.wire)
    treat, why = "not decided", "neither joined nor left out: decide"
    if entry is not None:
        treat, why = _treated(point, entry.treat or ""), entry.why
    elif cavity.unused:
        signal, wire = cavity.signal or "unused", ""
        treat, why = _closed(point), "nothing is there"
    return LeftOutRow(points=(point.address,), wire=wire, signal=signal, treat=treat, why=why)


def _closed(point: Point) -> str:
    """What becomes of a cavity without a wire: a plug keeps water out of a sealed connector."""
    sealed = point.end is not None and point.end.pinout.connector.sealed
    return PLUG if sealed else LEAVE


def _treated(point: Point, treat: str) -> str:
    """What becomes of a cavity; where no wire is brought there is none to cap."""
    if treat == "cap" and not point.brings_lead and point.end is not None:
        return _closed(point)
    return TREAT.get(treat, "treatment not stated")


PAGE = Page(key="map", stage=Stage.PLACES, make=map_section)
