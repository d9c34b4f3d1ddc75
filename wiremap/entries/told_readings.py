"""What a meter showed, told in words: `12.6 V with the key off`, `it beeps to chassis`."""

from __future__ import annotations

import re
from itertools import chain
from typing import NamedTuple

from wiremap.entries.numbers import BETWEEN_ENDS, DIGITS, OHM, decimal
from wiremap.model import OnOff

_BARE = rf"(?<![\w.,])(-?(?:{DIGITS}|\.\d+))\s*"
_VOLTS = re.compile(rf"{_BARE}(m?)[Vv](?:[Oo][Ll][Tt][Ss]?)?(?!\w)")
_OF_RANGE = re.compile(rf"\d\s*[Vv]?(?:{BETWEEN_ENDS})(?=\d)")
_SCALES = {"k": 1e3, "kilo": 1e3, "M": 1e6, "mega": 1e6, "m": 1e-3, "milli": 1e-3}
_OHMS = re.compile(
    rf"{_BARE}(?:((?:[Kk]ilo|[Mm]ega|[Mm]illi|[kKmM])?)\s*{OHM}(?!\w)|(?<=\d)([kKM])(\d*)(?!\w))"
)
_HEARD = re.compile(r"(?<!\w)(?:beep(?:s|ed)?|silent|diode)(?!\w)", re.IGNORECASE)
_BEEP = re.compile(r"(?<!\w)beep(?:s|ed)?(?!\w)", re.IGNORECASE)
_NO_BEEP = re.compile(r"(?<!\w)(?:no|not|never|without)\s+(?:a\s+)?beep", re.IGNORECASE)
_EFFECT = re.compile(
    r"(?<!\w)(?:click|spun|spin|turn|mov|lit|light|glow|burn|chang|react|sound|hum|buzz|open|clos|"
    r"switch|start|stop|ran|run|r[io]se|fell|fall|jump|swung|swing|blink|flash|counted)\w*",
    re.IGNORECASE,
)
_KEY = re.compile(
    r"(?:(?<!\w)(?:key|ignition)[:\s]\s*|(?<=[Vv])\s+|(?<=[Vv]),\s*)(on|off)(?!\w)", re.IGNORECASE
)
_BARE_WITH_KEY = re.compile(
    rf"\s*(-?(?:{DIGITS}|\.\d+)),?\s+((?:(?:key|ignition)\s+)?(?:on|off))\s*", re.IGNORECASE
)


class ToldVolts(NamedTuple):
    """Volts in somebody's words, and the ignition's position if it is told with them."""

    volts: float
    key: OnOff | None


def tells_reading(text: str) -> bool:
    """Whether volts, ohms or a beeper's answer stand in the words of a person."""
    told = _with_unit(text)
    return bool(_read_volts(told)) or any(each.search(told) for each in (_OHMS, _HEARD))


def tells_effect(text: str) -> bool:
    """Whether words tell what was seen or heard when a contact was worked: `coil clicked`."""
    return len(text.split()) > 1 and _EFFECT.search(text) is not None


def tells_basis(text: str) -> bool:
    """Whether words tell a reading, or an effect that was seen."""
    return tells_reading(text) or tells_effect(text)


def told_volts(text: str) -> tuple[ToldVolts, ...]:
    """The volts that words tell [V], each with the ignition's position.

    Positions stand before the figures if the first of them does, otherwise behind.
    """
    told = _with_unit(text)
    figures, keys = _read_volts(told), list(_KEY.finditer(told))
    leads = bool(figures and keys) and keys[0].start() < figures[0].start()
    return tuple(ToldVolts(_volts(found), _key(found, keys, leads=leads)) for found in figures)


def _read_volts(told: str) -> list[re.Match[str]]:
    """The figures in volts; the end of a range is none: a meter shows one figure."""
    return [found for found in _VOLTS.finditer(told) if not _ends_range(told, found)]


def _ends_range(told: str, found: re.Match[str]) -> bool:
    return any(each.end() == found.start() for each in _OF_RANGE.finditer(told))


def _with_unit(text: str) -> str:
    """The text, with V behind a figure that stands beside the ignition's position and nothing else:
    for ohms the battery is off.
    """
    found = _BARE_WITH_KEY.fullmatch(text)
    return f"{found[1]} V {found[2]}" if found else text


def told_ohms(text: str) -> tuple[float, ...]:
    """The ohms that words tell [ohm]."""
    return tuple(_ohms(found) for found in _OHMS.finditer(text))


def told_beep(text: str) -> bool:
    """Whether the words tell that the meter beeped."""
    return _BEEP.search(text) is not None and _NO_BEEP.search(text) is None


def _volts(found: re.Match[str]) -> float:
    return decimal(found[1]) / (1000 if found[2] else 1)


def _key(found: re.Match[str], keys: list[re.Match[str]], *, leads: bool) -> OnOff | None:
    """The position that belongs to a figure: the nearest on its side."""
    before = (key for key in reversed(keys) if key.start() < found.start())
    behind = (key for key in keys if key.start() > found.start())
    near = next(before if leads else chain(behind, reversed(keys)), None)
    return None if near is None else OnOff(near[1].casefold())


def _ohms(found: re.Match[str]) -> float:
    scale = found[2] or found[3] or ""
    share = _SCALES.get(scale) or _SCALES.get(scale.casefold(), 1.0)
    part = f".{found[4]}" if found[4] and "." not in found[1] else ""
    return decimal(found[1] + part) * share
