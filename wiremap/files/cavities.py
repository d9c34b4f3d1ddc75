"""Cavities of a pinout: their short and full forms, ranges of them, and the letters that their colours prove."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from wiremap.base import Place
from wiremap.files import fields
from wiremap.files.fields import Reading, Table
from wiremap.files.hints import short
from wiremap.files.lookalikes import mixed_script, twins
from wiremap.files.strict import Map, Node, Scalar, Seq
from wiremap.files.wires import BadWire, WireReader, parse_wire
from wiremap.model import (
    CHASSIS,
    Accepts,
    AsFound,
    Basis,
    Cavity,
    Claim,
    Clamp,
    Connector,
    Flow,
    Leaflet,
    Need,
    Plating,
    Source,
    Span,
    Wire,
    frozen,
)
from wiremap.naming import Meaning as Signal
from wiremap.naming import read_signal
from wiremap.trade import functions
from wiremap.trade.colours import Letters, paper_letters
from wiremap.trade.marks import SCHEMES

MAX_CAVITIES = 4096
_RANGE = re.compile(r"(\d{1,9})-(\d{1,9})", re.ASCII)
_MEANT_RANGE = re.compile(
    r"(\d{1,4})\s*(?::|\.\.+|‐|‑|‒|–|—|−|~|\bto\b|\bbis\b)\s*(\d{1,4})", re.ASCII
)
_HALVES = frozenset({"can-high", "can-low", "j1850-plus", "j1850-minus", "differential-data"})


@lru_cache(maxsize=65536)
def _signal(
    signal: str,
    stated: str | None,
    mark: tuple[tuple[str, str], ...],
    volts: tuple[float, float] | None,
) -> Signal:
    return read_signal(signal, stated=stated, mark=dict(mark) or None, volts=volts)


def signal_of(
    signal: str, stated: str | None, mark: Mapping[str, str], volts: Span | None
) -> Signal:
    """The reading of one contact's wording, with its repeats remembered."""
    return _signal(
        signal, stated, tuple(sorted(mark.items())), (volts.low, volts.high) if volts else None
    )


def function(to: Reading, node: Node, key: str) -> str | None:
    """The slug of a function name or alias."""
    slug = (
        functions.normalise(node.text)
        if isinstance(node, Scalar) and len(node.text) <= 60
        else None
    )
    if slug is None:
        near = functions.nearest(node.text) if isinstance(node, Scalar) else ()
        to.fault(
            "wrong-value",
            f"`{key}`: {fields.told(node)} is no function here"
            + (f"; did you mean {fields.listed(near[:1])}?" if near else ""),
            node,
            ""
            if near
            else "Use a function of the closed list, or leave it out and give the name in `signal`.",
        )
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


def expand(
    to: Reading, key: Scalar, literal: Collection[str], written: str | None = None
) -> tuple[str, ...]:
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
                to.fault(
                    "wrong-value",
                    f"the range `{short(word)}` runs from high to low",
                    key,
                    f"Write `{high}-{low}`.",
                )
            else:
                to.fault(
                    "over-limit",
                    f"the range `{short(word)}` spans more than {MAX_CAVITIES:,} cavities",
                    key,
                    "Check the two numbers.",
                )
        return names
    meant = _MEANT_RANGE.fullmatch(word) if key.plain else None
    if meant and int(meant.group(1)) < int(meant.group(2)):
        to.fault(
            "wrong-range",
            f"`{short(word)}` is no range of cavities",
            key,
            f"Write `{meant.group(1)}-"
            f"{meant.group(2)}` with a plain dash; if it is the name of one cavity, put it in quotes.",
        )
        return ()
    return (word,)


ACCEPTS: Table = {
    "csa_mm2": fields.span(0, 300, "mm2", above=True),
    "insulation_mm": fields.span(0, 60, "mm", above=True),
    "amps": fields.number(0, 1000, "A", above=True),
}
LEAFLET: Table = {
    "fuse_amps": fields.number(0, 1000, "A", above=True),
    "min_csa_mm2": fields.number(0, 300, "mm2", above=True),
    "max_length_mm": fields.number(0, 100_000, "mm", above=True),
}


def read_accepts(to: Reading, node: Node, key: str) -> Accepts | None:
    return Accepts(**fields.read_map(to, node, ACCEPTS, f"`{key}`"))


def read_leaflet(to: Reading, node: Node, key: str) -> Leaflet | None:
    return Leaflet(**fields.read_map(to, node, LEAFLET, f"`{key}`"), place=to.place(node))


read_basis = fields.one_of(*Basis)
OHMS = fields.span(0, 1e9, "ohm", may_be_open=True)
CLAIM: Table = {
    "signal": fields.name,
    "function": function,
    "mark": _mark,
    "basis": read_basis,
    "source": fields.name,
}


