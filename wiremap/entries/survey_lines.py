"""One line of the survey taken apart: `loom.1 12.6 V key off`, `loom.12 to loom.8 0 V 1.8k`."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from wiremap.entries.lines import BETWEEN, taken_out
from wiremap.entries.numbers import DASH, DIGITS, MOST_OHMS, decimal, read_seen
from wiremap.model import OPEN, OnOff, Seen, Span
from wiremap.trade.tables import figure

MINUS = "battery minus"
MOST_VOLTS = figure("meter.toml", "row", "most-volts")
BEYOND = f"no meter shows that: up to {MOST_VOLTS:g} V and {MOST_OHMS / 1e6:g} M are taken"

_KEY = re.compile(r"(?<!\S)(?:key|ignition)\s+(on|off)(?!\S)", re.IGNORECASE)
_VOLTS = re.compile(rf"(?<!\S)([+-]?{DIGITS})\s*(m?)[Vv](?:olts?)?(?!\S)")
_OHMS = re.compile(rf"(?<!\S)({DIGITS})\s*(?:([kKM]?)\s*(?:\u03a9|\u2126|[Oo]hms?)|([kKM]))(?!\S)")
_MINUS_SIGN = re.compile(rf"(?<!\S){DASH}(?=\d)")
_MARKS = re.compile(r"[):]+(?=\s|$)|(?<!\S)\(")  # as in a row: `loom.1 to battery minus (key off):`


@dataclass(frozen=True, slots=True)
class Probes:
    """The points that a line begins with, red first, and the words after them."""

    points: tuple[str, ...]
    rest: str
    lacks_black: bool = False  # a `to` with nothing behind it


@dataclass(frozen=True, slots=True)
class Shown:
    """What the meter showed, and how the ignition stood."""

    volts: float | None
    seen: Seen | Span | None
    key: OnOff | None


def probes(line: str) -> Probes:
    """The points of a line, `to` or a dash between two."""
    words = _MARKS.sub(" ", BETWEEN.sub(" ", line)).split()
    points, rest = words[:1], words[1:]
    if not rest or not (rest[0].casefold() == "to" or re.fullmatch(DASH, rest[0])):
        return Probes(tuple(points), " ".join(rest))
    if " ".join(rest[1:3]).casefold() == MINUS:
        return Probes((*points, MINUS), " ".join(rest[3:]))
    return Probes((*points, *rest[1:2]), " ".join(rest[2:]), lacks_black=len(rest) < 2)


def shown(said: str, *, has_black: bool, states: Iterable[str]) -> Shown | str:
    """What a meter showed by the words behind the points, or in words what is wrong with them.

    `states` are what the row may ask for, told where a word is not understood.
    """
    keys, said = taken_out(_KEY, said)
    volts, said = taken_out(_VOLTS, _MINUS_SIGN.sub("-", said))
    figures, said = taken_out(_OHMS, said)
    seen = [read_seen(found[1] + (found[2] or found[3] or "")) for found in figures]
    if None in seen:
        return BEYOND
    for word in said.split():
        read = read_seen(word)
        wrong = _no_reading(word, read, states)
        if wrong:
            return wrong
        seen.append(read)
    seen = [read for read in seen if read is not None]
    if not volts and not seen:
        return "no volts and no ohms are said"
    if max(len(volts), len(seen), len(keys)) > 1:
        return "one line holds one reading"
    if seen and not has_black:
        return "ohms are read between two points: say where the black probe stood"
    if not seen and not keys:
        return "volts hang on the ignition: say ignition off or ignition on"
    found = Shown(
        _volts(volts[0]) if volts else None,
        seen[0] if seen else None,
        OnOff(keys[0][1].casefold()) if keys else None,
    )
    return _beyond(found) or found


def _no_reading(word: str, read: Seen | Span | None, states: Iterable[str]) -> str:
    if isinstance(read, Span):
        return "" if read == OPEN else f"`{word}` has no unit: V, mV, ohm, k or M"
    if read in (Seen.UNSURE, Seen.DIODE):
        return f"`{word}` proves nothing here: read volts or ohms"
    if read is not None:
        return ""
    wrong = f"`{word}` is no reading of a survey"
    either = " or ".join(states)
    return f"{wrong}; the state here may be {either}" if either else wrong


def _volts(found: re.Match[str]) -> float:
    return decimal(found[1]) / (1000 if found[2] else 1)


def _beyond(found: Shown) -> str:
    """Why no meter shows that; empty if one does."""
    volts = abs(found.volts or 0.0)
    if volts <= MOST_VOLTS:
        return ""
    return BEYOND
