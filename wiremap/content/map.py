"""The first page: what holds, cautions, every wire across the cut, what stays out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wiremap.content.cautions import caution_rows
from wiremap.content.given import Given
from wiremap.content.pieces import (
    Block,
    LeftRow,
    RefusedRow,
    Section,
    Text,
    Warning,
    WireEnd,
    WireRow,
    WireTable,
)
from wiremap.content.words import listed, point_wire, signal_words, wire_words
from wiremap.graph import Point
from wiremap.model import Address, Circuit

REFUSED = (
    "restraint or high-voltage circuit: no work is printed for it. Do not cut, probe or join it."
)
ALWAYS = (
    "Battery minus off and proven dead at the wire before the first cut. Never touch, probe or "
    "join restraint (airbag) or high-voltage wiring. The maker's instructions, local codes and "
    "licensed practice come before this sheet."
)
PLUG = "blanking plug"
LEAVE = "leave as found"
TREAT = {"blank": PLUG, "cap": "cap, seal, tie back", "leave": LEAVE}
SIDE_RANK = {"machine": 0, "between": 1, "unit": 2}
NO_END_RANK = 3
DRAWN_FROM = "left of the cut: the machine, else the in-line unit; right: what it is joined to"
MOST_STOPS = 8  # told on the first page
MOST_NOT_JUDGED = 6
MOST_NAMED = 12  # cavities named in a sentence
LONG_TITLE = 70  # characters; the head of a page has room for no more


def map_section(given: Given) -> Section:
    """The map with its cautions."""
    blocks: list[Block] = []
    if len(given.job.title) > LONG_TITLE:
        blocks.append(Text(given.job.title, strong=True))
    blocks += _stops(given)
    blocks += _not_judged(given)
    blocks.append(Warning("Caution", (ALWAYS, *_carried(given), *_not_surveyed(given))))
    blocks.append(_table(given))
    left = [_left_row(given, point) for point in given.harness.not_joined()]
    if left:
        blocks += [Text("Not joined, and what becomes of each", strong=True), *left]
    blocks += caution_rows(given)
    return Section(
        key="map",
        title="The map: one row for each wire across the cut",
        drawn_from=DRAWN_FROM,
        blocks=tuple(blocks),
    )


def _stops(given: Given) -> Iterator[Warning]:
    """The first stops, and how many more there are."""
    stops = given.stops
    if not stops:
        return
    shown = []
    for stop in stops[:MOST_STOPS]:
        subject = listed(*stop.subject)
        shown.append(f"{subject}: {stop.message}" if subject else stop.message)
    more = len(stops) - MOST_STOPS
    if more > 0:
        shown.append(f"and {more} more, all under Findings in the annex")
    yield Warning("HOLD", tuple(shown))


def _not_judged(given: Given) -> Iterator[Warning]:
    """What the verdict does not speak of, each with what is lacking."""
    lines = [f"{listed(*each.subject)}: {each.why}." for each in given.not_judged]
    more = len(lines) - MOST_NOT_JUDGED
    if more > 0:
        lines = [*lines[:MOST_NOT_JUDGED], f"and {more} more, all under Findings in the annex"]
    if lines:
        yield Warning("Not judged", tuple(lines))


def _carried(given: Given) -> Iterator[str]:
    """The cautions that joined contacts carry, where no finding tells them."""
    told = " ".join(f.message for f in given.cautions)
    for end in given.job.ends.values():
        for cavity in end.pinout.cavities.values():
            address = f"{end.name}.{cavity.name}"
            if not cavity.caution or cavity.caution in told:
                continue
            if given.harness.circuits_at(address):
                yield f"{address}: {cavity.caution}"


def _not_surveyed(given: Given) -> Iterator[str]:
    """Which wires nobody has measured on the machine yet: they are not to be cut before that."""
    unread = given.not_surveyed
    if not unread:
        return
    more = len(unread) - MOST_NAMED
    shown = listed(*unread[:MOST_NAMED])
    if more > 0:
        shown += f" and {more} more"
    verb = "it has" if len(unread) == 1 else "they have"
    yield (
        f"Not surveyed: {shown}. Do not cut before {verb} been read on the machine (annex, survey)."
    )


def _table(given: Given) -> WireTable:
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
    return WireTable(
        f"left of the cut: {left}" if left else "left",
        f"right: {right}" if right else "right",
        tuple(rows),
    )


def _ends(given: Given, sides: Iterable[WireEnd]) -> str:
    """Which ends stand on one side of the cut."""
    names = {Address.read(side.point).end for side in sides}
    return listed(*(name for name in given.job.ends if name in names))


def _rows(given: Given, circuit: Circuit) -> Iterator[WireRow]:
    points = sorted(given.points(circuit), key=_side)
    ends = [_end(given, circuit, point) for point in points]
    if len(ends) < 2:
        left = ends[0] if ends else WireEnd("", "", "")
        nowhere = WireEnd("?", "", "no second point")
        yield WireRow(circuit=circuit.id, left=left, right=nowhere, mark="cannot be built")
        return
    mark = _mark(given, circuit)
    first = True
    for other in ends[1:]:
        yield WireRow(circuit=circuit.id, left=ends[0], right=other, mark=mark, first=first)
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


def _left_row(given: Given, point: Point) -> LeftRow:
    cavity = point.cavity
    assert cavity is not None
    entry = given.job.not_joined.get(point.address)
    signal, wire = signal_words(point), ""
    if entry is None and cavity.unused:
        sealed = point.end is not None and point.end.pinout.connector.sealed
        signal = cavity.signal or "unused"
        treat, why = PLUG if sealed else LEAVE, "nothing is there"
    else:
        if cavity.wire and point.brings_lead:
            wire = wire_words(cavity.wire)
        treat, why = "not decided", "neither joined nor left out: decide"
        if entry is not None:
            treat, why = TREAT.get(entry.treat or "", "treatment not stated"), entry.why
    return LeftRow(point=point.address, wire=wire, signal=signal, treat=treat, why=why)