def _claims(to: Reading, node: Node, key: str) -> tuple[Claim, ...] | None:
    claims = []
    for item in [node] if isinstance(node, Map) else fields.items(to, node, f"`{key}`"):
        got = fields.read_map(to, item, CLAIM, "a further claim")
        if not got.keys() & {"signal", "function", "mark"}:
            to.fault(
                "missing-key",
                "a further claim says neither `function`, `signal` nor `mark`",
                item,
                "Write `also: [{function: ..., basis: ..., source: ...}]`.",
            )
            continue
        reading = signal_of(got.get("signal", ""), got.get("function"), got.get("mark", {}), None)
        claims.append(
            Claim(
                reading=reading,
                basis=got.get("basis", Basis.TOLD),
                source=got.get("source", ""),
                place=to.place(item),
                signal=got.get("signal", ""),
            )
        )
    return tuple(claims)


CAVITY: Table = {
    "signal": fields.name,
    "function": function,
    "mark": _mark,
    "wire": lambda to, node, key: None,  # replaced by the reader that knows the paper's letters
    "tinned": fields.flag,
    "pair": fields.name,
    "chain": fields.name,
    "kbit_s": fields.number(0, 1e7, "kbit/s", above=True),
    "volts": fields.span(-2000, 2000, "V"),
    "volts_ac": fields.number(0, 2000, "V"),
    "amps": fields.number(0, 1000, "A"),
    "peak_amps": fields.number(0, 5000, "A"),
    "asleep_amps": fields.number(0, 1000, "A"),
    "limit_C": fields.number(40, 400, "C"),
    "clamp": fields.one_of(*Clamp),
    "pwm_hz": fields.number(0, 1e6, "Hz", above=True),
    "detects_open": fields.flag,
    "plating": fields.one_of(*Plating),
    "flow": fields.one_of(*Flow),
    "need": fields.one_of(*Need),
    "serves": _serves,
    "codes": _codes,
    "ohms": OHMS,
    "accepts": read_accepts,
    "leaflet": read_leaflet,
    "as_found": fields.one_of(*AsFound),
    "caution": fields.text,
    "basis": read_basis,
    "source": fields.name,
    "also": _claims,
}


