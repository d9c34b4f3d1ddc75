"""The one grammar of what is typed: numbers, units, what a display shows."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from wiremap.model import OPEN, Seen, Span
from wiremap.trade.tables import figure as tabled

DIGITS = r"\d+(?:[.,]\d+)?"
SIGNED = rf"[+-]?(?:{DIGITS}|\.\d+)"  # a meter's display, or as people shorten it
DASH = r"[-\u2010-\u2015\u2212]"  # hyphens, dashes and the minus sign, as phones make of one
# between two ends: a dash behind a figure or its unit and before a figure is no minus
BETWEEN_ENDS = rf"\s+(?:to|bis)\s+|\s*(?:\.{{2,3}}|\u2026)\s*|(?<=[\w])\s*{DASH}\s*(?=\d)"
OHM = r"(?:\u03a9|\u2126|[Oo][Hh][Mm][Ss]?)"
SEEN: Mapping[str, Seen] = MappingProxyType(
    {
        "b": Seen.BEEP,
        "beep": Seen.BEEP,
        "beeps": Seen.BEEP,
        "piep": Seen.BEEP,
        "piept": Seen.BEEP,
        "s": Seen.SILENT,
        "silent": Seen.SILENT,
        "quiet": Seen.SILENT,
        "n": Seen.UNSURE,
        "?": Seen.UNSURE,
        "unsure": Seen.UNSURE,
        "no diode": Seen.SILENT,
        "nd": Seen.SILENT,
        "d": Seen.DIODE,
        "diode": Seen.DIODE,
    }
)
MOST_OHMS = tabled("meter.toml", "row", "most-ohms")
LONGEST = 40  # characters of a figure
OPEN_WORDS = frozenset({"o", "open", "ol", "0l", "o.l", "0.l", "o.l.", "0.l."})  # overload
SCALE: Mapping[str, float] = MappingProxyType(
    {"": 1.0, "R": 1.0, "r": 1.0, "k": 1e3, "K": 1e3, "M": 1e6}
)
OPEN_FROM_OHMS = tabled("meter.toml", "row", "open")  # `>` and at least this is open

_NUMBER = re.compile(r"([-+]?\d{1,9}(?:[.,]\d{1,9})?)\s*([^\d\s]\S*)?", re.ASCII | re.DOTALL)
_OHMS = re.compile(
    rf"(?P<over>>\s*)?(?P<figure>{DIGITS})(?P<unit>[kKMRr]?)(?P<part>(?<=[kKMRr])\d+)?{OHM}?"
)
OHMS_SAID = re.compile(rf"(?<!\S)>?\s*{DIGITS}(?:\s*[kKMRr]\d*)?\s*{OHM}?(?!\S)")
_THOUSANDS = re.compile(r",\d{3}(?!\d)")  # 7,700 may mean either


@dataclass(frozen=True, slots=True)
class Figure:
    """What a figure may be: its bounds, both included, and its unit.

    `spelt` gives for each spelling of a unit how many of `unit` one is: {"V": 1, "mV": 0.001}.
    """

    low: float
    high: float
    unit: str
    example: str
    spelt: Mapping[str, float]
    whole: bool = False


def decimal(text: str) -> float:
    """A number written with a point or a comma."""
    return float(text.replace(",", "."))


def figure(text: str, of: Figure) -> float | None:
    """The number that a text states in that unit; None if none, another unit, or out of bounds."""
    found = _NUMBER.fullmatch(text.strip())
    scale = of.spelt.get(found[2]) if found and found[2] else 1.0
    if found is None or scale is None:
        return None
    stated = round(decimal(found[1]) * scale, 9)
    if of.whole and not stated.is_integer():
        return None
    return stated if of.low <= stated <= of.high else None


def figures(text: str, of: Figure) -> Span | None:
    """One number of that unit, or two with `to`, dots or a dash between, the lower first; the unit
    stands behind both, or behind the last for both.  None if none.
    """
    said = re.split(BETWEEN_ENDS, text.strip(), maxsplit=1)
    unit = _NUMBER.fullmatch(said[-1].strip())
    if len(said) == 2 and unit and unit[2] and said[0].strip()[-1:].isdigit():
        said[0] = f"{said[0]} {unit[2]}"
    parts = [figure(part, of) for part in said]
    known = [part for part in parts if part is not None]
    if len(known) != len(parts) or known != sorted(known):
        return None
    low, *_ = known
    *_, high = known
    return Span(low, high)


def read_seen(text: str) -> Seen | Span | None:
    """What a typed word or number says of the display [ohm]; None if it says nothing."""
    word = text.strip().casefold()
    if word in SEEN:
        return SEEN[word]
    if word in OPEN_WORDS:
        return OPEN
    ohms = OHMS_SAID.fullmatch(text.strip())
    return _read_ohms("".join(text.split()) if ohms else text.strip())


def _read_ohms(text: str) -> Span | None:
    """Ohms as `61.2`, `4.7k`, `4k7` or `>20M`, of which only a least value is known."""
    found = _OHMS.fullmatch(text) if len(text) <= LONGEST else None
    if found is None or _THOUSANDS.search(text):
        return None
    written = found["figure"].replace(",", ".")
    if found["part"]:
        if "." in written:
            return None
        written = f"{written}.{found['part']}"
    ohms = float(written) * SCALE[found["unit"]]
    if ohms > MOST_OHMS:
        return None
    if not found["over"]:
        return Span.of(ohms)
    return OPEN if ohms >= OPEN_FROM_OHMS else Span(ohms, math.inf)
