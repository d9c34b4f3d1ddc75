"""Wires as loom drawings write them: `0.5 GN/WH`, `0.5? RD`, `20 AWG RD`, `0.5 bare`, `GN`, or spelled out in keys."""

from __future__ import annotations

import math
import re
from functools import lru_cache

from wiremap.files import fields
from wiremap.files.fields import Reading
from wiremap.files.hints import short
from wiremap.files.strict import Map, Node, Scalar
from wiremap.model import Wall, Wire
from wiremap.trade.colours import Colour, ColourFault, Letters, read_colour
from wiremap.trade.gauge import solid_diameter_mm

MAX_CSA_MM2 = 300.0
_SIZE = re.compile(
    r"(\d+(?:[.,]\d+)?|[.,]\d+)\s*(\?)?\s*(?:mm2|mm²|mm\^2|qmm)?\s*(\?)?(?=\s|$)", re.ASCII
)
_GAUGE = re.compile(
    r"(?:(\d{1,2}|[1-4]/0)\s*(?:AWG|ga(?:uge)?)|AWG\s*(\d{1,2}|[1-4]/0))\s*(\?)?(?=\s|$)",
    re.IGNORECASE,
)
_EXTRAS = frozenset({"bare", "tinned", "thin", "thick"})


class BadWire(Exception):
    """A wire that cannot be read: what is wrong and how to mend it."""

    def __init__(self, message: str, fix: str, colour: ColourFault | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.fix = fix
        self.colour = colour


def awg_area_mm2(gauge: str) -> float:
    """Cross-section of an American wire gauge, `20` or `2/0`: diameter 0.127 mm x 92^((36-n)/39) (ASTM B258)."""
    n = 1 - int(gauge[0]) if "/" in gauge else int(gauge)
    return math.pi / 4 * solid_diameter_mm(n) ** 2


@lru_cache(maxsize=8192)
def parse_wire(written: str, letters: Letters | None, paper: Letters | None) -> Wire | BadWire:
    """The wire that a text names, or why it names none."""
    try:
        return _parse(" ".join(written.split()), letters, paper)
    except BadWire as bad:
        return bad.with_traceback(None)


def _parse(written: str, letters: Letters | None, paper: Letters | None) -> Wire:
    rest, csa_mm2, doubtful, gauge = written, None, False, None
    if found := _GAUGE.match(rest):
        number = found.group(1) or found.group(2)
        if "/" not in number and int(number) > 40:
            raise BadWire(f"there is no {number} AWG", "Gauges run from 4/0 to 40.")
        csa_mm2, gauge, doubtful = awg_area_mm2(number), f"{number} AWG", bool(found.group(3))
        rest = rest[found.end() :]
    elif found := _SIZE.match(rest):
        if "," in found.group(1):
            raise BadWire(
                f"`{short(written)}`: a decimal is written with a point",
                f"Write {found.group(1).replace(',', '.')}.",
            )
        csa_mm2, doubtful = float(found.group(1)), bool(found.group(2) or found.group(3))
        if not 0 < csa_mm2 <= MAX_CSA_MM2:
            raise BadWire(
                f"a cross-section of {found.group(1)} mm2 is no loom wire",
                "Sizes run up to 300 mm2; 0.5 is usual. A gauge is written `20 AWG`.",
            )
        rest = rest[found.end() :]
    elif rest.startswith("? ") or rest == "?":
        doubtful, rest = True, rest[1:]
    words = rest.split()
    extras = {word.casefold() for word in words if word.casefold() in _EXTRAS}
    colour_text = " ".join(word for word in words if word.casefold() not in _EXTRAS)
    if {"thin", "thick"} <= extras:
        raise BadWire("a wall is thin or thick, not both", "Delete one of the two words.")
    colour = _colour(colour_text, letters, paper) if colour_text and colour_text != "?" else None
    if "bare" in extras and colour is not None:
        raise BadWire("a bare conductor has no colour", "Write `0.5 bare`, or leave out `bare`.")
    wall = next((wall for wall in Wall if wall in extras), None)
    return Wire(
        written,
        csa_mm2,
        colour=colour,
        doubtful=doubtful,
        bare="bare" in extras,
        tinned="tinned" in extras,
        gauge=gauge,
        wall=wall,
    )


def _colour(text: str, letters: Letters | None, paper: Letters | None) -> Colour:
    colour = read_colour(text, letters, paper)
    if isinstance(colour, Colour):
        return colour
    fix = colour.fix[:1].upper() + colour.fix[1:] + ("." if colour.fix else "")
    repaired = re.sub(r"\s*[:;\\.]\s*|\s*[‐‑‒–—―−]\s*", "/", text)
    if repaired != text and isinstance(read_colour(repaired, letters, paper), Colour):
        fix = f"Base and tracer are parted by a slash: `{repaired}`."
    told = f" ({'; '.join(colour.readings)})" if colour.readings else ""
    raise BadWire(colour.why + told, fix, colour)


class WireReader:
    """Reads the wires of one file by the letters that it names or proves."""

    def __init__(self, letters: Letters | None = None, paper: Letters | None = None) -> None:
        self.letters = letters
        self.paper = paper

    def __call__(self, to: Reading, node: Node, key: str) -> Wire | None:
        """A wire given as one text or as keys."""
        if isinstance(node, Map):
            return self._spelled(to, node, key)
        if not isinstance(node, Scalar):
            to.wrong(key, node, "a wire such as `0.5 GN/WH`")
            return None
        if len(node.text) > 100:
            to.fault(
                "over-limit",
                f"`{key}` is too long for a wire",
                node,
                "Write size and colour only: `0.5 GN/WH`.",
            )
            return None
        wire = parse_wire(node.text, self.letters, self.paper)
        if isinstance(wire, BadWire):
            to.fault("wrong-wire", f"`{key}`: {wire.message}", node, wire.fix)
            return None
        return wire

    def _spelled(self, to: Reading, node: Map, key: str) -> Wire | None:
        before = len(to.findings)
        table = {**_KEYS, "colour": self._colour}
        got = fields.read_map(to, node, table, f"`{key}`")
        if len(to.findings) > before:
            return None
        gauge = got.get("gauge")
        if gauge is not None and "csa_mm2" in got:
            to.fault(
                "wrong-value",
                f"`{key}` gives both `gauge` and `csa_mm2`",
                node,
                "Keep the one the paper states.",
            )
            return None
        csa = awg_area_mm2(gauge.split()[0]) if gauge else got.get("csa_mm2")
        wire = Wire(
            "",
            csa,
            colour=got.get("colour"),
            doubtful=got.get("doubtful", False),
            bare=got.get("bare", False),
            tinned=got.get("tinned", False),
            gauge=gauge,
            wall=got.get("wall"),
            outside_mm=got.get("outside_mm"),
        )
        return Wire(
            describe(wire),
            wire.csa_mm2,
            colour=wire.colour,
            doubtful=wire.doubtful,
            bare=wire.bare,
            tinned=wire.tinned,
            gauge=wire.gauge,
            wall=wire.wall,
            outside_mm=wire.outside_mm,
        )

    def _colour(self, to: Reading, node: Node, key: str) -> Colour | None:
        written = fields.name(to, node, key)
        if written is None:
            return None
        try:
            return _colour(written, self.letters, self.paper)
        except BadWire as bad:
            to.fault("wrong-wire", f"`{key}`: {bad.message}", node, bad.fix)
            return None


def _gauge(to: Reading, node: Node, key: str) -> str | None:
    found = _GAUGE.fullmatch(node.text.strip()) if isinstance(node, Scalar) else None
    number = (
        (found.group(1) or found.group(2))
        if found
        else node.text.strip()
        if isinstance(node, Scalar)
        else ""
    )
    if not re.fullmatch(r"[1-4]/0|[0-9]|[1-3][0-9]|40", number):
        to.wrong(key, node, "a wire gauge such as `20 AWG`")
        return None
    return f"{number} AWG"


_KEYS: dict[str, fields.Reader] = {
    "csa_mm2": fields.number(0, MAX_CSA_MM2, "mm2", above=True),
    "gauge": _gauge,
    "bare": fields.flag,
    "tinned": fields.flag,
    "doubtful": fields.flag,
    "wall": fields.one_of(*Wall),
    "outside_mm": fields.number(0, 60, "mm", above=True),
}
WIRE_KEYS: tuple[str, ...] = (*_KEYS, "colour")


def describe(wire: Wire) -> str:
    """A wire as one text that reads back to the same size, colour and words; outside diameter has no place in it."""
    size = wire.gauge or (f"{wire.csa_mm2:g}" if wire.csa_mm2 is not None else "")
    parts = [
        size + ("?" if wire.doubtful else ""),
        wire.colour.written or wire.colour.iec if wire.colour else "",
        "bare" if wire.bare else "",
        "tinned" if wire.tinned else "",
        wire.wall or "",
    ]
    return " ".join(part for part in parts if part)
