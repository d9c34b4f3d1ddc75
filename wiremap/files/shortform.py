"""The short form of a cavity: `signal, colour`; `-` for nothing there, `?` for not known."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from wiremap.files.contacts import meaning_of
from wiremap.files.faults import NONE_WORDS, Faults
from wiremap.files.hints import short
from wiremap.files.lookalikes import remark_mixed_script
from wiremap.files.strict import Map, Node, Scalar
from wiremap.files.values import name
from wiremap.files.wires import BadWire, WireReader, parse_wire, size_first
from wiremap.model import Wire
from wiremap.trade.functions import FUNCTIONS, PAIR_HALVES

NO_LETTERS = frozenset({"bare", "tinned", "thin", "thick", "awg", "mm2", "mm²", "?"})
LONGEST_COLOUR = 60
MOST_WORDS = 6  # of a text that may be a colour
MOST_OF_WIRE = 4  # words of a size and a colour: `0.5 mm2 green/white tinned`
SHORTEST_WORD = 2  # letters: less is a code, which stands behind a comma
BEGINS = SHORTEST_WORD + 1  # letters by which a word is told from letters of colours
COLOURLESS = frozenset({"supply", "ground", "reference", "bus", "input", "drive"})
_BETWEEN = re.compile(r"(?<=,)(\s*\d+),(\d+)(?=\s*,)")  # a size with its decimal comma
_SIZED = re.compile(r"[.,]\d|mm|AWG", re.IGNORECASE)


class ShortForms:
    """Reads the short forms of one paper; two cavities named as one bus make a pair."""

    def __init__(self, faults: Faults, wires: WireReader) -> None:
        self.faults = faults
        self.wires = wires
        self.pairs: set[str] = set()

    def read(self, value: Scalar, names: tuple[str, ...]) -> dict[str, Any]:
        """What a text says of the cavities of these names: signal, wire, pair, function."""
        faults = self.faults
        if (not value.text and value.plain) or value.text in NONE_WORDS:
            fix = 'Write the signal, "?" if it is not known, or "-" if nothing is there.'
            faults.add("missing-value", "nothing is said of this cavity", value, fix)
            return {}
        written = name(faults, value, "signal")
        if written is None:
            return {}
        remark_mixed_script(faults, written, value)
        got = self._signal_and_wire(written, value)
        if got is None:
            return {}
        signal = got["signal"]
        if signal in ("-", ""):
            return got | {"signal": "", "function": "unused"}
        if len(names) == 2:
            meaning = meaning_of(signal, None, {}, None)
            if not PAIR_HALVES.isdisjoint((meaning.function, *meaning.may_be)):
                got["pair"] = self._pair(signal, "-".join(names))
        return got

    def _signal_and_wire(self, written: str, value: Scalar) -> dict[str, Any] | None:
        head, tail = parted(_BETWEEN.sub(r"\1.\2", written))
        if not tail:
            return self._without_comma(written)
        head, tail = self._with_size(head, tail)
        wire = self._wire(tail)
        if isinstance(wire, Wire):
            if _glued(written, head, tail):
                self._fault_comma(written, head, tail, value)
                return None
            return {"signal": head, "wire": wire}
        if wire.colour is not None and wire.colour.readings:
            self.faults.add("wrong-wire", f"colour: {wire.message}", value, wire.fix)
            return None
        return {"signal": written}

    def _wire(self, text: str) -> Wire | BadWire:
        return parse_wire(size_first(text), self.wires.letters, self.wires.paper)

    def _with_size(self, head: str, tail: str) -> tuple[str, str]:
        """A signal and its wire, where a comma parts size and colour as well."""
        before, parting, piece = head.rpartition(",")
        if parting:
            for told in (f"{piece} {tail}", f"{tail} {piece}"):
                if _is_whole(self._wire(told.strip())):
                    return before.strip(), told.strip()
        return head, tail

    def _without_comma(self, written: str) -> dict[str, Any]:
        """A signal and what stands behind it as a wire, without a comma: `left lamp red 2.5`.

        A colour alone counts but behind a lamp of no side, whose light it may be; by itself it
        tells nothing of the signal.
        """
        words = written.split()
        if len(words) == 1 and written.isalpha() and len(written) > SHORTEST_WORD:
            lone = self._wire(written)
            if isinstance(lone, Wire) and lone.colour is not None:
                return {"signal": "?", "wire": lone}
        for count in range(2, min(MOST_OF_WIRE, len(words) - 1) + 1):
            tail = " ".join(words[-count:])
            wire = self._wire(tail)
            if _is_whole(wire) and (_is_size(tail) or not words[-count].isdigit()):
                return {"signal": " ".join(words[:-count]), "wire": wire}
        *before, last = words
        spelled = last.replace("/", "").isalpha() and len(last) > SHORTEST_WORD
        if before and spelled and "/" not in last[:BEGINS]:
            head, wire = " ".join(before), self._wire(last)
            if isinstance(wire, Wire) and wire.colour is not None and _is_colourless(head):
                return {"signal": head, "wire": wire}
        return {"signal": written}

    def _fault_comma(self, written: str, head: str, tail: str, value: Scalar) -> None:
        self.faults.add(
            "unclear-comma",
            f"the comma in `{short(written)}` may be a decimal or part the signal from the wire",
            value,
            f"Write `{short(head)}, {short(tail)}` with a space, or a point for the decimal; "
            "a comma that belongs to the name stands in `{signal: ...}`.",
        )

    def _pair(self, signal: str, cavities: str) -> str:
        """The pair's name; a second bus of one name is told apart by its cavities."""
        pair = f"{signal} {cavities}" if signal in self.pairs else signal
        self.pairs.add(pair)
        return pair


def _is_colourless(signal: str) -> bool:
    """Whether a colour behind a signal can only be its wire's."""
    if signal == "?":
        return True
    meaning = meaning_of(signal, None, {}, None)
    told = dict(meaning.qualifiers)  # a lamp is told by its side; else its light may be meant
    return FUNCTIONS[meaning.function].electrical in COLOURLESS or "side" in told


def _is_whole(wire: Wire | BadWire) -> bool:
    return isinstance(wire, Wire) and wire.colour is not None and wire.csa_mm2 is not None


def _is_size(text: str) -> bool:
    """Whether a figure is a size beyond doubt: `2 red` may be the second of some red ones."""
    return _SIZED.search(text) is not None


def parted(written: str) -> tuple[str, str]:
    """A short form's signal and the wire after its last comma, which a decimal comma is not.

    >>> parted("+12 always, 0,5 red")
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


def colour_texts(rows: list[tuple[Scalar, Node]]) -> Iterator[str]:
    """The lettered colours of a paper, for telling which letters it uses."""
    for _, value in rows:
        text = _colour_text(value)
        words = [word for word in text.split()[:MOST_WORDS] if _lettered(word)]
        if words and len(text) <= LONGEST_COLOUR:
            yield " ".join(words)


def _colour_text(value: Node) -> str:
    """Where a cavity's colour stands: after the comma of its short form, or in its `wire`."""
    if isinstance(value, Scalar):
        return value.text.rpartition(",")[2] if "," in value.text else ""
    wire = _under(value, "wire")
    if isinstance(wire, Map):
        wire = _under(wire, "colour") or wire
    return wire.text if isinstance(wire, Scalar) else ""


def _under(node: Node, key: str) -> Node | None:
    if isinstance(node, Map) and key in node.entries:
        return node.entries[key][1]
    return None


def _lettered(word: str) -> bool:
    return not word[0].isdigit() and word.casefold() not in NO_LETTERS
