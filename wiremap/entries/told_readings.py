"""Whether words tell what a meter showed: `12.6 V with the key off`, `it beeps to chassis`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from wiremap.entries.numbers import DIGITS, OHM, decimal

_BARE = rf"(?<![\w.,])(-?(?:{DIGITS}|\.\d+))\s*"
_VOLTS = re.compile(rf"{_BARE}(m?)[Vv](?:[Oo][Ll][Tt][Ss]?)?(?!\w)")
_SCALE = r"(?:[Kk]ilo|[Mm]ega|[Mm]illi|[kKmM])?"
_OHMS = re.compile(rf"{_BARE}(?:{_SCALE}\s*{OHM}(?!\w)|(?<=\d)[kKM]\d*(?!\w))")
_HEARD = re.compile(r"(?<!\w)(?:beep(?:s|ed)?|silent|diode)(?!\w)", re.IGNORECASE)


def tells_reading(text: str) -> bool:
    """Whether volts, ohms or a beeper's answer stand in the words of a person."""
    return any(pattern.search(text) for pattern in (_VOLTS, _OHMS, _HEARD))


def told_volts(text: str) -> Iterator[float]:
    """The volts that words tell [V]."""
    for number, milli in _VOLTS.findall(text):
        yield decimal(number) / (1000 if milli else 1)
