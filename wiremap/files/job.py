"""From a job file's tree to the model: ends, extras, circuits in short and full form, and what was settled."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from typing import Any

from wiremap.base import Place
from wiremap.files import fields
from wiremap.files.cavities import expand
from wiremap.files.fields import Reading, Table
from wiremap.files.hints import short
from wiremap.files.lookalikes import mixed_script, twins
from wiremap.files.strict import Document, Map, Node, Scalar, Seq
from wiremap.files.wires import WireReader
from wiremap.model import (
    CHASSIS,
    Address,
    Circuit,
    Confirmed,
    End,
    EndKind,
    Extra,
    ExtraKind,
    Fed,
    Grade,
    Job,
    JointKind,
    KeepOut,
    Leg,
    Notebook,
    NotJoined,
    OnOff,
    Pinout,
    Run,
    Side,
    Supply,
    Surroundings,
    Treat,
    Twist,
    frozen,
    split,
)
from wiremap.trade.colours import SYSTEMS

MAX_ENDS = 500
_SHORT = re.compile(r"\s+-\s+")
_MEANT_DASH = re.compile(r"\s*(?:->|=>|→|‐|‑|‒|–|—|−|=|>)\s*|\s+to\s+")
_GLUED_DASH = re.compile(r"([\w.]+\.[\w]+)\s?-\s?([\w.]+\.[\w]+)")
_COLON_POINT = re.compile(r"([^\s.:]+):([^\s.:]+)")

FindPinout = Callable[[Reading, Node], Pinout | None]
FindNotebook = Callable[[Reading, Node], Notebook | None]

_mm = fields.number(0, 1_000_000, "mm")
_length = fields.number(0, 1_000_000, "mm", above=True)
_amps = fields.number(0, 2000, "A", above=True)


def _whole_map(to: Reading, node: Node, key: str) -> Node:
    return node


_SUPPLY: Table = {
    name: fields.number(0, 2000, "V", above=name != "min_volts")
    for name in ("volts", "min_volts", "max_volts")
}
_SURROUNDINGS: Table = {
    "ambient_C": fields.number(-60, 250, "C"),
    "wet": fields.flag,
    "moves": fields.name,
    "bundle": fields.whole(1, 1000),
    "limit_C": fields.number(40, 400, "C"),
}
_END: Table = {
    "pinout": _whole_map,
    "is": fields.one_of(*EndKind),
    "side": fields.one_of(*Side),
    "tail_mm": _length,
    "limit_C": fields.number(40, 400, "C"),
    "mated": fields.flag,
    "fed": _whole_map,
    "switches": _whole_map,
}
_FED: Table = {
    "fuse": fields.name,
    "fuse_amps": _amps,
    "found_amps": _amps,
    "milliohm": fields.number(0, 1e6, "milliohm"),
    "length_mm": _mm,
}
_EXTRA: Table = {
    "fuse": fields.name,
    "resistor": fields.number(0, 1e9, "ohm", above=True),
    "diode": _amps,
    "stud": fields.name,
    "amps": lambda to, node, key: _size_or_amps(to, node, key),
    "watts": fields.number(0, 10_000, "W", above=True),
    "at_mm": _mm,
}
_LEG: Table = {"wire": _whole_map, "tinned": fields.flag, "length_mm": _length, "at_mm": _mm}
_CIRCUIT: Table = {
    "id": fields.name,
    "join": _whole_map,
    "joint": fields.one_of(*JointKind),
    "wire": _whole_map,
    "tinned": fields.flag,
    "length_mm": _length,
    "at_mm": _mm,
    "supported": fields.flag,
    "legs": _whole_map,
    "grade": fields.one_of(*Grade),
    "because": lambda to, node, key: _because(to, node, key),
}
_NOT_JOINED: Table = {"why": fields.text, "treat": fields.one_of(*Treat)}
_SETTLED = ("circuit", "by", "date", "how")
_CONFIRMED: Table = {
    "circuit": fields.name,
    "by": fields.name,
    "date": fields.date,
    "how": fields.text,
    "of": fields.fingerprint,
}
_RUN: Table = {
    "between": fields.two_names,
    "mm": _length,
    "keep_out": lambda to, node, key: _keep_outs(to, node),
}
_KEEP_OUT: Table = {"from": _mm, "to": _mm, "why": fields.text}
_TWIST: Table = {"circuits": fields.names, "drain": fields.name, "mm": _length, "untwisted_mm": _mm}
_JOB: Table = {
    "wiremap": fields.name,
    "title": fields.name,
    "id": fields.name,
    "revision": fields.whole(0, 1_000_000),
    "withdrawn": fields.text,
    "letters": fields.one_of(*SYSTEMS),
    "supply": lambda to, node, key: _supply(to, node),
    "surroundings": lambda to, node, key: Surroundings(
        **fields.read_map(to, node, _SURROUNDINGS, "`surroundings`"), place=to.place(node)
    ),
    "ends": _whole_map,
    "runs": _whole_map,
    "twists": _whole_map,
    "extras": _whole_map,
    "circuits": _whole_map,
    "not_joined": _whole_map,
    "confirmed": _whole_map,
    "readings": _whole_map,
}


def _size_or_amps(to: Reading, node: Node, key: str) -> float | str | None:
    if isinstance(node, Scalar) and node.text.strip() == "size":
        return "size"
    value = fields.as_number(node.text.strip()) if isinstance(node, Scalar) else None
    if value is None:
        to.wrong(key, node, "a number (A), or `size` to have it chosen")
        return None
    return _amps(to, node, key)  # type: ignore[no-any-return]


def _because(to: Reading, node: Node, key: str) -> tuple[str, ...] | None:
    if isinstance(node, Scalar):
        alone = fields.text(to, node, key)
        return None if alone is None else (alone,)
    found = (fields.text(to, item, key) for item in fields.items(to, node, f"`{key}`"))
    return tuple(text for text in found if text is not None)


def _supply(to: Reading, node: Node) -> Supply | None:
    if isinstance(node, Scalar):
        volts = _SUPPLY["volts"](to, node, "supply")
        return None if volts is None else Supply(volts=volts, place=to.place(node))
    got = fields.read_map(to, node, _SUPPLY, "`supply`")
    supply = Supply(**got, place=to.place(node))
    rising = [got[name] for name in ("min_volts", "volts", "max_volts") if name in got]
    if rising != sorted(rising):
        to.fault(
            "wrong-value",
            "`min_volts`, `volts` and `max_volts` must rise in this order",
            node,
            "Check the three figures.",
        )
    return supply


def _keep_outs(to: Reading, node: Node) -> tuple[KeepOut, ...]:
    found = []
    for item in fields.items(to, node, "`keep_out`"):
        got = fields.read_map(
            to, item, _KEEP_OUT, "an entry of `keep_out`", required=("from", "to")
        )
        if "from" in got and "to" in got:
            if got["from"] > got["to"]:
                to.fault(
                    "wrong-value",
                    "`keep_out` runs from high to low",
                    item,
                    "Exchange `from` and `to`.",
                )
            found.append(KeepOut(got["from"], got["to"], got.get("why", "")))
    return tuple(found)


class JobBuilder:
    """Builds one job; pinouts and notebooks come through two callables, so that files are opened elsewhere."""

    def __init__(
        self, document: Document, to: Reading, pinout: FindPinout, notebook: FindNotebook
    ) -> None:
        self.document = document
        self.to = to
        self.find_pinout = pinout
        self.find_notebook = notebook
        self.ends: dict[str, End] = {}
        self.ends_named: set[str] = set()  # those whose pinout could not be read as well
        self.read_wire = WireReader()

    def build(self, default_title: str) -> Job | None:
        """The job, or None with faults left behind."""
        to, root = self.to, self.document.root
        assert isinstance(root, Map)
        got = fields.read_map(to, root, _JOB, "a job", required=("ends",))
        self.read_wire = WireReader(got.get("letters"))
        if "ends" in got:
            self._ends(got["ends"])
        extras = self._extras(got["extras"]) if "extras" in got else {}
        twins(to, [(word, root) for word in (*self.ends, *extras)], "the names")
        circuits = self._circuits(got["circuits"]) if "circuits" in got else ()
        ids = {circuit.id for circuit in circuits}
        job = Job(
            title=got.get("title", default_title),
            path=self.document.shown,
            ends=frozen(self.ends),
            circuits=circuits,
            extras=frozen(extras),
            not_joined=frozen(self._not_joined(got["not_joined"]))
            if "not_joined" in got
            else frozen(),
            confirmed=self._confirmed(got["confirmed"], ids) if "confirmed" in got else (),
            supply=got.get("supply", Supply()),
            surroundings=got.get("surroundings", Surroundings()),
            runs=self._runs(got["runs"]) if "runs" in got else (),
            twists=frozen(self._twists(got["twists"], ids)) if "twists" in got else frozen(),
            notebooks=self._readings(got["readings"]) if "readings" in got else (),
            id=got.get("id"),
            revision=got.get("revision"),
            withdrawn=got.get("withdrawn"),
            place=to.place(root),
        )
        return None if to.failed else job

    # -- ends and extras --------------------------------------------------------------------------

    def _named(self, key: Scalar, what: str, taken: Collection[str]) -> str | None:
        to = self.to
        word = fields.name(to, key, what)
        if word is None:
            return None
        if "." in word or re.search(r"\s", word) or word.startswith("~") or word == CHASSIS:
            to.fault(
                "wrong-name",
                f"`{short(word)}` cannot be the name of an {what}",
                key,
                "No dots and no spaces (an address such as loom.1 is parted at its first dot); `chassis` is taken.",
            )
            return None
        if word in taken:
            to.fault(
                "duplicate-key",
                f"`{short(word)}` names an end and an extra",
                key,
                "Rename one of the two.",
            )
            return None
        mixed_script(to, word, key)
        return word

    def _ends(self, node: Node) -> None:
        to = self.to
        rows = fields.entries(to, node, "`ends`")
        if isinstance(node, Map) and not rows:
            to.fault(
                "missing-value",
                "`ends` names no end",
                node,
                "Write `ends: {loom: old.yaml, donor: new.yaml}`.",
            )
        if len(rows) > MAX_ENDS:
            to.fault("over-limit", f"more than {MAX_ENDS} ends in one job", node, "Split the job.")
            return
        bare = [(EndKind.CUT_TAIL, Side.MACHINE), (EndKind.PIGTAIL, Side.UNIT)]
        for key, value in rows:
            word = self._named(key, "end", ())
            if word is None:
                continue
            self.ends_named.add(word)
            to.where = f"end {short(word, 40)}"
            if isinstance(value, Scalar) and not fields.empty(value):
                pinout = self.find_pinout(to, value)
                if not bare:
                    to.fault(
                        "missing-key",
                        "a third end needs more than its file name",
                        value,
                        "Write `{pinout: "
                        f"{short(value.text)}, is: mate, side: between}}` with what it is and its side.",
                    )
                    continue
                kind, side = bare.pop(0)
                if pinout is not None:
                    self.ends[word] = End(
                        name=word, pinout=pinout, kind=kind, side=side, place=to.place(key)
                    )
            else:
                self._end(word, key, value)
        to.where = ""

    def _end(self, word: str, key: Scalar, node: Node) -> None:
        to = self.to
        got = fields.read_map(to, node, _END, "an end", required=("pinout",))
        for wanted, words in (("is", EndKind), ("side", Side)):
            if isinstance(node, Map) and wanted not in node.entries:
                to.fault(
                    "missing-key",
                    f"an end lacks `{wanted}`",
                    node,
                    f"Add `{wanted}: ...`, one of {fields.listed(words)}.",
                )
        pinout = self.find_pinout(to, got["pinout"]) if "pinout" in got else None
        if pinout is None or "is" not in got or "side" not in got:
            return
        fed = self._fed(got["fed"], pinout) if "fed" in got else {}
        switches = self._switches(got["switches"], pinout) if "switches" in got else {}
        self.ends[word] = End(
            name=word,
            pinout=pinout,
            kind=got["is"],
            side=got["side"],
            tail_mm=got.get("tail_mm"),
            limit_C=got.get("limit_C"),
            mated=got.get("mated", False),
            fed=frozen(fed),
            switches=frozen(switches),
            place=to.place(key),
        )

    def _fed(self, node: Node, pinout: Pinout) -> dict[str, Fed]:
        to, found = self.to, dict[str, Fed]()
        for key, value in fields.entries(to, node, "`fed`"):
            for cavity in expand(to, key, pinout.cavities):
                if cavity not in pinout.cavities:
                    guess = fields.did_you_mean(cavity, pinout.cavities)
                    to.fault(
                        "bad-reference",
                        f"`fed` names cavity `{short(cavity)}`, which {short(pinout.path)} does not have"
                        + (f"; {guess}" if guess else ""),
                        key,
                    )
                entry = self._feed(cavity, value)
                if entry is not None:
                    found[cavity] = entry
        return found

    def _feed(self, cavity: str, value: Node) -> Fed | None:
        to = self.to
        if isinstance(value, Scalar):
            if value.text.strip() == "none":
                return Fed(cavity=cavity, unfused=True, place=to.place(value))
            to.fault(
                "wrong-value",
                f"`fed` of cavity `{short(cavity)}` must be `none` or keys with values, not "
                f"{fields.told(value)}",
                value,
                "Write `{fuse: F7, fuse_amps: 5}`, or `none` if there is no fuse.",
            )
            return None
        got = fields.read_map(to, value, _FED, "`fed`")
        unfused = got.get("fuse") == "none"
        if unfused:
            del got["fuse"]
        return Fed(cavity=cavity, **got, unfused=unfused, place=to.place(value))

    def _switches(self, node: Node, pinout: Pinout) -> dict[str, OnOff]:
        to, found = self.to, dict[str, OnOff]()
        for key, value in fields.entries(to, node, "`switches`"):
            state = fields.one_of(*OnOff)(to, value, key.text)
            if key.text not in pinout.switches:
                guess = fields.did_you_mean(key.text, pinout.switches)
                to.fault(
                    "bad-reference",
                    f"{short(pinout.path)} has no switch `{short(key.text)}`"
                    + (f"; {guess}" if guess else ""),
                    key,
                    "Switches are declared in the pinout.",
                )
            elif state is not None:
                found[key.text] = state
        return found

    def _extras(self, node: Node) -> dict[str, Extra]:
        to, found = self.to, dict[str, Extra]()
        for key, value in fields.entries(to, node, "`extras`"):
            word = self._named(key, "extra", self.ends_named)
            if word is None:
                continue
            to.where = f"extra {short(word, 40)}"
            extra = self._extra(word, key, value)
            if extra is not None:
                found[word] = extra
        to.where = ""
        return found

    def _extra(self, word: str, key: Scalar, node: Node) -> Extra | None:
        to = self.to
        got = fields.read_map(to, node, _EXTRA, "an extra")
        kinds = [kind for kind in ExtraKind if isinstance(node, Map) and kind in node.entries]
        if isinstance(node, Map) and len(kinds) != 1:
            to.fault(
                "wrong-value",
                "an extra is one of fuse, resistor, diode or stud"
                + (", not several" if kinds else ""),
                node,
                "Write `{fuse: blade, amps: 2}`, `{resistor: 120, watts: 0.5}`, `{diode: 3}` or `{stud: M6}`.",
            )
            return None
        if not kinds or kinds[0] not in got:
            return None
        kind = kinds[0]
        for spare, wanted in (("amps", "fuse"), ("watts", "resistor")):
            if spare in got and kind != wanted:
                to.fault(
                    "unknown-key",
                    f"`{spare}` says nothing of a {kind}",
                    node,
                    "A diode's amps stand after its own key: `{diode: 3}`."
                    if kind == "diode"
                    else f"Delete `{spare}`.",
                )
        amps = got.get("amps") if kind == "fuse" else got[kind] if kind == "diode" else None
        return Extra(
            name=word,
            kind=kind,
            detail=got[kind] if kind in ("fuse", "stud") else "",
            amps=None if amps == "size" else amps,
            size_wanted=amps == "size",
            ohms=got[kind] if kind == "resistor" else None,
            watts=got.get("watts"),
            at_mm=got.get("at_mm"),
            place=to.place(key),
        )

    # -- circuits ---------------------------------------------------------------------------------

    def _circuits(self, node: Node) -> tuple[Circuit, ...]:
        to, found, places = self.to, list[Circuit](), dict[str, Place]()
        if isinstance(node, Map) and node.entries:
            to.fault(
                "wrong-value",
                "`circuits` must be a list",
                node,
                "Begin each circuit on a line of its own: `- loom.1 - donor.3` or `- {id: supply, join: [...]}`.",
            )
            return ()
        for item in fields.items(to, node, "`circuits`"):
            to.where = ""
            circuit = self._short_circuit(item) if isinstance(item, Scalar) else self._circuit(item)
            if circuit is None:
                continue
            if circuit.id in places:
                stated = isinstance(item, Map) and "id" in item.entries
                if stated:
                    to.fault(
                        "duplicate-key",
                        f"two circuits are called `{short(circuit.id)}`",
                        item,
                        "Rename one of the two.",
                        also=((places[circuit.id], "the first one"),),
                    )
                circuit = replace(circuit, id=_free(circuit.id, places))
            places[circuit.id] = circuit.place or to.place(item)
            found.append(circuit)
        to.where = ""
        return tuple(found)

    def _short_circuit(self, node: Scalar) -> Circuit | None:
        points = self._points(node)
        if points is None:
            return None
        place = self.to.place(node)
        return Circuit(id=points[0], join=points, place=place, join_places=(place,) * len(points))

    def _points(self, node: Scalar) -> tuple[Address, ...] | None:
        """The points of `loom.1 - donor.3`, with help for other dashes."""
        to, written = self.to, node.text.strip()
        if len(written) > 2000:
            to.fault(
                "over-limit",
                "this circuit is too long",
                node,
                "Write it as `{id: ..., join: [...]}`.",
            )
            return None
        points = [part.strip() for part in _SHORT.split(written)]
        if len(points) < 2 or not all(points):
            fix = "Write two points with a dash and a space on each side: `loom.1 - donor.3`."
            glued = _GLUED_DASH.fullmatch(written)
            meant = [part for part in _MEANT_DASH.split(written) if part]
            if glued:
                fix = f"Put a space on each side of the dash: `{short(glued.group(1))} - {short(glued.group(2))}`."
            elif len(meant) > 1:
                fix = f"Write it with a plain dash and spaces: `{short(' - '.join(meant))}`."
            to.fault(
                "wrong-value",
                f"`{short(written)}` does not name two points of a circuit",
                node,
                fix,
            )
            return None
        if not all(self._address(point, node) for point in points):
            return None
        return tuple(map(Address.read, points))

    def _address(self, point: str, node: Node) -> bool:
        """Whether a point is written as an address; whether it exists is for the rules to say."""
        to = self.to
        colon = _COLON_POINT.fullmatch(point)
        if colon and colon.group(1) in self.ends_named:
            to.fault(
                "wrong-value",
                f"`{short(point)}` is no address",
                node,
                f"End and cavity are parted by a dot: `{colon.group(1)}.{short(colon.group(2))}`.",
            )
            return False
        if len(point) > 2 * fields.MAX_NAME or point.startswith("~") or point.endswith("."):
            to.fault(
                "wrong-value",
                f"`{short(point)}` is no address",
                node,
                "Write end and cavity: `loom.1`.",
            )
            return False
        return True

    def _circuit(self, node: Node) -> Circuit | None:
        to = self.to
        if (
            isinstance(node, Map)
            and "id" in node.entries
            and isinstance(node.entries["id"][1], Scalar)
        ):
            to.where = f"circuit {short(node.entries['id'][1].text, 40)}"
        got = fields.read_map(to, node, _CIRCUIT, "a circuit", required=("join",))
        joined = self._join(got["join"]) if "join" in got else None
        wire = self._wire(got, node)
        if joined is None:
            return None
        points, places = joined
        legs = self._legs(got["legs"], points) if "legs" in got else {}
        assert isinstance(node, Map)
        return Circuit(
            id=got.get("id", points[0]),
            join=points,
            joint=got.get("joint"),
            wire=wire,
            length_mm=got.get("length_mm"),
            at_mm=got.get("at_mm"),
            supported=got.get("supported", False),
            legs=frozen(legs),
            grade=got.get("grade"),
            because=got.get("because", ()),
            place=to.place(node),
            join_places=places,
            places=frozen({key: to.place(value) for key, (_, value) in node.entries.items()}),
        )

    def _wire(self, got: dict[str, Any], node: Node) -> Any:
        wire = self.read_wire(self.to, got["wire"], "wire") if "wire" in got else None
        if got.get("tinned"):
            if "wire" not in got:
                self.to.fault(
                    "missing-key",
                    "`tinned` speaks of a new wire, but none is given",
                    node,
                    "Add `wire:`; a tail's own tinning is said in its pinout.",
                )
            elif wire is not None:
                wire = replace(wire, tinned=True)
        return wire

    def _join(self, node: Node) -> tuple[tuple[Address, ...], tuple[Place, ...]] | None:
        to = self.to
        if isinstance(node, Scalar):
            points = self._points(node)
            return None if points is None else (points, (to.place(node),) * len(points))
        names, places = [], []
        for item in fields.items(to, node, "`join`"):
            point = fields.name(to, item, "join")
            if point is not None and self._address(point, item):
                names.append(Address.read(point))
                places.append(to.place(item))
        if isinstance(node, Seq) and len(node.items) < 2:
            to.fault(
                "wrong-value",
                "`join` must name two points at least",
                node,
                "Write `join: [loom.1, donor.3]`.",
            )
            return None
        if not isinstance(node, Seq) or len(names) != len(node.items):
            return None
        return tuple(names), tuple(places)

    def _legs(self, node: Node, points: tuple[Address, ...]) -> dict[Address, Leg]:
        to, found = self.to, dict[Address, Leg]()
        for key, value in fields.entries(to, node, "`legs`"):
            if key.text not in points:
                guess = fields.did_you_mean(key.text, points)
                to.fault(
                    "bad-reference",
                    f"`legs` names `{short(key.text)}`, which this circuit does not join"
                    + (f"; {guess}" if guess else ""),
                    key,
                )
            got = fields.read_map(to, value, _LEG, "a leg")
            wire = self._wire(got, value)
            found[Address.read(key.text)] = Leg(
                wire=wire,
                length_mm=got.get("length_mm"),
                at_mm=got.get("at_mm"),
                place=to.place(value),
            )
        return found

    # -- the rest ---------------------------------------------------------------------------------

    def _not_joined(self, node: Node) -> dict[Address, NotJoined]:
        to, found = self.to, dict[Address, NotJoined]()
        if isinstance(node, Seq):
            if node.items:
                to.fault(
                    "wrong-value",
                    "`not_joined` must name each point with its reason",
                    node,
                    "Write `loom.14: {why: ..., treat: cap}`, one point a line.",
                )
            return found
        for key, value in fields.entries(to, node, "`not_joined`"):
            to.where = f"not_joined {short(key.text, 40)}"
            if fields.name(to, key, "not_joined") is None or not self._address(key.text, key):
                continue
            if fields.empty(value):
                got: dict[str, Any] = {}
            elif isinstance(value, Scalar):
                why = fields.text(to, value, "why")
                got = {} if why is None else {"why": why}
            else:
                got = fields.read_map(to, value, _NOT_JOINED, "this entry")
            owner, cavity = split(key.text)
            end = self.ends.get(owner)
            literal = end.pinout.cavities if end else ()
            for name in expand(to, key, literal, cavity) if cavity else ("",):
                point = Address(owner, name)
                if point in found:
                    to.fault(
                        "duplicate-key",
                        f"`{short(point)}` stands here and in an earlier entry",
                        key,
                        "Keep one.",
                    )
                found[point] = NotJoined(
                    point=point, why=got.get("why", ""), treat=got.get("treat"), place=to.place(key)
                )
        to.where = ""
        return found

    def _confirmed(self, node: Node, ids: Collection[str]) -> tuple[Confirmed, ...]:
        to, found = self.to, []
        for item in fields.items(to, node, "`confirmed`"):
            got = fields.read_map(to, item, _CONFIRMED, "a settlement", required=_SETTLED)
            if "circuit" in got:
                self._known(got["circuit"], ids, item, "`confirmed`")
            if got.keys() >= set(_SETTLED):
                found.append(Confirmed(**got, place=to.place(item)))
        return tuple(found)

    def _known(self, circuit: str, ids: Collection[str], node: Node, what: str) -> None:
        if circuit not in ids:
            guess = fields.did_you_mean(circuit, ids)
            self.to.fault(
                "bad-reference",
                f"{what} names circuit `{short(circuit)}`, which is not in this job"
                + (f"; {guess}" if guess else ""),
                node,
                "" if guess else "A circuit is named by its id; without one, by its first point.",
            )

    def _runs(self, node: Node) -> tuple[Run, ...]:
        to, found = self.to, []
        for item in [node] if isinstance(node, Map) else fields.items(to, node, "`runs`"):
            got = fields.read_map(to, item, _RUN, "a run", required=("between",))
            for word in got.get("between", ()):
                if word not in self.ends_named:
                    guess = fields.did_you_mean(word, self.ends_named)
                    to.fault(
                        "bad-reference",
                        f"`runs` names `{short(word)}`, which is no end of this job"
                        + (f"; {guess}" if guess else ""),
                        item,
                    )
            if "between" in got:
                a, b = got["between"]
                found.append(
                    Run(
                        a=a,
                        b=b,
                        mm=got.get("mm"),
                        keep_out=got.get("keep_out", ()),
                        place=to.place(item),
                    )
                )
        return tuple(found)

    def _twists(self, node: Node, ids: Collection[str]) -> Mapping[str, Twist]:
        to, found = self.to, dict[str, Twist]()
        for key, value in fields.entries(to, node, "`twists`"):
            to.where = f"twist {short(key.text, 40)}"
            got = fields.read_map(to, value, _TWIST, "a twist", required=("circuits",))
            for circuit in (*got.get("circuits", ()), *((got["drain"],) if "drain" in got else ())):
                self._known(circuit, ids, value, "a twist")
            if "circuits" in got:
                found[key.text] = Twist(name=key.text, **got, place=to.place(value))
        to.where = ""
        return found

    def _readings(self, node: Node) -> tuple[Notebook, ...]:
        items = [node] if isinstance(node, Scalar) else fields.items(self.to, node, "`readings`")
        found = (self.find_notebook(self.to, item) for item in items)
        return tuple(notebook for notebook in found if notebook is not None)


def _free(word: str, taken: Collection[str]) -> str:
    number = 2
    while f"{word} ({number})" in taken:
        number += 1
    return f"{word} ({number})"
