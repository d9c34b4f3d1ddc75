"""What the two faces of a connector show: use, wire and treatment of each cavity."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from wiremap.content.face_pieces import FaceBlock, FaceView, FlagLine, Hole, Look
from wiremap.content.words import NO_COLOUR, colour_word, listed, spaced
from wiremap.graph import Harness
from wiremap.model import (
    Address,
    Circuit,
    Connector,
    End,
    EndKind,
    Face,
    LookedAt,
    Side,
    Treat,
    Wire,
)
from wiremap.rules.lookalikes import Group, lookalikes
from wiremap.rules.view import View

UNSTATED = 0.0  # size of a contact that no paper tells: a large one stands out beside it
FLAGGED_ROWS = 4  # of a face with more rows the flags are listed beside it
SIDE_WORDS = {Side.MACHINE: "machine's", Side.UNIT: "new unit's", Side.BETWEEN: "in-line"}
KIND_WORDS = {
    EndKind.CUT_TAIL: "cut wires",
    EndKind.PIGTAIL: "pigtail",
    EndKind.MATE: "plug",
    EndKind.TAP: "wires in service",
}
LOOKS = {Treat.BLANK: Look.BLANK, Treat.CAP: Look.OUT}
TREATED = {Treat.BLANK: "plug", Treat.CAP: "tied back", Treat.LEAVE: "as found"}


def face_blocks(harness: Harness) -> Iterator[FaceBlock]:
    """Every connector of a job with its two views."""
    groups = lookalikes(View(harness))
    for end in harness.job.ends.values():
        yield _Connector(harness, end, _alike(groups.get(end.name, ()))).block()


def own_blocks(harness: Harness, side: Side) -> Iterator[FaceBlock]:
    """The machine's or unit's own connectors, as a probe finds them before anything is mated."""
    for end in harness.job.ends.values():
        if end.side == side:
            connector = _Connector(harness, end, {}, _own_half(end), worked=False)
            yield connector.block(listed_as=_own_words(end))


def _own_half(end: End) -> Connector:
    """The half that stays: a machine's paper shows it, a unit's shows what goes into it."""
    shown = end.pinout.connector
    return shown.other_half() if end.side == Side.UNIT else shown


def _own_words(end: End) -> str:
    if end.kind != EndKind.MATE:
        return _end_words(end)
    return "machine's plug" if end.is_machine else "the unit's own plug"


Alike = Mapping[str, list[tuple[str, ...]]]
"""For the colours in words, the groups of cavities whose wires bear them."""


def _alike(groups: Iterable[Group]) -> Alike:
    """The wires of one end that look alike."""
    by_colours: dict[str, list[tuple[str, ...]]] = {}
    for group in groups:
        colours = dict.fromkeys("/".join(wire.colour.colours) for wire in group)
        cavities = tuple(wire.cavity for wire in group)
        by_colours.setdefault(" or ".join(colours), []).append(cavities)
    return by_colours


def _end_words(end: End) -> str:
    if end.kind == EndKind.MATE and end.is_machine:
        return "goes into the machine's plug"
    return spaced(SIDE_WORDS[end.side], KIND_WORDS[end.kind])


class _Connector:
    """One end, made into what its faces show."""

    def __init__(
        self,
        harness: Harness,
        end: End,
        alike: Alike,
        connector: Connector | None = None,
        *,
        worked: bool = True,
    ) -> None:
        self.harness, self.end, self.alike = harness, end, alike
        self.worked = worked  # False: as it was before any wire was tied back
        self.connector = connector or end.connector
        self.has_alike = {name for groups in alike.values() for group in groups for name in group}
        self.face = self.connector.face
        self.first = first_cavity(self.face)
        names = self.face.names if self.face else ()
        self.contact_sizes = {name: self._contact_size(name) for name in names}
        self.least_size = min(self.contact_sizes.values(), default=UNSTATED)

    def block(self, listed_as: str = "") -> FaceBlock:
        """Its two views, or none where nobody has told how it looks."""
        connector = self.connector
        contacts = f"{connector.contacts}s" if connector.contacts else ""
        end_words = listed_as or _end_words(self.end)
        views: tuple[FaceView, ...] = ()
        lines: tuple[FlagLine, ...] = ()
        if self.face is not None and self.face.names:
            flagged = len(self.face.rows) <= FLAGGED_ROWS
            views = tuple(self._view(self.face, view, flagged=flagged) for view in LookedAt)
            if not flagged:
                lines = tuple(self._lines(self.face))
        return FaceBlock(
            name=self.end.name,
            shell=listed(connector.shell, contacts, end_words),
            views=views,
            cavities=len(self.end.pinout.cavities),
            flag_list=lines,
            alike=tuple(_alike_words(groups, words) for words, groups in self.alike.items()),
        )

    def _view(self, face: Face, side: LookedAt, *, flagged: bool) -> FaceView:
        seen = face.seen_from(side)
        rows = []
        for row in seen.padded():
            rows.append(tuple(self._hole(name, side, flagged=flagged) for name in row))
        return FaceView(
            view=side,
            rows=tuple(rows),
            key=seen.key,
            key_shape=seen.key_shape,
            key_by=seen.key_by or "",
            contacts=self.connector.contacts,
        )

    def _hole(self, name: str | None, side: LookedAt, *, flagged: bool) -> Hole | None:
        """A cavity, or a gap of the face."""
        if name is None:
            return None
        address = Address(self.end.name, name)
        flag = ""
        if flagged:
            flag = self._use(address)
        if flag and side is LookedAt.WIRE_ENTRY:
            flag = self._wire_words(address) or flag
        return Hole(
            name=name,
            flag=flag,
            look=self._look(address),
            large=self.contact_sizes[name] > self.least_size,
            first=name == self.first,
            alike=side is LookedAt.WIRE_ENTRY and name in self.has_alike,
        )

    def _lines(self, face: Face) -> Iterator[FlagLine]:
        """Flags for a list: the use, then the wire."""
        for name in face.names:
            address = Address(self.end.name, name)
            use = self._use(address)
            if use:
                yield FlagLine(name, listed(use, self._wire_words(address)))

    def _use(self, address: Address) -> str:
        """The circuit at a cavity, one without a name by its far end; else how it is treated."""
        for name in self.harness.circuits_at(address):
            join = self.harness.circuit(name).join
            if name not in join:
                return name
            return f"to {listed(*(other for other in join if other != address))}"
        entry = self.harness.job.not_joined.get(address)
        if entry is None or entry.treat is None:
            return ""
        return TREATED[entry.treat]

    def _look(self, address: Address) -> Look:
        if self.harness.circuits_at(address):
            return Look.WIRED
        entry = self.harness.job.not_joined.get(address)
        if entry is None or entry.treat is None:
            return Look.EMPTY
        look = LOOKS.get(entry.treat, Look.EMPTY)
        if self.worked or look is Look.EMPTY:
            return look
        cavity = self.harness.points[address].cavity
        return Look.EMPTY if cavity is None or cavity.unused else Look.WIRED

    def _wire_words(self, address: Address) -> str:
        """The colour of the wire in a cavity, letters before the word; empty where none is in."""
        if self._look(address) not in (Look.WIRED, Look.OUT):
            return ""
        wire = wire_in(self.harness, address)
        if wire is None:
            return NO_COLOUR
        if self.end.is_tap and wire.colour is not None:
            return wire.colour.iec  # its word stands beside its T
        return colour_words(wire)

    def _contact_size(self, name: str) -> float:
        """What tells a large contact from a small one: its amps, else its largest wire [mm²]."""
        cavity = self.end.pinout.cavities.get(name)
        if cavity is None:
            return UNSTATED
        wires = cavity.accepts.csa_mm2
        return cavity.accepts.amps or (wires.high if wires else UNSTATED)


def first_cavity(face: Face | None) -> str:
    """The cavity that the pennant points at: 1, else the least number, else the first name."""
    names = face.names if face is not None else ()
    whole = [name for name in names if name.isdecimal() and name.isascii()]
    return min(whole, key=int, default=min(names, default=""))


def wire_in(harness: Harness, address: Address) -> Wire | None:
    """The wire that a contact shall hold: its own tail, else the new one of its circuit."""
    point = harness.points[address]
    own = point.cavity.wire if point.cavity is not None else None
    if point.brings_lead or point.is_tap:
        return own
    for circuit in harness.circuits_at(address):
        return _laid(harness.circuit(circuit), address) or own
    return own


def _laid(circuit: Circuit, address: Address) -> Wire | None:
    """The new wire that a circuit lays to a contact."""
    leg = circuit.legs.get(address)
    if leg is not None and leg.wire is not None:
        return leg.wire
    return circuit.wire


def colour_words(wire: Wire) -> str:
    """A wire's colour, letters before the word: `GN/WH green/white`."""
    word = colour_word(wire)
    if wire.bare or wire.colour is None or wire.colour.iec == wire.colour.word:
        return word
    return f"{wire.colour.iec} {word}"


def _alike_words(groups: Iterable[tuple[str, ...]], colours: str) -> str:
    """`9 + 10 blue`."""
    return f"{listed(*(' + '.join(group) for group in groups))} {colours}"
