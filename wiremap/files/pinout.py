"""From a pinout file's tree to the model: short and full forms of cavities, ranges, faces, links."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from wiremap.base import Place
from wiremap.files import fields
from wiremap.files.fields import Reading, Table
from wiremap.files.hints import short
from wiremap.files.lookalikes import mixed_script, twins
from wiremap.files.strict import Document, Map, Node, Scalar, Seq
from wiremap.files.wires import BadWire, WireReader, parse_wire
from wiremap.model import (
    CHASSIS,
    Accepts,
    Cavity,
    Claim,
    Connector,
    Face,
    Leaflet,
    Link,
    Pinout,
    Source,
    Span,
    Switch,
    Wire,
    frozen,
)
from wiremap.model.pinout import BASES, FLOWS
from wiremap.naming import Reading as Signal
from wiremap.naming import read_signal
from wiremap.trade import functions
from wiremap.trade.colours import SYSTEMS, Letters, paper_letters
from wiremap.trade.marks import SCHEMES

MAX_CAVITIES = 4096
_RANGE = re.compile(r"(\d{1,9})-(\d{1,9})", re.ASCII)
_MEANT_RANGE = re.compile(r"(\d{1,4})\s*(?::|\.\.+|‐|‑|‒|–|—|−|~|\bto\b|\bbis\b)\s*(\d{1,4})", re.ASCII)
_SEALED = re.compile(r"(?<!un)(?<!not )\bsealed\b(?! off)", re.IGNORECASE)
_HALVES = frozenset({"can-high", "can-low", "j1850-plus", "j1850-minus", "differential-data"})
_OTHER_SIDE: Mapping[str, str] = MappingProxyType({"left": "right", "right": "left"})
_OTHER_KIND: Mapping[str, str] = MappingProxyType({"socket": "pin", "pin": "socket"})


@lru_cache(maxsize=65536)
def _signal(signal: str, stated: str | None, mark: tuple[tuple[str, str], ...], volts: tuple[float, float] | None) -> Signal:
    return read_signal(signal, stated=stated, mark=dict(mark) or None, volts=volts)


def signal_of(signal: str, stated: str | None, mark: Mapping[str, str], volts: Span | None) -> Signal:
    """The reading of one contact's wording, with its repeats remembered."""
    return _signal(signal, stated, tuple(sorted(mark.items())), (volts.low, volts.high) if volts else None)


def function(to: Reading, node: Node, key: str) -> str | None:
    """The slug of a function name or alias."""
    slug = functions.normalise(node.text) if isinstance(node, Scalar) and len(node.text) <= 60 else None
    if slug is None:
        near = functions.nearest(node.text) if isinstance(node, Scalar) else ()
        to.fault("wrong-value", f"`{key}`: {fields.told(node)} is no function here"
                 + (f"; did you mean {fields.listed(near[:1])}?" if near else ""), node,
                 "" if near else "Use a function of the closed list, or leave it out and give the name in `signal`.")
    return slug


def _mark(to: Reading, node: Node, key: str) -> Mapping[str, str] | None:
    table = dict.fromkeys(SCHEMES, fields.name)
    return frozen(fields.read_map(to, node, table, f"`{key}`"))


def _codes(to: Reading, node: Node, key: str) -> Mapping[str, str] | None:
    found = fields.texts_by_name(to, node, key)
    return None if found is None else frozen(found)


def _serves(to: Reading, node: Node, key: str) -> tuple[str, ...] | None:
    found = fields.names(to, node, key)
    if found is None:
        return None
    return tuple(one for word in found for one in (numbers(word) or (word,)))


def numbers(word: str) -> tuple[str, ...]:
    """The names that a range of whole numbers stands for, or nothing if the word is no range."""
    found = _RANGE.fullmatch(word)
    if not found:
        return ()
    low, high = found.groups()
    first, last = int(low), int(high)
    if last < first or last - first >= MAX_CAVITIES:
        return ()
    width = len(low) if low.startswith("0") and len(low) == len(high) else 0
    return tuple(str(n).zfill(width) for n in range(first, last + 1))


