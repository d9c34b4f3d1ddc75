"""Both faces of every connector, with word flags."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.pieces import FaceBlock, FaceView, FlagLine, Hole, Look, Section
from wiremap.content.words import listed, spaced
from wiremap.model import Address, End, EndKind, Face, LookedAt, Side, Treat

FLAGGED_ROWS = 4  # of a face with more rows the flags are listed beside it
WHOSE = {Side.MACHINE: "machine's", Side.UNIT: "new unit's", Side.BETWEEN: "in-line"}
WHAT = {
    EndKind.CUT_TAIL: "cut wires",
    EndKind.PIGTAIL: "pigtail",
    EndKind.MATE: "plug",
    EndKind.TAP: "wires in service",
}
LOOKS = {Treat.BLANK: Look.BLANK, Treat.CAP: Look.OUT}


def faces_section(given: Given) -> Section:
    """Both faces of every connector."""
    return Section(
        key="faces",
        title="Faces of the connectors",
        drawn_from="mating face: looking into the contacts; wire-entry side: looking at the wires",
        blocks=tuple(_face(given, end) for end in given.job.ends.values()),
        lead="Read the moulded digits aloud first. Arrow: contact 1. Heavy ring: large contact. "
        "Strokes: wire tied back. Double ring: blanking plug.",
    )


def _face(given: Given, end: End) -> FaceBlock:
    connector, face = end.pinout.connector, end.pinout.connector.face
    contacts = f"{connector.contacts}s" if connector.contacts else ""
    what = spaced(WHOSE[end.side], WHAT[end.kind])
    views: list[FaceView] = []
    flags: list[FlagLine] = []
    if face is not None and face.names:
        listed_apart = len(face.rows) > FLAGGED_ROWS
        for view in LookedAt:
            views.append(_view(given, end, face.seen_from(view), flagged=not listed_apart))
        if listed_apart:
            lines = [FlagLine(name, _flag(given, Address(end.name, name))) for name in face.names]
            flags = [line for line in lines if line.flag]
    return FaceBlock(
        name=end.name,
        shell=listed(connector.shell, contacts, what),
        views=tuple(views),
        cavities=len(end.pinout.cavities),
        flag_list=tuple(flags),
    )


def _view(given: Given, end: End, face: Face, *, flagged: bool) -> FaceView:
    first = _first(face)
    sizes = {name: _contact(end, name) for name in face.names}
    least = min(sizes.values(), default=0.0)

    def hole(name: str | None) -> Hole | None:
        if name is None:
            return None
        address = Address(end.name, name)
        return Hole(
            name=name,
            flag=_flag(given, address) if flagged else "",
            look=_look(given, address),
            large=sizes[name] > least,
            first=name == first,
        )

    rows = [tuple(hole(name) for name in row) for row in face.padded()]
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
    wires = cavity.accepts.csa_mm2
    return cavity.accepts.amps or (wires.high if wires else 0.0)


def _flag(given: Given, address: Address) -> str:
    """The circuit at a cavity, else how it is treated."""
    for circuit in given.harness.circuits_at(address):
        return circuit
    entry = given.job.not_joined.get(address)
    if entry is None:
        return ""
    return entry.treat or ""


def _look(given: Given, address: Address) -> Look:
    if given.harness.circuits_at(address):
        return Look.WIRED
    entry = given.job.not_joined.get(address)
    if entry is None or entry.treat not in LOOKS:
        return Look.EMPTY
    return LOOKS[entry.treat]
