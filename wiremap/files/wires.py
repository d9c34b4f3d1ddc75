"""Wires as loom drawings write them: `0.5 GN/WH`, `20 AWG RD`, `0.5 bare`, `GN`, or spelled out.

A question mark behind the size marks it as doubtful: `0.5? RD`.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from wiremap.files import values, yamltext
from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.strict import Map, Node, Scalar
from wiremap.files.values import FLAG, FileValue, Table
from wiremap.files.yamltext import Pair
from wiremap.model import Wall, Wire
from wiremap.trade.colours import SYSTEMS, Colour, ColourFault, Letters, read_colour
from wiremap.trade.gauge import solid_diameter_mm

MAX_CSA_MM2 = 300.0
MAX_GAUGE = 40
LONGEST = 100
ROUNDED = 0.02  # 0.52 mm2 is 20 AWG; 0.5 mm2 is not
UNTOLD = Wire("?", None, doubtful=True)  # a new wire of which nobody has told anything
_SIZE = re.compile(
    r"(\d+(?:[.,]\d+)?|[.,]\d+)\s*(\?)?\s*(?:mm2|mm²|mm\^2|qmm)?\s*(\?)?(?=\s|$)", re.ASCII
)
_GAUGE = re.compile(
    r"(?:(\d{1,2}|[1-4]/0)\s*(?:AWG|ga(?:uge)?)|AWG\s*(\d{1,2}|[1-4]/0))\s*(\?)?(?=\s|$)",
    re.IGNORECASE,
)
_GAUGE_NUMBER = re.compile(r"[1-4]/0|[0-9]|[1-3][0-9]|40")
_WORDS = frozenset({"bare", "tinned", "thin", "thick"})


class BadWire(Exception):
    """A wire that cannot be read: what is wrong and how to mend it."""

    def __init__(self, message: str, fix: str, colour: ColourFault | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.fix = fix
        self.colour = colour


class Size(NamedTuple):
    """The beginning of a written wire: its size, how sure that is, and the text behind it."""

    csa_mm2: float | None
    doubtful: bool
    gauge: str | None
    rest: str


def awg_area_mm2(gauge: str) -> float:
    """Cross-section of an American wire gauge, `20` or `2/0`.

    Diameter 0.127 mm x 92^((36-n)/39) (ASTM B258).
    """
    n = 1 - int(gauge[0]) if "/" in gauge else int(gauge)
    return math.pi / 4 * solid_diameter_mm(n) ** 2


@lru_cache(maxsize=8192)
def parse_wire(written: str, letters: Letters | None, paper: Letters | None) -> Wire | BadWire:
    """The wire that a text names, or why it names none; remembered, as wordings repeat."""
    try:
        return _parse(" ".join(written.split()), letters, paper)
    except BadWire as bad:
        return bad.with_traceback(None)  # what is remembered holds no frames


def _parse(written: str, letters: Letters | None, paper: Letters | None) -> Wire:
    size = _size(written)
    words = size.rest.split()
    said = {word.casefold() for word in words} & _WORDS
    colour_text = " ".join(word for word in words if word.casefold() not in _WORDS)
    if {"thin", "thick"} <= said:
        raise BadWire("a wall is thin or thick, not both", "Delete one of the two words.")
    colour = None
    if colour_text and colour_text != "?":
        colour = _colour(colour_text, letters, paper)
    if "bare" in said and colour is not None:
        raise BadWire("a bare conductor has no colour", "Write `0.5 bare`, or leave out `bare`.")
    return Wire(
        written,
        size.csa_mm2,
        colour=colour,
        doubtful=size.doubtful,
        bare="bare" in said,
        tinned="tinned" in said,
        gauge=size.gauge,
        wall=next((wall for wall in Wall if wall in said), None),
    )


def _size(written: str) -> Size:
    found = _GAUGE.match(written)
    if found:
        return _gauge_size(found, written[found.end() :])
    found = _SIZE.match(written)
    if found:
        return _metric_size(found, written)
    if written.startswith("? ") or written == "?":
        return Size(None, True, None, written[1:])
    return Size(None, False, None, written)


def _gauge_size(found: re.Match[str], rest: str) -> Size:
    number = found[1] or found[2]
    if "/" not in number and int(number) > MAX_GAUGE:
        raise BadWire(f"there is no {number} AWG", "Gauges run from 4/0 to 40.")
    return Size(awg_area_mm2(number), bool(found[3]), f"{number} AWG", rest)


def _metric_size(found: re.Match[str], written: str) -> Size:
    figure = found[1]
    if "," in figure:
        message = f"`{short(written)}`: a decimal is written with a point"
        raise BadWire(message, f"Write {figure.replace(',', '.')}.")
    csa_mm2 = float(figure)
    if not 0 < csa_mm2 <= MAX_CSA_MM2:
        raise BadWire(
            f"a cross-section of {figure} mm2 is no loom wire",
            "Sizes run up to 300 mm2; 0.5 is usual. A gauge is written `20 AWG`.",
        )
    return Size(csa_mm2, bool(found[2] or found[3]), None, written[found.end() :])


def _colour(text: str, letters: Letters | None, paper: Letters | None) -> Colour:
    colour = read_colour(text, letters, paper)
    if isinstance(colour, Colour):
        return colour
    fix = f"{colour.fix[0].upper()}{colour.fix[1:]}." if colour.fix else ""
    mended = re.sub(r"\s*[:;\\.]\s*|\s*[‐‑‒–—―−]\s*", "/", text)
    if mended != text and isinstance(read_colour(mended, letters, paper), Colour):
        fix = f"Base and tracer are parted by a slash: `{mended}`."
    told = f" ({'; '.join(colour.readings)})" if colour.readings else ""
    raise BadWire(colour.why + told, fix, colour)


class WireReader:
    """Reads the wires of one file by the letters that it names or proves."""

    def __init__(self, letters: Letters | None = None, paper: Letters | None = None) -> None:
        self.letters = letters
        self.paper = paper

    def __call__(self, faults: Faults, node: Node, key: str) -> Wire | None:
        """A wire given as one text or as keys."""
        if isinstance(node, Map):
            return self._spelled(faults, node, key)
        if not isinstance(node, Scalar):
            faults.wrong(key, node, "a wire such as `0.5 GN/WH`")
            return None
        if len(node.text) > LONGEST:
            message = f"`{key}` is too long for a wire"
            faults.add("over-limit", message, node, "Write size and colour only: `0.5 GN/WH`.")
            return None
        wire = parse_wire(node.text, self.letters, self.paper)
        if isinstance(wire, BadWire):
            faults.add("wrong-wire", f"`{key}`: {wire.message}", node, wire.fix)
            return None
        return wire

    def _spelled(self, faults: Faults, node: Map, key: str) -> Wire | None:
        before = faults.counted
        table = {**WIRE, "colour": FileValue(self._colour)}
        got = values.read_map(faults, node, table, f"`{key}`")
        if faults.counted > before:
            return None
        gauge = got.get("gauge")
        if gauge is not None and "csa_mm2" in got:
            message = f"`{key}` gives both `gauge` and `csa_mm2`"
            faults.add("wrong-value", message, node, "Keep the one the paper states.")
            return None
        if gauge is not None:
            got["csa_mm2"] = awg_area_mm2(gauge.split()[0])
        wire = Wire("", **got)
        return replace(wire, written=describe(wire))

    def _colour(self, faults: Faults, node: Node, key: str) -> Colour | None:
        written = values.name(faults, node, key)
        if written is None:
            return None
        try:
            return _colour(written, self.letters, self.paper)
        except BadWire as bad:
            faults.add("wrong-wire", f"`{key}`: {bad.message}", node, bad.fix)
            return None


def _gauge(faults: Faults, node: Node, key: str) -> str | None:
    written = node.text.strip() if isinstance(node, Scalar) else ""
    found = _GAUGE.fullmatch(written)
    number = (found[1] or found[2]) if found else written
    if _GAUGE_NUMBER.fullmatch(number):
        return f"{number} AWG"
    faults.wrong(key, node, "a wire gauge such as `20 AWG`")
    return None


WIRE: Table = {
    "gauge": FileValue(_gauge),
    "csa_mm2": values.number(0, MAX_CSA_MM2, "mm2", above=True),
    "colour": FileValue(
        values.later, lambda colour: yamltext.word(_letters(colour))
    ),  # replaced by the reader that knows the paper's letters
    "doubtful": FLAG,
    "bare": FLAG,
    "tinned": FLAG,
    "wall": values.one_of(Wall),
    "outside_mm": values.number(0, 60, "mm", above=True),
}


def _letters(colour: Colour) -> str:
    return colour.written or colour.iec


def size_first(text: str) -> str:
    """A wire whose colour stands before its size, as a reader wants it: `red 1.0` is `1.0 red`."""
    found = re.fullmatch(r"([^\d\s]\D*?)\s+(\d{1,3}(?:[.,]\d{1,3})?)\s*(mm2|mm\u00b2|)", text)
    return f"{found[2].replace(',', '.')} {found[1]}" if found else text


def same_wire(one: Wire, other: Wire) -> bool:
    """Whether two writings can be of one wire: what one of them leaves out contradicts nothing."""
    sizes = [size for size in (one.csa_mm2, other.csa_mm2) if size is not None]
    if len(sizes) > 1 and not math.isclose(*sizes, rel_tol=ROUNDED):
        return False
    return one.colour is None or other.colour is None or one.colour.same_as(other.colour)


def wire_pairs(wire: Wire | None, letters: Letters | None) -> list[Pair]:
    """The `wire` entry of a circuit or cavity, and `tinned` beside it where the text does not say
    so.

    Keys are spelled out where a text would not read back to the same colour, or has no place for
    all.
    """
    if wire is None:
        return []
    if not wire.written:
        return [("tinned", "true")] if wire.tinned else []
    read = None
    if wire.outside_mm is None:
        read = _reads_back(wire, letters)
    if read is None:
        implied = {"csa_mm2": wire.csa_mm2} if wire.gauge else {}
        return [("wire", yamltext.flow(values.stated(wire, WIRE, implied)))]
    pairs = [("wire", yamltext.word(wire.written))]
    if wire.tinned and not read.tinned:
        pairs.append(("tinned", "true"))
    return pairs


def new_wire_pairs(wire: Wire | None) -> list[Pair]:
    """The `wire` entry of a circuit or leg in a file that names no letters and proves none.

    A colour that its own writing would not give there is written in words.
    """
    if wire is not None and wire.colour is not None:
        read = parse_wire(wire.written, None, None)
        if isinstance(read, BadWire) or read.colour != wire.colour:
            wire = replace(wire, colour=replace(wire.colour, written=wire.colour.canonical))
            wire = replace(wire, written=describe(wire))
    return wire_pairs(wire, None)


def _reads_back(wire: Wire, letters: Letters | None) -> Wire | None:
    """What a wire's text reads as, by letters that give its colour; None if no letters do."""
    papers: tuple[Letters | None, ...] = (None,)
    if letters is None:
        papers = (None, *SYSTEMS)
    for paper in papers:
        read = parse_wire(wire.written, letters, paper)
        if isinstance(read, Wire) and read.colour == wire.colour:
            return read
    return None


def describe(wire: Wire) -> str:
    """A wire as one text that reads back to the same size, colour and words.

    Its outside diameter has no place in it.
    """
    size = wire.gauge or ""
    if not size and wire.csa_mm2 is not None:
        size = f"{wire.csa_mm2:g}"
    parts = [size + "?" * wire.doubtful]
    if wire.colour:
        parts.append(_letters(wire.colour))
    parts += [word for word in ("bare", "tinned") if getattr(wire, word)]
    parts.append(wire.wall or "")
    return " ".join(part for part in parts if part)
