"""The circuits of a job: `loom.1 - donor.3` in short, or keys with their values."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from itertools import count
from typing import Any

from wiremap.base import Place
from wiremap.files import values, yamltext
from wiremap.files.ends import ANY_MM, LENGTH_MM
from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.strict import Map, Node, Scalar, Seq
from wiremap.files.values import FLAG, LATER, MAX_NAME, NAME, FileValue, Table, read_map, stated
from wiremap.files.wires import WireReader, new_wire_pairs
from wiremap.files.yamltext import Pair
from wiremap.model import Address, Circuit, Grade, JointKind, Leg, Wire, frozen

LONGEST = 2000
_SHORT = re.compile(r"\s+-\s+")
_MEANT_DASH = re.compile(r"\s*(?:->|=>|→|‐|‑|‒|–|—|−|=|>)\s*|\s+to\s+")
_GLUED_DASH = re.compile(r"([\w.]+\.[\w]+)\s?-\s?([\w.]+\.[\w]+)")
_COLON_POINT = re.compile(r"([^\s.:]+):([^\s.:]+)")


def _because(faults: Faults, node: Node, key: str) -> tuple[str, ...]:
    return tuple(values.texts(faults, node, key))


LEG: Table = {"wire": LATER, "tinned": FLAG, "length_mm": LENGTH_MM, "at_mm": ANY_MM}
CIRCUIT: Table = {
    "id": NAME,
    "join": LATER,
    "joint": values.one_of(JointKind),
    "wire": LATER,
    "tinned": FLAG,
    "length_mm": LENGTH_MM,
    "at_mm": ANY_MM,
    "supported": FLAG,
    "legs": LATER,
    "grade": values.one_of(Grade),
    "because": FileValue(_because, yamltext.words),
}


def address_of(faults: Faults, point: str, node: Node, ends: Collection[str]) -> Address | None:
    """A point written as an address; whether it exists is for the rules to say."""
    colon = _COLON_POINT.fullmatch(point)
    if colon and colon[1] in ends:
        fix = f"End and cavity are parted by a dot: `{colon[1]}.{short(colon[2])}`."
        faults.add("wrong-value", f"`{short(point)}` is no address", node, fix)
        return None
    if len(point) > 2 * MAX_NAME or point.startswith("~") or point.endswith("."):
        fix = "Write end and cavity: `loom.1`."
        faults.add("wrong-value", f"`{short(point)}` is no address", node, fix)
        return None
    return Address.read(point)


class Circuits:
    """Reads the circuits of one job; `ends` are the names of its ends."""

    def __init__(self, faults: Faults, ends: Collection[str], wires: WireReader) -> None:
        self.faults = faults
        self.ends = ends
        self.wires = wires
        self.numbers: defaultdict[str, Iterator[int]] = defaultdict(lambda: count(2))  # of an id

    def read(self, node: Node) -> tuple[Circuit, ...]:
        """Every circuit, in file order; one without an id is called by its first point."""
        faults, found = self.faults, list[Circuit]()
        places: dict[str, Place] = {}
        if isinstance(node, Map) and node.entries:
            faults.add(
                "wrong-value",
                "`circuits` must be a list",
                node,
                "Begin each circuit on a line of its own: `- loom.1 - donor.3` or "
                "`- {id: supply, join: [...]}`.",
            )
            return ()
        for item in values.items(faults, node, "`circuits`"):
            faults.where = ""
            circuit = self._circuit(item)
            if circuit is None:
                continue
            if circuit.id in places:
                circuit = self._renamed(circuit, item, places)
            places[circuit.id] = circuit.place or faults.place(item)
            found.append(circuit)
        faults.where = ""
        return tuple(found)

    def _renamed(self, circuit: Circuit, node: Node, places: Mapping[str, Place]) -> Circuit:
        """A circuit whose id is taken, under a free one; a fault if the id was stated."""
        if isinstance(node, Map) and "id" in node.entries:
            message = f"two circuits are called `{short(circuit.id)}`"
            also = ((places[circuit.id], "the first one"),)
            self.faults.add("duplicate-key", message, node, "Rename one of the two.", also=also)
        numbered = (f"{circuit.id} ({number})" for number in self.numbers[circuit.id])
        return replace(circuit, id=next(name for name in numbered if name not in places))

    def _circuit(self, node: Node) -> Circuit | None:
        if not isinstance(node, Scalar):
            return self._full(node)
        points = self._points(node)
        if points is None:
            return None
        place = self.faults.place(node)
        return Circuit(id=points[0], join=points, place=place, join_places=(place,) * len(points))

    def _points(self, node: Scalar) -> tuple[Address, ...] | None:
        """The points of `loom.1 - donor.3`, with help for other dashes."""
        faults, written = self.faults, " ".join(node.text.split())
        if len(written) > LONGEST:
            fix = "Write it as `{id: ..., join: [...]}`."
            faults.add("over-limit", "this circuit is too long", node, fix)
            return None
        points = [part.strip() for part in _SHORT.split(written)]
        if len(points) < 2 or not all(points):
            message = f"`{short(written)}` does not name two points of a circuit"
            faults.add("wrong-value", message, node, "" if faults.full else _dash_hint(written))
            return None
        return self._addresses(points, [node] * len(points))

    def _addresses(self, points: list[str], nodes: list[Node]) -> tuple[Address, ...] | None:
        found = []
        for point, node in zip(points, nodes, strict=True):
            address = address_of(self.faults, point, node, self.ends)
            if address is None:
                return None
            found.append(address)
        return tuple(found)

    def _full(self, node: Node) -> Circuit | None:
        faults = self.faults
        if isinstance(node, Map) and "id" in node.entries:
            stated_id = node.entries["id"][1]
            if isinstance(stated_id, Scalar):
                faults.where = f"circuit {short(stated_id.text, 40)}"
        got = read_map(faults, node, CIRCUIT, "a circuit", required=("join",))
        joined = self._join(got["join"]) if "join" in got else None
        got["wire"] = self._wire(got, node)
        if joined is None:
            return None
        assert isinstance(node, Map)
        got["join"], got["join_places"] = joined
        if "legs" in got:
            got["legs"] = frozen(self._legs(got["legs"], got["join"]))
        got.setdefault("id", got["join"][0])
        return Circuit(place=faults.place(node), places=faults.places(node), **got)

    def _wire(self, got: dict[str, Any], node: Node) -> Wire | None:
        """The new wire of a circuit or leg; takes `tinned` out of what was read."""
        wire = self.wires(self.faults, got["wire"], "wire") if "wire" in got else None
        tinned = got.pop("tinned", False)
        if not tinned:
            return wire
        if "wire" not in got:
            message = "`tinned` speaks of a new wire, but none is given"
            fix = "Add `wire:`; a tail's own tinning is said in its pinout."
            self.faults.add("missing-key", message, node, fix)
        return wire and replace(wire, tinned=True)

    def _join(self, node: Node) -> tuple[tuple[Address, ...], tuple[Place, ...]] | None:
        """The points of `join` with the place of each."""
        faults = self.faults
        if isinstance(node, Scalar):
            points = self._points(node)
            return None if points is None else (points, (faults.place(node),) * len(points))
        found, places = [], []
        for item in values.items(faults, node, "`join`"):
            point = values.name(faults, item, "join")
            address = None if point is None else address_of(faults, point, item, self.ends)
            if address is not None:
                found.append(address)
                places.append(faults.place(item))
        if not isinstance(node, Seq):
            return None
        if len(node.items) < 2:
            message = "`join` must name two points at least"
            faults.add("wrong-value", message, node, "Write `join: [loom.1, donor.3]`.")
            return None
        return (tuple(found), tuple(places)) if len(found) == len(node.items) else None

    def _legs(self, node: Node, points: tuple[Address, ...]) -> dict[Address, Leg]:
        faults, found = self.faults, dict[Address, Leg]()
        joined = frozenset(points)
        for key, value in values.entries(faults, node, "`legs`"):
            if key.text not in joined:
                message = f"`legs` names `{short(key.text)}`, which this circuit does not join"
                faults.unlike("bad-reference", message, key, key.text, joined)
            got = read_map(faults, value, LEG, "what a point takes")
            got["wire"] = self._wire(got, value)
            found[Address.read(key.text)] = Leg(place=faults.place(value), **got)
        return found


def _dash_hint(written: str) -> str:
    """What most likely was meant where two points are not parted by a dash with spaces."""
    glued = _GLUED_DASH.fullmatch(written)
    if glued:
        one, other = short(glued[1]), short(glued[2])
        return f"Put a space on each side of the dash: `{one} - {other}`."
    meant = [part for part in _MEANT_DASH.split(written) if part]
    if len(meant) > 1:
        return f"Write it with a plain dash and spaces: `{short(' - '.join(meant))}`."
    return "Write two points with a dash and a space on each side: `loom.1 - donor.3`."


def circuit_text(circuit: Circuit) -> str:
    """A circuit as its text in a file: the short form where that says it all."""
    pairs = _with_wire(circuit, CIRCUIT, circuit.wire)
    by_point = circuit.id == circuit.join[0]
    if by_point and len(circuit.join) == 2 and not pairs:
        return yamltext.word(" - ".join(circuit.join))
    head = [("join", yamltext.words(circuit.join))]
    if not by_point:
        head.insert(0, ("id", yamltext.word(circuit.id)))
    return yamltext.flow([*head, *pairs])


def _legs_text(legs: Mapping[Address, Leg]) -> str:
    pairs = []
    for point, leg in legs.items():
        pairs.append((yamltext.key(point), yamltext.flow(_with_wire(leg, LEG, leg.wire))))
    return yamltext.flow(pairs)


def _with_wire(record: Circuit | Leg, table: Table, wire: Wire | None) -> list[Pair]:
    """What a circuit or leg states beside its name and points, its wire and its legs in their
    places.
    """
    pairs: list[Pair] = []
    for key, text in stated(record, table):
        if key == "wire":
            pairs += new_wire_pairs(wire)
        elif key == "legs":
            assert isinstance(record, Circuit)
            pairs.append((key, _legs_text(record.legs)))
        elif key not in ("id", "join"):
            pairs.append((key, text))
    return pairs