def expand(to: Reading, key: Scalar, literal: Collection[str], written: str | None = None) -> tuple[str, ...]:
    """The cavities that a key names: itself, or each of a range; a misspelt range is noted and names nothing."""
    word = key.text if written is None else written
    if word in literal:
        return (word,)
    found = _RANGE.fullmatch(word)
    if found:
        names = numbers(word)
        if not names:
            low, high = int(found.group(1)), int(found.group(2))
            if high < low:
                to.fault("wrong-value", f"the range `{short(word)}` runs from high to low", key, f"Write `{high}-{low}`.")
            else:
                to.fault("over-limit", f"the range `{short(word)}` spans more than {MAX_CAVITIES:,} cavities", key,
                         "Check the two numbers.")
        return names
    meant = _MEANT_RANGE.fullmatch(word) if key.plain else None
    if meant and int(meant.group(1)) < int(meant.group(2)):
        to.fault("wrong-range", f"`{short(word)}` is no range of cavities", key, f"Write `{meant.group(1)}-"
                 f"{meant.group(2)}` with a plain dash; if it is the name of one cavity, put it in quotes.")
        return ()
    return (word,)


_ACCEPTS: Table = {
    "csa_mm2": fields.span(0, 300, "mm2", above=True),
    "insulation_mm": fields.span(0, 60, "mm", above=True),
    "amps": fields.number(0, 1000, "A", above=True),
}
_LEAFLET: Table = {
    "fuse_amps": fields.number(0, 1000, "A", above=True),
    "min_csa_mm2": fields.number(0, 300, "mm2", above=True),
    "max_length_mm": fields.number(0, 100_000, "mm", above=True),
}


def _accepts(to: Reading, node: Node, key: str) -> Accepts | None:
    return Accepts(**fields.read_map(to, node, _ACCEPTS, f"`{key}`"))


def _leaflet(to: Reading, node: Node, key: str) -> Leaflet | None:
    return Leaflet(**fields.read_map(to, node, _LEAFLET, f"`{key}`"), place=to.place(node))


_basis = fields.one_of(*BASES)
OHMS = fields.span(0, 1e9, "ohm", may_be_open=True)
_LINK: Table = {"between": fields.two_names, "ohms": OHMS, "when": fields.name}
_SWITCH: Table = {"between": fields.two_names, "ohms": fields.number(0, 1e9, "ohm", above=True),
                  "delivered": fields.one_of("on", "off")}
_SOURCE: Table = {"name": fields.name, "basis": _basis}
_CLAIM: Table = {"signal": fields.name, "function": function, "mark": _mark, "basis": _basis, "source": fields.name}
_FACE: Table = {"view": fields.one_of("mating", "wire-entry"), "key": fields.one_of("top", "right", "bottom", "left"),
                "rows": lambda to, node, key: _rows(to, node)}
_CONNECTOR: Table = {
    "shell": fields.name, "contacts": fields.one_of("socket", "pin"), "sealed": fields.flag,
    "face": lambda to, node, key: _face(to, node), "accepts": _accepts}


def _claims(to: Reading, node: Node, key: str) -> tuple[Claim, ...] | None:
    claims = []
    for item in [node] if isinstance(node, Map) else fields.items(to, node, f"`{key}`"):
        got = fields.read_map(to, item, _CLAIM, "a further claim")
        if not got.keys() & {"signal", "function", "mark"}:
            to.fault("missing-key", "a further claim says neither `function`, `signal` nor `mark`", item,
                     "Write `also: [{function: ..., basis: ..., source: ...}]`.")
            continue
        reading = signal_of(got.get("signal", ""), got.get("function"), got.get("mark", {}), None)
        claims.append(Claim(reading, got.get("basis", BASES[0]), got.get("source", ""), to.place(item),
                            got.get("signal", "")))
    return tuple(claims)


