"""Cavities of a pinout: each key a cavity or a range of them, its value a short or a full form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from wiremap.base import Place
from wiremap.files.contacts import CAVITY, accepted, figures_told, meaning_of
from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.lookalikes import mixed_script, twins
from wiremap.files.ranges import MAX_CAVITIES, expand
from wiremap.files.shortform import ShortForms, colour_texts
from wiremap.files.strict import Map, Node, Scalar, Seq
from wiremap.files.values import FileValue, Table, entries, name, read_map
from wiremap.files.wires import WireReader
from wiremap.model import CHASSIS, Accepts, Cavity, Connector, Source, Wire, frozen
from wiremap.naming import worded
from wiremap.trade.colours import Letters, paper_letters


def read_cavities(
    to: Faults, node: Node, letters: Letters | None, connector: Connector, source: Source
) -> Mapping[str, Cavity]:
    """Every cavity of a pinout by its name, in file order."""
    if isinstance(node, Seq):
        message = "`cavities` must name each cavity, not list them"
        fix = "Write `1: {signal: ..., wire: ...}`, one cavity a line."
        to.fault("wrong-value", message, node, fix)
        return frozen()
    rows = entries(to, node, "`cavities`")
    if not rows and isinstance(node, Map):
        message = "`cavities` names no cavity"
        to.fault("missing-value", message, node, "Write `1: +12 always, red`, one cavity a line.")
    paper = None if letters else paper_letters(colour_texts(rows))
    reader = _Cavities(to, WireReader(letters, paper), connector, source)
    reader.read(rows)
    return frozen(reader.found)


class _Cavities:
    """Reads the cavities of one pinout, one after the other."""

    def __init__(self, to: Faults, wires: WireReader, connector: Connector, source: Source) -> None:
        self.to = to
        self.connector = connector
        self.source = source
        self.literal = frozenset(connector.face.names) if connector.face else frozenset()
        self.table: Table = {**CAVITY, "wire": FileValue(wires)}
        self.short_forms = ShortForms(to, wires)
        self.found: dict[str, Cavity] = {}

    def read(self, rows: list[tuple[Scalar, Node]]) -> None:
        to = self.to
        named: list[tuple[str, Node]] = []
        for key, value in rows:
            names = self._names(key)
            named += [(name, key) for name in names]
            if len(self.found) + len(names) > MAX_CAVITIES:
                message = f"more than {MAX_CAVITIES:,} cavities in one connector"
                to.fault("over-limit", message, key, "Split the file.")
                break
            if names:
                to.where = f"cavity {short(key.text, 40)}"
                self._entry(names, key, value)
        to.where = ""
        twins(to, named, "cavities")

    def _names(self, key: Scalar) -> tuple[str, ...]:
        """The cavities that a key names; nothing if one of them stood earlier."""
        to = self.to
        written = name(to, key, "cavities")
        if written is None:
            return ()
        if written == CHASSIS or " - " in written:
            to.fault(
                "wrong-value",
                f"a cavity cannot be called `{short(written)}`",
                key,
                "`chassis` is the machine's frame and ` - ` joins two points; choose another name.",
            )
            return ()
        names = expand(to, key, self.literal, written)
        for one in names:
            earlier = self.found.get(one)
            if earlier is not None:
                message = f"cavity {short(one)} stands here and in an earlier entry"
                also = ((earlier.place or to.place(key), "the earlier entry"),)
                to.fault("duplicate-key", message, key, "Keep one of the two.", also=also)
                return ()
        return names

    def _entry(self, names: tuple[str, ...], key: Scalar, value: Node) -> None:
        to = self.to
        if isinstance(value, Scalar):
            self._add(names, key, self.short_forms.read(value, names), frozen())
            return
        if isinstance(value, Seq):
            message = "a cavity must be a text or keys with values, not a list"
            fix = "Write `signal, colour`, or `{signal: ..., wire: ...}`."
            to.fault("wrong-value", message, value, fix)
            return
        got = read_map(to, value, self.table, "a cavity")
        if got.pop("tinned", False):
            got["wire"] = replace(got.get("wire", Wire("")), tinned=True)
        if "signal" in got:
            mixed_script(to, got["signal"], value)
        self._add(names, key, got, to.places(value))

    def _add(
        self, names: tuple[str, ...], key: Scalar, got: dict[str, Any], places: Mapping[str, Place]
    ) -> None:
        signal, stated = worded(got.pop("signal", ""), got.pop("function", None))
        wording = "" if signal == "?" else signal
        meaning = meaning_of(wording, stated, got.get("mark", {}), got.get("volts"))
        own: Accepts | None = got.pop("accepts", None)
        base = self.connector.accepts
        got["accepts"] = base if own is None else accepted(own, base)
        got.setdefault("basis", self.source.basis)
        got.setdefault("source", self.source.name)
        got.setdefault("plating", self.connector.plating)
        for word, figure in figures_told(wording, meaning.function):
            got.setdefault(word, figure)
        place = self.to.place(key)
        for one in names:
            self.found[one] = Cavity(
                name=one, reading=meaning, signal=signal, place=place, places=places, **got
            )
