"""Figures that a wording tells beside the signal: `CAN high 250 kbit/s`, `pump, max 12 A`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

ONCE, KILO = 1, 1000
_NUMBER = r"\d{1,5}(?:[.,]\d+)?"
_WITH_UNIT = re.compile(r"\d\s*[AaVvkMWw]")  # without one there is no figure, and most have none
_VOLTS = re.compile(
    rf"(?<![\w.,])[+]?({_NUMBER})(?:\s*V)?(?:\s*(?:to|-|–|/|\.{{2,3}}|…|bis)\s*({_NUMBER}))?"
    r"\s*(?:V|volts?)(?:DC)?(?![\w/])",
)
_RATE = re.compile(rf"(?<![\w.,])({_NUMBER})\s*([kM])(?:bit|b|Bd|baud)?(?:/s|ps)?(?![\w/])")
_STATED = r"max(?:imum|imal)?\.?|up to|rated|nominal|draws?|takes?|load"
_AMPS = re.compile(
    rf"(?:\b(?P<stated>{_STATED})\s*|(?<![\w.,]))(?P<amps>{_NUMBER})\s*(?P<unit>A|amps?|Amps?)(?![\w/])"
)
_WATTS = re.compile(
    rf"(?<![\w.,/])(?:(\d{{1,2}})\s*[x×*]\s*)?({_NUMBER})\s*(k?)(?:W|[Ww]atts?)(?![\w/.-])"
)
_CURRENT_LOOP = re.compile(
    r"(?<![\w.,])[04]\s*(?:-|–|/|to|bis|à|a|\.{2,3}|…)?\s*20\s*mA(?!\w)", re.IGNORECASE
)
_OTHER_AMPS = re.compile(r"fuse|sicherung|fusible|peak|inrush|stall|spitze", re.IGNORECASE)
_SWITCHES = re.compile(
    r"(?<!\w)(?:square|rectangular|rechteck\w*|pwm|pulsed?|pulse train|duty)(?!\w)", re.IGNORECASE
)
SURE_AMPS = 10.0  # `valve 2 A` may be side A of valve 2; nobody numbers valves from here on


@dataclass(frozen=True, slots=True)
class ToldFigures:
    """What a wording tells: volts from one to another, amperes, kbit/s; whether it switches."""

    volts: tuple[float, float] | None = None
    amps: float | None = None
    kbit_s: float | None = None
    switches: bool = False


def has_units(wording: str) -> bool:
    """Whether a letter that may be a unit stands behind a number."""
    return _WITH_UNIT.search(wording) is not None


@lru_cache(maxsize=4096)
def told_figures(wording: str) -> ToldFigures:
    """The figures of a wording; of two of a kind neither is taken."""
    if not has_units(wording):
        return ToldFigures(switches=_SWITCHES.search(wording) is not None)
    return ToldFigures(
        volts=_volts(wording),
        amps=_amps(wording),
        kbit_s=_rate(wording),
        switches=_SWITCHES.search(wording) is not None,
    )


def _volts(wording: str) -> tuple[float, float] | None:
    found = _VOLTS.findall(wording)
    if len(found) != 1:
        return None
    low, high = found[0]
    one, two = sorted((_value(low), _value(high or low)))
    return one, two


def _rate(wording: str) -> float | None:
    found = _RATE.findall(wording)
    if len(found) != 1:
        return None
    figure, unit = found[0]
    value = _value(figure)
    return value * KILO if unit == "M" else value


def without_load(wording: str) -> str:
    """The wording without the amperes and watts that it tells: they name no circuit."""
    return _WATTS.sub(" ", _AMPS.sub(lambda told: " " if _are_amps(told) else told[0], wording))


def tells_current_loop(wording: str) -> bool:
    """Whether a wording tells a signal of 4 to 20 or 0 to 20 mA."""
    return "20" in wording and _CURRENT_LOOP.search(wording) is not None


def watts_in(wording: str) -> tuple[float, ...]:
    """Every figure of watts in a wording [W]: `2 x 55 W` is one of 110."""
    if "W" not in wording and "watt" not in wording:
        return ()
    found = _WATTS.findall(wording)
    return tuple(
        float(times or ONCE) * _value(figure) * (KILO if kilo else ONCE)
        for times, figure, kilo in found
    )


def _amps(wording: str) -> float | None:
    found = list(_AMPS.finditer(wording))
    if len(found) != 1 or _OTHER_AMPS.search(wording):
        return None
    return _value(found[0]["amps"]) if _are_amps(found[0]) else None


def _are_amps(told: re.Match[str]) -> bool:
    """Whether figure and letter are amperes, not side A of the second."""
    if told["stated"] or told["unit"] != "A":
        return True
    return "." in told["amps"] or "," in told["amps"] or _value(told["amps"]) >= SURE_AMPS


def _value(figure: str) -> float:
    return float(figure.replace(",", "."))