_CAVITY: Table = {
    "signal": fields.name,
    "function": function,
    "mark": _mark,
    "wire": lambda to, node, key: None,          # replaced by the reader that knows the paper's letters
    "tinned": fields.flag,
    "pair": fields.name,
    "chain": fields.name,
    "kbit_s": fields.number(0, 1e7, "kbit/s", above=True),
    "volts": fields.span(-2000, 2000, "V"),
    "volts_ac": fields.number(0, 2000, "V"),
    "amps": fields.number(0, 1000, "A"),
    "peak_amps": fields.number(0, 5000, "A"),
    "asleep_amps": fields.number(0, 1000, "A"),
    "flow": fields.one_of(*FLOWS),
    "need": fields.one_of("must", "may"),
    "serves": _serves,
    "codes": _codes,
    "ohms": OHMS,
    "accepts": _accepts,
    "leaflet": _leaflet,
    "as_found": fields.one_of("empty", "wired"),
    "caution": fields.text,
    "basis": _basis,
    "source": fields.name,
    "also": _claims,
}


def _rows(to: Reading, node: Node) -> tuple[tuple[str | None, ...], ...] | None:
    rows: list[tuple[str | None, ...]] = []
    seen: set[str] = set()
    for row in fields.items(to, node, "`rows`"):
        cells: list[str | None] = []
        for cell in fields.items(to, row, "each of `rows`"):
            if isinstance(cell, Scalar) and (fields.empty(cell) or cell.text == "-"):
                cells.append(None)
                continue
            found = fields.name(to, cell, "rows")
            if found is not None and found in seen:
                to.fault("wrong-value", f"`rows` shows cavity `{short(found)}` twice", cell, "Each cavity has one place.")
            if found is not None:
                seen.add(found)
                cells.append(found)
        rows.append(tuple(cells))
    if len(seen) > MAX_CAVITIES:
        to.fault("over-limit", f"a face of more than {MAX_CAVITIES:,} cavities", node, "Check the rows.")
        return None
    if not seen and not to.findings:
        to.fault("wrong-value", "`rows` shows no cavity", node, "Write `rows: [[1, 2, 3], [4, 5, 6]]`.")
        return None
    return tuple(rows)


def _face(to: Reading, node: Node) -> Face | None:
    got = fields.read_map(to, node, _FACE, "`face`", required=("rows",))
    if isinstance(node, Map) and "view" not in node.entries:
        to.fault("missing-key", "`face` does not say from which side it is drawn", node,
                 "Add `view: mating` (you look at the side that plugs in) or `view: wire-entry` (where the wires go in); "
                 "if nobody knows, leave the face out until somebody has looked.",
                 "The two views are mirror images; reading one for the other is the commonest cause of miswiring.")
    if "view" not in got or "rows" not in got:
        return None
    return Face(got["view"], got["rows"], got.get("key"), to.place(node))


def _links(to: Reading, node: Node, key: str) -> tuple[Link, ...]:
    links = []
    for item in fields.items(to, node, f"`{key}`"):
        got = fields.read_map(to, item, _LINK, f"an entry of `{key}`", required=("between", "ohms"))
        if "between" in got and "ohms" in got:
            a, b = got["between"]
            if a == CHASSIS:
                a, b = b, a
            links.append(Link(a, b, got["ohms"], got.get("when"), to.place(item)))
    return tuple(links)