class Cavities:
    """Reads the cavities of one pinout."""

    def __init__(
        self, to: Reading, letters: Letters | None, connector: Connector, source: Source
    ) -> None:
        self.to = to
        self.connector = connector
        self.source = source
        self.letters = letters
        self.literal = frozenset(connector.face.names) if connector.face else frozenset()
        self.read_wire = WireReader(letters)
        self.table: dict[str, fields.Reader] = dict(CAVITY)
        self.found: dict[str, Cavity] = {}
        self.pairs: set[str] = set()

    def read(self, node: Node) -> Mapping[str, Cavity]:
        """Every cavity by its name, in file order."""
        to = self.to
        if isinstance(node, Seq):
            to.fault(
                "wrong-value",
                "`cavities` must name each cavity, not list them",
                node,
                "Write `1: {signal: ..., wire: ...}`, one cavity a line.",
            )
            return frozen()
        rows = fields.entries(to, node, "`cavities`")
        if not rows and isinstance(node, Map):
            to.fault(
                "missing-value",
                "`cavities` names no cavity",
                node,
                "Write `1: +12 always, red`, one cavity a line.",
            )
        self.read_wire = WireReader(
            self.letters, None if self.letters else paper_letters(_colour_texts(rows))
        )
        self.table["wire"] = self.read_wire
        nodes: list[tuple[str, Node]] = []
        for key, value in rows:
            names = self._names(key)
            nodes += [(name, key) for name in names]
            if len(self.found) + len(names) > MAX_CAVITIES:
                to.fault(
                    "over-limit",
                    f"more than {MAX_CAVITIES:,} cavities in one connector",
                    key,
                    "Split the file.",
                )
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
            to.fault(
                "wrong-value",
                f"a cavity cannot be called `{short(key_text)}`",
                key,
                "`chassis` is the machine's frame and ` - ` joins two points; choose another name.",
            )
            return ()
        names = expand(to, key, self.literal, key_text)
        for name in names:
            if name in self.found:
                to.fault(
                    "duplicate-key",
                    f"cavity {short(name)} stands here and in an earlier entry",
                    key,
                    "Keep one of the two.",
                    also=((self.found[name].place or to.place(key), "the earlier entry"),),
                )
                return ()
        return names

    def _entry(self, names: tuple[str, ...], key: Scalar, value: Node) -> None:
        to = self.to
        if isinstance(value, Seq):
            to.fault(
                "wrong-value",
                "a cavity must be a text or keys with values, not a list",
                value,
                "Write `signal, colour`, or `{signal: ..., wire: ...}`.",
            )
            return
        if isinstance(value, Map):
            got = fields.read_map(to, value, self.table, "a cavity")
            tinned = got.pop("tinned", False)
            if tinned:
                got["wire"] = replace(got.get("wire", Wire("")), tinned=True)
            places: Mapping[str, Place] = {
                word: to.place(entry[1]) for word, entry in value.entries.items()
            }
        else:
            got, places = self._short(value, names), {}
        if isinstance(value, Map) and "signal" in got:
            mixed_script(to, got["signal"], value)
        self._add(names, key, got, places)

    def _add(
        self, names: tuple[str, ...], key: Scalar, got: dict[str, Any], places: Mapping[str, Place]
    ) -> None:
        signal, stated, mark = got.pop("signal", ""), got.pop("function", None), got.get("mark", {})
        reading = signal_of("" if signal == "?" else signal, stated, mark, got.get("volts"))
        own: Accepts | None = got.pop("accepts", None)
        accepts = self.connector.accepts
        if own is not None:
            accepts = Accepts(
                csa_mm2=own.csa_mm2 or accepts.csa_mm2,
                insulation_mm=own.insulation_mm or accepts.insulation_mm,
                amps=own.amps if own.amps is not None else accepts.amps,
            )
        if "ohms" in got and got["ohms"] is None:
            del got["ohms"]
        got.setdefault("basis", self.source.basis)
        got.setdefault("source", self.source.name)
        got.setdefault("plating", self.connector.plating)
        place, kept = self.to.place(key), frozen(places)
        for name in names:
            self.found[name] = Cavity(
                name=name,
                reading=reading,
                signal=signal,
                accepts=accepts,
                place=place,
                places=kept,
                **got,
            )

    def _short(self, value: Scalar, names: tuple[str, ...]) -> dict[str, Any]:
        """`signal, colour`; `-` for nothing there, `?` for not known; two cavities named as one bus make a pair."""
        to = self.to
        if (not value.text and value.plain) or value.text in fields.NONE_WORDS:
            to.fault(
                "missing-value",
                "nothing is said of this cavity",
                value,
                'Write the signal, "?" if it is not known, or "-" if nothing is there.',
            )
            return {}
        written = fields.name(to, value, "signal")
        if written is None:
            return {}
        mixed_script(to, written, value)
        head, tail = _parted(written)
        signal, got = written, dict[str, Any]()
        if tail:
            wire = parse_wire(tail, self.read_wire.letters, self.read_wire.paper)
            if isinstance(wire, Wire) and _glued(written, head, tail):
                to.fault(
                    "unclear-comma",
                    f"the comma in `{short(written)}` may be a decimal or part the signal from the wire",
                    value,
                    f"Write `{short(head)}, {short(tail)}` with a space, or a point for the decimal; "
                    "a comma that belongs to the name stands in `{signal: ...}`.",
                )
                return {}
            if isinstance(wire, Wire):
                signal, got["wire"] = head, wire
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


def _parted(written: str) -> tuple[str, str]:
    """A short form's signal and the wire after its last comma, which a decimal comma is not.

    >>> _parted("+12 always, 0,5 red")
    ('+12 always', '0.5 red')
    """
    if "," not in written:
        return written, ""
    head, _, tail = written.rpartition(",")
    before, parting, whole = head.rpartition(",")
    if parting and whole.strip().isdecimal() and tail[:1].isdecimal():
        return before.strip(), f"{whole.strip()}.{tail.strip()}"
    return head.strip(), tail.strip()


def _glued(written: str, head: str, tail: str) -> bool:
    """Whether figures stand on both sides of the comma that parts a signal from its wire."""
    last = head[-1:]
    return last.isdecimal() and tail[:1].isdecimal() and written.endswith(f"{last},{tail}")


def _colour_texts(rows: list[tuple[Scalar, Node]]) -> Iterator[str]:
    """The lettered colours of a paper, for telling which letters it uses."""
    for _, value in rows:
        if isinstance(value, Map) and "wire" in value.entries:
            wire = value.entries["wire"][1]
            if isinstance(wire, Map) and "colour" in wire.entries:
                wire = wire.entries["colour"][1]
            text = wire.text if isinstance(wire, Scalar) else ""
        else:
            text = (
                value.text.rpartition(",")[2]
                if isinstance(value, Scalar) and "," in value.text
                else ""
            )
        words = [
            word
            for word in text.split()[:6]
            if not word[0].isdigit()
            and word.casefold() not in ("bare", "tinned", "thin", "thick", "awg", "mm2", "mm²", "?")
        ]
        if words and len(text) <= 60:
            yield " ".join(words)
