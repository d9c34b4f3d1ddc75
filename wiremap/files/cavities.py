"""Cavities of a pinout: each key a cavity or a range of them, its value a short or a full form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from wiremap.base import Place
from wiremap.files.contacts import CAVITY, accepted, figures_told, meaning_of
from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.lookalikes import remark_mixed_script, remark_twins
from wiremap.files.ranges import MAX_CAVITIES, expand
from wiremap.files.shortform import ShortForms, colour_texts
from wiremap.files.strict import Map, Node, Scalar, Seq
from wiremap.files.values import FileValue, Table, entries, name, read_map
from wiremap.files.wires import WireReader
from wiremap.model import CHASSIS, Accepts, Cavity, Connector, Source, Wire, frozen
from wiremap.naming import worded
from wiremap.trade.colours import Letters, paper_letters


def read_cavities(
    faults: Faults, node: Node, letters: Letters | None, connector: Connector, source: Source
) -> Mapping[str, Cavity]:
    """Every cavity of a pinout by its name, in file order."""
    if isinstance(node, Seq):
        message = "`cavities` must name each cavity, not list them"
        fix = "Write `1: {signal: ..., wire: ...}`, one cavity a line."
        faults.add("wrong-value", message, node, fix)
        return frozen()
    rows = entries(faults, node, "`cavities`")
    if not rows and isinstance(node, Map):
        message = "`cavities` names no cavity"
        faults.add("missing-value", message, node, "Write `1: +12 always, red`, one cavity a line.")
    paper = None if letters else paper_letters(colour_texts(rows))
    reader = _Cavities(faults, WireReader(letters, paper), connector, source)
    reader.read(rows)
    return frozen(reader.found)


class _Cavities:
    """Reads the cavities of one pinout, one after the other."""

    def __init__(
        self, faults: Faults, wires: WireReader, connector: Connector, source: Source
    ) -> None:
        self.faults = faults
        self.connector = connector
        self.source = source
        # names on the face: `6-7` among them is one cavity, no range
        self.literal = frozenset(connector.face.names) if connector.face else frozenset()
        self.table: Table = {**CAVITY, "wire": FileValue(wires)}
        self.short_forms = ShortForms(faults, wires)
        self.found: dict[str, Cavity] = {}

    def read(self, rows: list[tuple[Scalar, Node]]) -> None:
        faults = self.faults
        named: list[tuple[str, Node]] = []
        for key, value in rows:
            names = self._names(key)
            named += [(name, key) for name in names]
            if len(self.found) + len(names) > MAX_CAVITIES:
                message = f"more than {MAX_CAVITIES:,} cavities in one connector"
                faults.add("over-limit", message, key, "Split the file.")
                break
            if names:
                faults.where = f"cavity {short(key.text, 40)}"
                self._entry(names, key, value)
        faults.where = ""
        remark_twins(faults, named, "cavities")

    def _names(self, key: Scalar) -> tuple[str, ...]:
        """The cavities that a key names; nothing if one of them stood earlier."""
        faults = self.faults
        written = name(faults, key, "cavities")
        if written is None:
            return ()
        if written == CHASSIS or " - " in written:
            faults.add(
                "wrong-value",
                f"a cavity cannot be called `{short(written)}`",
                key,
                "`chassis` is the machine's frame and ` - ` joins two points; choose another name.",
            )
            return ()
        names = expand(faults, key, self.literal, written)
        for one in names:
            earlier = self.found.get(one)
            if earlier is not None:
                message = f"cavity {short(one)} stands here and in an earlier entry"
                also = ((earlier.place or faults.place(key), "the earlier entry"),)
                faults.add("duplicate-key", message, key, "Keep one of the two.", also=also)
                return ()
        return names

    def _entry(self, names: tuple[str, ...], key: Scalar, value: Node) -> None:
        faults = self.faults
        if isinstance(value, Scalar):
            self._add(names, key, self.short_forms.read(value, names), frozen())
            return
        if isinstance(value, Seq):
            message = "a cavity must be a text or keys with values, not a list"
            fix = "Write `signal, colour`, or `{signal: ..., wire: ...}`."
            faults.add("wrong-value", message, value, fix)
            return
        got = read_map(faults, value, self.table, "a cavity")
        if got.pop("tinned", False):
            got["wire"] = replace(got.get("wire", Wire("")), tinned=True)
        if "signal" in got:
            remark_mixed_script(faults, got["signal"], value)
        self._add(names, key, got, faults.places(value))

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
        place = self.faults.place(key)
        for one in names:
            self.found[one] = Cavity(
                name=one, reading=meaning, signal=signal, place=place, places=places, **got
            )
