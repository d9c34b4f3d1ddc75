"""One line of first power taken apart: `15 off 0.02 V`, `donor.3 - donor.1 12.6 V key on`."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from wiremap.entries.lines import IGNITION, LONGEST, MINUS_SIGN, ROW_MARKS, phrases_out, taken_out
from wiremap.entries.numbers import DASH, SIGNED, decimal
from wiremap.model import OnOff
from wiremap.trade.tables import figure

MOST: Mapping[str, float] = MappingProxyType(
    {"V": figure("meter.toml", "row", "most-volts"), "A": figure("meter.toml", "row", "most-amps")}
)  # what a notebook takes

_NUMBERS = re.compile(r"\s*(\d{1,9}(?:/\d{1,9})*)[.:)]?(?=\s|$)")
_FIGURES = re.compile(
    rf"(?<!\S)({SIGNED}(?:(?:\s*/\s*|\s+){SIGNED})*)\s*([muµμ]?)"
    r"(?:([Vv])(?:olts?)?|([Aa])(?:mps?)?)(?!\S)"
)
_BARE = re.compile(rf"(?<!\S)({SIGNED})(?!\S)")
_OHMS = re.compile(r"(?:[\u03a9\u2126]|ohms?)$|^\d+(?:[.,]\d+)?[kKM]$", re.IGNORECASE)
_POINT = r"battery\s+(?:plus|minus)|\S+"
_PROBES = re.compile(
    rf"(?:(?P<tight>[^\s.]+[.]\S+?){DASH}(?=[^\s\d])|(?P<red>{_POINT})(?:\s+(?:to|{DASH})\s+|$))"
    rf"(?P<black>{_POINT})?",
    re.IGNORECASE,
)
# how many of a prefixed unit are one V or A; two signs look like the micro sign
_PARTS: Mapping[str, float] = MappingProxyType({"": 1.0, "m": 1e3, "u": 1e6, "µ": 1e6, "μ": 1e6})


class Points(NamedTuple):
    """Where the probes stood; the black one may be left out."""

    red: str
    black: str | None


@dataclass(frozen=True, slots=True)
class TypedPower:
    """What one line says: of which steps, or at which probes, and what was read."""

    numbers: tuple[int, ...]  # of steps; none where the probes are named
    figures: tuple[float, ...]
    unit: str  # V or A
    key: OnOff | None
    state: str | None
    rest: str  # what is left, in which the probes may be named


def numbers_in(piece: str) -> tuple[int, ...]:
    """The numbers of steps at the head of a line."""
    at = _NUMBERS.match(piece)
    return tuple(map(int, at[1].split("/"))) if at else ()


def taken_apart(piece: str, states: Collection[str], unit: str = "") -> TypedPower | str:
    """A line's numbers, state, figures and key, or in words what is wrong with it.

    `states` are what the steps may name; what is left over should name the probes.  `unit`: what
    a bare figure is read in, where the steps of the line leave but one.
    """
    if len(piece) > LONGEST:
        return f"a reading has no more than {LONGEST} characters"
    at = _NUMBERS.match(piece)
    text = ROW_MARKS.sub(" ", piece[at.end() if at else 0 :])
    named, text = phrases_out(states, MINUS_SIGN.sub("-", text))
    figures, text = taken_out(_FIGURES, _with_unit(text, unit))
    keys, text = taken_out(IGNITION, text)
    rest = " ".join(text.split())
    if not figures:
        return _no_figure(rest)
    units = {(found[3] or found[4]).upper() for found in figures}
    spoken = {found[1].casefold() for found in keys}
    if len(units) > 1 or len(spoken) > 1 or len(named) > 1:
        return "one line holds one reading"
    typed = TypedPower(
        numbers=numbers_in(piece),
        figures=tuple(number for found in figures for number in _numbers(found)),
        unit=units.pop(),
        key=OnOff(spoken.pop()) if spoken else None,
        state=named[0] if named else None,
        rest=rest,
    )
    most = MOST[typed.unit]
    if any(abs(number) > most for number in typed.figures):
        return f"no meter shows that: up to {most:g} {typed.unit} is taken"
    return typed


def _with_unit(text: str, unit: str) -> str:
    """A line's words with its bare figures in that unit; as they are where any unit is said."""
    if not unit or _FIGURES.search(text) or any(map(_OHMS.search, text.split())):
        return text
    return _BARE.sub(rf"\1 {unit}", text)


def _numbers(found: re.Match[str]) -> list[float]:
    """Volts or amps of one group of figures, to the nanovolt."""
    parts = _PARTS[found[2]]
    return [round(decimal(text) / parts, 9) for text in re.findall(SIGNED, found[1])]


def _no_figure(rest: str) -> str:
    """Why a line without volts and amps is none."""
    words = rest.split()
    if words and re.fullmatch(r"r\d+", words[0]):
        return f"{words[0]} is a reading of the ring-out: note it without --power"
    if any(map(_OHMS.search, words)):
        return "ohms are no reading of first power, nothing live is ohmed: read volts or amps"
    for word in words:
        if re.fullmatch(SIGNED, word):
            return f"`{word}` has no unit: V, mV, A or mA"
    return "no volts and no amps are said"


def points_of(words: str) -> Points | None:
    """The points of `donor.3 - donor.1` or `battery plus to donor.3`; None if they are none."""
    found = _PROBES.fullmatch(words)
    if found is None:
        return None
    black = found["black"]
    return Points(_post(found["red"] or found["tight"]), None if black is None else _post(black))


def _post(name: str) -> str:
    """A point as the list writes it: the battery's posts in small letters with one space."""
    small = " ".join(name.casefold().split())
    return small if small.startswith("battery ") else name
