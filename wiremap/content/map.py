"""First page: cautions, the map of every wire across the cut, what stays out; then the faces."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wiremap.content.cautions import caution_rows
from wiremap.content.given import Given
from wiremap.content.pieces import (
    Block,
    FaceBlock,
    FaceView,
    Hole,
    LeftRow,
    RefusedRow,
    Section,
    Text,
    Warning,
    WireEnd,
    WireRow,
    WireTable,
)
from wiremap.content.words import point_wire, signal_words, wire_words
from wiremap.graph import Point
from wiremap.model import Address, Circuit, End, Face, LookedAt

REFUSED = (
    "restraint or high-voltage circuit: no work is printed for it. Do not cut, probe or join it."
)
TREAT = {"blank": "blanking plug", "cap": "cap, seal, tie back", "leave": "leave as found"}
SIDE_RANK = {"machine": 0, "between": 1, "unit": 2}
FLAGGED_ROWS = 4
MOST_NAMED = 12  # cavities named in a sentence
LONG_TITLE = 70  # characters; the head of a page has room for no more


def map_section(given: Given) -> Section:
    """The map with its cautions."""
    title = given.harness.job.title
    blocks: list[Block] = [Text(title, strong=True)] if len(title) > LONG_TITLE else []
    blocks += _warnings(given)
    rows: list[WireRow | RefusedRow] = []
    for circuit in given.harness.job.circuits:
        if bad := given.refused_points(circuit):
            rows.append(RefusedRow(circuit.id, tuple(bad), REFUSED))
        else:
            rows += _rows(given, circuit)
    blocks.append(WireTable(*_sides(rows, given.harness.job.ends), tuple(rows)))
    left = list(_left(given))
    if left:
        blocks += [Text("Not joined, and what becomes of each", strong=True), *left]
    blocks += caution_rows(given)
    return Section(
        "map",
        "The map: one row for each wire across the cut",
        "left of the cut: the machine, else the in-line unit; right: what it is joined to",
        tuple(blocks),
    )


def _sides(rows: list[WireRow | RefusedRow], ends: Iterable[str]) -> tuple[str, str]:
    """Which ends stand left of the cut, and which right of it."""
    wires = [r for r in rows if isinstance(r, WireRow)]
    left = {r.left.point.partition(".")[0] for r in wires}
    right = {r.right.point.partition(".")[0] for r in wires}
    shown = [", ".join(name for name in ends if name in side) for side in (left, right)]
    return (f"left of the cut: {shown[0]}" if shown[0] else "left"), (
        f"right: {shown[1]}" if shown[1] else "right"
    )


def _warnings(given: Given) -> Iterator[Warning]:
    stops = given.stops
    if stops:
        shown = [
            f"{', '.join(f.subject) + ': ' if f.subject else ''}{f.message}" for f in stops[:8]
        ]
        if len(stops) > 8:
            shown.append(f"and {len(stops) - 8} more, all under Findings in the annex")
        yield Warning("HOLD", tuple(shown))
    lines = [
        "Battery minus off and proven dead at the wire before the first cut. Never touch, probe or join restraint (airbag) or "
        "high-voltage wiring. The maker's instructions, local codes and licensed practice come before this sheet."
    ]
    own = [
        (e.name, c)
        for e in given.harness.job.ends.values()
        for c in e.pinout.cavities.values()
        if c.caution and given.harness.circuits_at(f"{e.name}.{c.name}")
    ]
    told = " ".join(f.message for f in given.cautions)
    lines += [f"{name}.{c.name}: {c.caution}" for name, c in own if (c.caution or "") not in told]
    lines += list(_not_surveyed(given))
    yield Warning("Caution", tuple(lines))


def _not_surveyed(given: Given) -> Iterator[str]:
    """Which wires nobody has measured on the machine yet: they are not to be cut before that."""
    open_ones = given.not_surveyed
    if not open_ones:
        return
    shown = ", ".join(open_ones[:MOST_NAMED])
    more = f" and {len(open_ones) - MOST_NAMED} more" if len(open_ones) > MOST_NAMED else ""
    verb = "it has" if len(open_ones) == 1 else "they have"
    yield f"Not surveyed: {shown}{more}. Do not cut before {verb} been read on the machine (annex, survey)."


def _rows(given: Given, circuit: Circuit) -> Iterator[WireRow]:
    points = [p for a in circuit.join if (p := given.harness.points.get(a)) is not None]
    points.sort(key=_side)
    if len(points) < 2:
        yield WireRow(
            circuit.id,
            _end(given, circuit, points[0]) if points else WireEnd("", "", ""),
            WireEnd("?", "", "no second point"),
            "cannot be built",
        )
        return
    mark = (
        f"{circuit.grade}"
        if circuit.grade in ("ask", "likely") and not _settled(given, circuit)
        else ""
    )
    first = points[0]
    for i, other in enumerate(points[1:]):
        yield WireRow(
            circuit.id,
            _end(given, circuit, first),
            _end(given, circuit, other),
            mark if i == 0 else "",
            i == 0,
        )


def _settled(given: Given, circuit: Circuit) -> bool:
    return any(c.circuit == circuit.id for c in given.harness.job.confirmed)


def _side(point: Point) -> int:
    if point.end is None:
        return 3
    return SIDE_RANK.get(point.end.side, 2)


def _end(given: Given, circuit: Circuit, point: Point) -> WireEnd:
    return WireEnd(point.address, point_wire(given.harness, circuit, point), signal_words(point))


def _left(given: Given) -> Iterator[LeftRow]:
    for point in given.harness.not_joined():
        cavity = point.cavity
        assert cavity is not None
        entry = given.harness.job.not_joined.get(point.address)
        if entry is None and cavity.unused:
            sealed = point.end is not None and point.end.pinout.connector.sealed
            yield LeftRow(
                point.address,
                "",
                cavity.signal or "unused",
                "blanking plug" if sealed else "leave as found",
                "nothing is there",
            )
            continue
        wire = wire_words(cavity.wire) if cavity.wire and point.brings_lead else ""
        treat = TREAT.get(entry.treat or "", "treatment not stated") if entry else "not decided"
        yield LeftRow(
            point.address,
            wire,
            signal_words(point),
            treat,
            entry.why if entry else "neither joined nor left out: decide",
        )


def faces_section(given: Given) -> Section:
    """Both faces of every connector, with word flags."""
    blocks = [_face(given, end) for end in given.harness.job.ends.values()]
    lead = (
        "Read the moulded digits aloud first. Arrow: contact 1. Heavy ring: large contact. Strokes: wire tied back. "
        "Double ring: blanking plug."
    )
    return Section(
        "faces",
        "Faces of the connectors",
        "mating face: looking into the contacts; wire-entry side: looking at the wires",
        tuple(blocks),
        lead,
    )


def _face(given: Given, end: End) -> FaceBlock:
    connector = end.pinout.connector
    shell = ", ".join(
        t
        for t in (connector.shell, connector.contacts and f"{connector.contacts}s", _what(end))
        if t
    )
    face = connector.face
    if face is None or not face.names:
        return FaceBlock(end.name, shell, (), len(end.pinout.cavities))
    listed = len(face.rows) > FLAGGED_ROWS
    views = tuple(_view(given, end, face.seen_from(view), not listed) for view in LookedAt)
    flags = (
        tuple((n, _flag(given, end, n)) for n in face.names if _flag(given, end, n))
        if listed
        else ()
    )
    return FaceBlock(end.name, shell, views, len(end.pinout.cavities), flags)


def _what(end: End) -> str:
    """What an end is, in plain words and few."""
    whose = {"machine": "machine's", "unit": "new unit's", "between": "in-line"}.get(end.side, "")
    what = {"cut-tail": "cut wires", "mate": "plug", "tap": "wires in service"}.get(
        end.kind, end.kind.replace("-", " ")
    )
    return f"{whose} {what}".strip()


def _view(given: Given, end: End, face: Face, flagged: bool) -> FaceView:
    first = _first(face)
    areas = {n: _contact(end, n) for n in face.names}
    least = min(areas.values(), default=0.0)
    rows = []
    for row in face.padded():
        rows.append(
            tuple(
                None
                if n is None
                else Hole(
                    n,
                    _flag(given, end, n) if flagged else "",
                    _look(given, end, n),
                    areas[n] > least,
                    n == first,
                )
                for n in row
            )
        )
    return FaceView(face.view, face.key, tuple(rows))


def _first(face: Face) -> str:
    if "1" in face.names:
        return "1"
    whole = [n for n in face.names if n.isdigit()]
    return min(whole, key=int) if whole else min(face.names)


def _contact(end: End, name: str) -> float:
    """What tells a large contact from a small one: its current, else its largest wire."""
    cavity = end.pinout.cavities.get(name)
    if cavity is None:
        return 0.0
    return cavity.accepts.amps or (cavity.accepts.csa_mm2.high if cavity.accepts.csa_mm2 else 0.0)


def _flag(given: Given, end: End, name: str) -> str:
    circuits = given.harness.circuits_at(f"{end.name}.{name}")
    if circuits:
        return circuits[0]
    entry = given.harness.job.not_joined.get(Address(end.name, name))
    return (
        {"blank": "blank", "cap": "cap", "leave": "leave"}.get(entry.treat or "", "")
        if entry
        else ""
    )


def _look(given: Given, end: End, name: str) -> str:
    if given.harness.circuits_at(f"{end.name}.{name}"):
        return "wired"
    entry = given.harness.job.not_joined.get(Address(end.name, name))
    if entry is not None:
        return {"blank": "blank", "cap": "out"}.get(entry.treat or "", "empty")
    return "empty"
