"""One line of the survey taken apart: `loom.1 12.6 V off`, `loom.12 to loom.8 0 V 1.8k`."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from wiremap.base import only
from wiremap.entries.lines import (
    BETWEEN,
    IGNITION,
    MINUS_SIGN,
    ROW_MARKS,
    Probes,
    probes,
    taken_out,
)
from wiremap.entries.numbers import MOST_OHMS, OHMS_SAID, SIGNED, decimal, read_seen
from wiremap.model import OnOff, Seen, Span
from wiremap.trade.tables import figure

MOST_VOLTS = figure("meter.toml", "row", "most-volts")
LIVE_FROM, MOST_LIVE = 1, 60  # V: less is a ground's, more no machine of ours has
BEYOND = f"no meter shows that: up to {MOST_VOLTS:g} V and {MOST_OHMS / 1e6:g} M are taken"

_VOLTS = re.compile(rf"(?<!\S)({SIGNED})\s*(m?)[Vv](?:olts?)?(?!\S)")


@dataclass(frozen=True, slots=True)
class Shown:
    """What the meter showed, and how the ignition stood."""

    volts: float | None
    seen: Seen | Span | None
    key: OnOff | None


def probes_in(line: str) -> Probes:
    """The points of a line, read as a line of the ring-out is; marks of a printed row aside."""
    return probes(ROW_MARKS.sub(" ", BETWEEN.sub(" ", line)))


def unit_meant(said: str, *, is_ohms: bool) -> str:
    """The unit of a figure that is typed without one, where nothing else can be meant; else empty.

    Where the ignition is told volts are meant, as for ohms the battery is off; `is_ohms` says that
    the row asks for ohms.
    """
    if not figure_alone(said):
        return ""
    if IGNITION.search(said):
        return "V"
    return "ohm" if is_ohms else ""


def may_be_live(said: str) -> bool:
    """Whether a figure without a unit may be the volts of a contact that something feeds."""
    alone = figure_alone(said)
    return bool(alone) and LIVE_FROM <= abs(decimal(alone)) <= MOST_LIVE


def figure_alone(said: str) -> str:
    """The figure that stands without a unit, by itself or beside the ignition; empty if none."""
    rest = MINUS_SIGN.sub("-", IGNITION.sub(" ", said)).strip()
    return rest if re.fullmatch(SIGNED, rest) else ""


def shown(said: str, *, has_black: bool, states: Iterable[str], unit: str = "") -> Shown | str:
    """What a meter showed by the words behind the points, or in words what is wrong with them.

    `states` are what the row may ask for, told where a word is not understood; `unit` is that of a
    figure that has none (see `unit_meant`).
    """
    keys, said = taken_out(IGNITION, said)
    said = f"{MINUS_SIGN.sub('-', said).strip()} {unit}".rstrip()
    volts, said = taken_out(_VOLTS, said)
    seen = _all_seen(said, states)
    if isinstance(seen, str):
        return seen
    if not volts and not seen:
        return "no volts and no ohms are said"
    if max(len(volts), len(seen), len(keys)) > 1:
        return "one line holds one reading"
    if seen and not has_black:
        return "ohms are read between two points: say where the black probe stood"
    if not seen and not keys:
        return "volts hang on the ignition: say ignition off or ignition on"
    figure, key = only(volts), only(keys)
    shows = Shown(
        None if figure is None else _volts(figure),
        only(seen),
        None if key is None else OnOff(key[1].casefold()),
    )
    return BEYOND if shows.volts is not None and abs(shows.volts) > MOST_VOLTS else shows


def _all_seen(said: str, states: Iterable[str]) -> list[Seen | Span] | str:
    """What words without volts say of the display; or what is wrong with the first that says none.

    Ohms come first, a figure and its unit as one word.
    """
    figures, others = taken_out(OHMS_SAID, said)
    seen: list[Seen | Span] = []
    for word in (*("".join(found[0].split()) for found in figures), *others.split()):
        read = read_seen(word)
        if read is None and figures and word[0] in "0123456789>":
            return BEYOND
        wrong = _no_reading(word, read, states)
        if wrong or read is None:
            return wrong
        seen.append(read)
    return seen


def _no_reading(word: str, read: Seen | Span | None, states: Iterable[str]) -> str:
    """Why a word is no reading of a survey; empty if it is one."""
    if word[-1].isdigit() and word.replace(",", ".").replace(".", "").isdigit():
        return f"`{word}` has no unit: V, mV, ohm, k or M"
    if read in (Seen.UNSURE, Seen.DIODE):
        return f"`{word}` proves nothing here: read volts or ohms"
    if read is not None:
        return ""
    wrong = f"`{word}` is no reading of a survey"
    either = " or ".join(states)
    return f"{wrong}; the state here may be {either}" if either else wrong


def _volts(found: re.Match[str]) -> float:
    return decimal(found[1]) / (1000 if found[2] else 1)