def _segments(to: Reading, node: Node, key: str) -> Mapping[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    owner: dict[str, str] = {}
    for key_node, value in fields.entries(to, node, "`segments`"):
        members = fields.names(to, value, key_node.text) or ()
        for member in members:
            if member in owner:
                to.fault("wrong-value", f"cavity `{short(member)}` stands in segments `{short(owner[member])}` and "
                         f"`{short(key_node.text)}`", value, "One cavity belongs to one segment.")
            owner[member] = key_node.text
        found[key_node.text] = members
    return frozen(found)


def _bridges(to: Reading, node: Node, key: str) -> tuple[tuple[str, str], ...]:
    pairs = (fields.two_names(to, item, key) for item in fields.items(to, node, "`bridges`"))
    return tuple(pair for pair in pairs if pair is not None)


def _switches(to: Reading, node: Node, key: str) -> Mapping[str, Switch]:
    found: dict[str, Switch] = {}
    for key_node, value in fields.entries(to, node, "`switches`"):
        got = fields.read_map(to, value, _SWITCH, f"switch `{short(key_node.text)}`", required=("between", "ohms"))
        if "between" in got and "ohms" in got:
            a, b = got["between"]
            found[key_node.text] = Switch(key_node.text, a, b, got["ohms"], got.get("delivered"), to.place(value))
    return frozen(found)


def _source(to: Reading, node: Node, key: str) -> Source | None:
    if isinstance(node, Scalar):
        alone = fields.name(to, node, key)
        return None if alone is None else Source(alone, "", to.place(node))
    got = fields.read_map(to, node, _SOURCE, "`source`")
    return Source(got.get("name", ""), got.get("basis", ""), to.place(node))


_PINOUT: Table = {
    "wiremap": fields.name,
    "title": fields.name,
    "id": fields.name,
    "revision": fields.whole(0, 1_000_000),
    "withdrawn": fields.text,
    "letters": fields.one_of(*SYSTEMS),
    "half": fields.one_of("wired", "unit"),
    "basis": _basis,
    "connector": lambda to, node, key: fields.read_map(to, node, _CONNECTOR, "`connector`") | {"place": to.place(node)},
    "source": _source,
    "leaflet": _leaflet,
    "cavities": lambda to, node, key: node,      # read last, when letters, basis and connector are known
    "inside": _links,
    "behind": _links,
    "segments": _segments,
    "bridges": _bridges,
    "switches": _switches,
}
PINOUT_KEYS, CAVITY_KEYS = tuple(_PINOUT), tuple(_CAVITY)


def build_pinout(document: Document, to: Reading, default_title: str) -> Pinout | None:
    """The pinout that a tree describes; faults are left with `to`, and any fault means no pinout."""
    root = document.root
    assert isinstance(root, Map)
    got = fields.read_map(to, root, _PINOUT, "a pinout", required=("cavities",))
    shell: dict[str, Any] = got.get("connector", {})
    face: Face | None = shell.get("face")
    half = got.get("half")
    shell_node = root.entries["connector"][1] if "connector" in root.entries else None
    drawn = isinstance(shell_node, Map) and "face" in shell_node.entries
    if drawn and half is None and "half" not in root.entries:
        to.fault("missing-key", "a face is given but not which half it shows", root.entries["connector"][1],
                 "Add `half: wired` (the half that carries the wires) or `half: unit` (the unit's own header).",
                 "The two halves of a connector are mirror images of each other.")
    if half == "unit":
        shell["contacts"] = _OTHER_KIND.get(shell.get("contacts", ""))
        shell["face"] = face and mirrored(face)
    if "sealed" not in shell and _SEALED.search(shell.get("shell", "")):
        shell["sealed"] = True
    connector = Connector(**shell)
    source = _document_source(got, to, root)
    cavities: Mapping[str, Cavity] = frozen()
    if "cavities" in got:
        cavities = _Cavities(to, got.get("letters"), connector, source).read(got["cavities"])
    pinout = Pinout(
        got.get("title", default_title), document.shown, cavities, connector, got.get("letters"), half, source,
        got.get("inside", ()), got.get("behind", ()), got.get("segments", frozen()), got.get("bridges", ()),
        got.get("switches", frozen()), got.get("leaflet"), got.get("id"), got.get("revision"), got.get("withdrawn"),
        to.place(root), document.text.sha256[:12] if document.text else "")
    if cavities and not to.failed:
        _references(to, pinout, root)
    return None if to.failed else pinout


def mirrored(face: Face) -> Face:
    """A face with left and right exchanged, the side it is seen from kept."""
    rows = tuple(tuple(reversed(row)) for row in face.padded())
    return replace(face, rows=rows, key=_OTHER_SIDE.get(face.key or "", face.key))


def _document_source(got: Mapping[str, Any], to: Reading, root: Map) -> Source:
    source: Source = got.get("source", Source(basis=""))
    basis = got.get("basis", "")
    if basis and source.basis and basis != source.basis:
        to.fault("wrong-value", f"`basis` is `{basis}` here and `{source.basis}` under `source`", root.entries["basis"][1],
                 "Keep one of the two.")
    return replace(source, basis=source.basis or basis or BASES[0])


class _Cavities:
    """Reads the cavities of one pinout."""

    def __init__(self, to: Reading, letters: Letters | None, connector: Connector, source: Source) -> None:
        self.to = to
        self.connector = connector
        self.source = source
        self.letters = letters
        self.literal = frozenset(connector.face.names) if connector.face else frozenset()
        self.read_wire = WireReader(letters)
        self.table: dict[str, fields.Reader] = dict(_CAVITY)
        self.found: dict[str, Cavity] = {}
        self.pairs: set[str] = set()

    def read(self, node: Node) -> Mapping[str, Cavity]:
        """Every cavity by its name, in file order."""
        to = self.to
        if isinstance(node, Seq):
            to.fault("wrong-value", "`cavities` must name each cavity, not list them", node,
                     "Write `1: {signal: ..., wire: ...}`, one cavity a line.")
            return frozen()
        rows = fields.entries(to, node, "`cavities`")
        if not rows and isinstance(node, Map):
            to.fault("missing-value", "`cavities` names no cavity", node, "Write `1: +12 always, red`, one cavity a line.")
        self.read_wire = WireReader(self.letters, None if self.letters else paper_letters(_colour_texts(rows)))
        self.table["wire"] = self.read_wire
        nodes: list[tuple[str, Node]] = []
        for key, value in rows:
            names = self._names(key)
            nodes += [(name, key) for name in names]
            if len(self.found) + len(names) > MAX_CAVITIES:
                to.fault("over-limit", f"more than {MAX_CAVITIES:,} cavities in one connector", key, "Split the file.")
                break
            if names:
                to.where = f"cavity {short(key.text, 40)}"
                self._entry(names, key, value)
        to.where = ""
        twins(to, nodes, "cavities")
        return frozen(self.found)

    def _names(self, key: Scalar) -> tuple[str, ...]:
        to = self.to
        key_text = fields.name(to, key, "cavities")
        if key_text is None:
            return ()
        if key_text == CHASSIS or " - " in key_text:
            to.fault("wrong-value", f"a cavity cannot be called `{short(key_text)}`", key,
                     "`chassis` is the machine's frame and ` - ` joins two points; choose another name.")
            return ()
        names = expand(to, key, self.literal, key_text)
        for name in names:
            if name in self.found:
                to.fault("duplicate-key", f"cavity {short(name)} stands here and in an earlier entry", key,
                         "Keep one of the two.", also=((self.found[name].place or to.place(key), "the earlier entry"),))
                return ()
        return names

    def _entry(self, names: tuple[str, ...], key: Scalar, value: Node) -> None:
        to = self.to
        if isinstance(value, Seq):
            to.fault("wrong-value", "a cavity must be a text or keys with values, not a list", value,
                     "Write `signal, colour`, or `{signal: ..., wire: ...}`.")
            return
        if isinstance(value, Map):
            got = fields.read_map(to, value, self.table, "a cavity")
            tinned = got.pop("tinned", False)
            if tinned:
                got["wire"] = replace(got.get("wire", Wire("")), tinned=True)
            places: Mapping[str, Place] = {word: to.place(entry[1]) for word, entry in value.entries.items()}
        else:
            got, places = self._short(value, names), {}
        if isinstance(value, Map) and "signal" in got:
            mixed_script(to, got["signal"], value)
        self._add(names, key, got, places)

    def _add(self, names: tuple[str, ...], key: Scalar, got: dict[str, Any], places: Mapping[str, Place]) -> None:
        signal, stated, mark = got.pop("signal", ""), got.pop("function", None), got.get("mark", {})
        reading = signal_of("" if signal == "?" else signal, stated, mark, got.get("volts"))
        own: Accepts | None = got.pop("accepts", None)
        accepts = self.connector.accepts
        if own is not None:
            accepts = Accepts(own.csa_mm2 or accepts.csa_mm2, own.insulation_mm or accepts.insulation_mm,
                              own.amps if own.amps is not None else accepts.amps)
        if "ohms" in got and got["ohms"] is None:
            del got["ohms"]
        got.setdefault("basis", self.source.basis)
        got.setdefault("source", self.source.name)
        place, kept = self.to.place(key), frozen(places)
        for name in names:
            self.found[name] = Cavity(name, reading, signal, accepts=accepts, place=place, places=kept, **got)

    def _short(self, value: Scalar, names: tuple[str, ...]) -> dict[str, Any]:
        """`signal, colour`; `-` for nothing there, `?` for not known; two cavities named as one bus make a pair."""
        to = self.to
        if (not value.text and value.plain) or value.text in fields.NONE_WORDS:
            to.fault("missing-value", "nothing is said of this cavity", value,
                     'Write the signal, "?" if it is not known, or "-" if nothing is there.')
            return {}
        written = fields.name(to, value, "signal")
        if written is None:
            return {}
        mixed_script(to, written, value)
        head, comma, tail = written.rpartition(",")
        signal, got = written, dict[str, Any]()
        if comma and tail.strip():
            wire = parse_wire(tail.strip(), self.read_wire.letters, self.read_wire.paper)
            if isinstance(wire, Wire):
                signal, got["wire"] = head.strip(), wire
            elif isinstance(wire, BadWire) and wire.colour is not None and wire.colour.readings:
                to.fault("wrong-wire", f"colour: {wire.message}", value, wire.fix)
                return {}
        if signal in ("-", ""):
            return got | {"signal": "", "function": "unused"}
        if len(names) == 2:
            reading = signal_of(signal, None, {}, None)
            if ({reading.function, *reading.may_be}) & _HALVES:
                pair = signal if signal not in self.pairs else f"{signal} {names[0]}-{names[1]}"
                self.pairs.add(pair)
                got["pair"] = pair
        return got | {"signal": signal}


def _colour_texts(rows: list[tuple[Scalar, Node]]) -> Iterator[str]:
    """The lettered colours of a paper, for telling which letters it uses."""
    for _, value in rows:
        if isinstance(value, Map) and "wire" in value.entries:
            wire = value.entries["wire"][1]
            if isinstance(wire, Map) and "colour" in wire.entries:
                wire = wire.entries["colour"][1]
            text = wire.text if isinstance(wire, Scalar) else ""
        else:
            text = value.text.rpartition(",")[2] if isinstance(value, Scalar) and "," in value.text else ""
        words = [word for word in text.split()[:6] if not word[0].isdigit() and word.casefold() not in
                 ("bare", "tinned", "thin", "thick", "awg", "mm2", "mm²", "?")]
        if words and len(text) <= 60:
            yield " ".join(words)


def _references(to: Reading, pinout: Pinout, root: Map) -> None:
    """Links, segments, switches and returns may only name cavities that the file has."""
    known = pinout.cavities

    def need(point: str, node: Node, what: str, also: Collection[str] = ()) -> None:
        if point not in known and point not in also:
            guess = fields.did_you_mean(point, known)
            to.fault("bad-reference", f"{what} names `{short(point)}`, which is no cavity here"
                     + (f"; {guess}" if guess else ""), node, "" if guess else "Name one of the cavities of this file.")

    for key in ("inside", "behind"):
        node = root.entries[key][1] if key in root.entries else None
        for link, item in zip(getattr(pinout, key), node.items if isinstance(node, Seq) else (), strict=False):
            for point in (link.a, link.b):
                need(point, item, f"`{key}`", (CHASSIS,))
    for name, members in pinout.segments.items():
        for point in members:
            need(point, root.entries["segments"][1], f"segment `{short(name)}`")
    for bridge in pinout.bridges:
        for segment in bridge:
            if segment not in pinout.segments:
                to.fault("bad-reference", f"`bridges` names `{short(segment)}`, which is no segment here",
                         root.entries["bridges"][1], "Bridges join names given under `segments`.")
    for switch in pinout.switches.values():
        for point in (switch.a, switch.b):
            need(point, root.entries["switches"][1], f"switch `{short(switch.name)}`")
    cavities = root.entries["cavities"][1]
    for cavity in known.values():
        for point in cavity.serves:
            need(point, cavities, f"cavity {short(cavity.name)}: `serves`")
        for point in cavity.codes:
            need(point, cavities, f"cavity {short(cavity.name)}: `codes`", ("open", CHASSIS))
