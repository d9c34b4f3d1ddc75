"""Words of a wording that name a danger, in many languages, once their false friends are out."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from types import MappingProxyType

from wiremap.trade.limits import limit
from wiremap.trade.phrases import Pattern, fillers, phrases, plain
from wiremap.trade.tables import table

LONGEST = 400  # characters of a wording that are looked at
HIGHEST_VOLTS = limit("class-b-dc-volts")
HIGHEST_VOLTS_AC = limit("class-b-ac-volts")


class Treatment(StrEnum):
    """What becomes of a contact whose wording names a danger."""

    REFUSED = "refused"  # no work, no override
    LICENSED = "licensed"  # held until a named licensed person has answered what it is
    ASKED = "asked"  # a question that a named person answers


class DangerKind(StrEnum):
    """What can hurt people."""

    RESTRAINT = "restraint"
    HIGH_VOLTAGE = "high-voltage"
    BRAKES = "brakes"
    WHEEL_SPEED = "wheel-speed"
    STEERING = "steering"
    LIFTING = "lifting"
    TIPPING = "tipping"
    SLEWING = "slewing"
    WINCH = "winch"
    OUTRIGGER = "outrigger"
    LOAD_MOMENT = "load-moment"
    POWER_TAKE_OFF = "power-take-off"
    DRIVE_DIRECTION = "drive-direction"
    DRIVE_ENABLE = "drive-enable"
    START_INTERLOCK = "start-interlock"
    OPERATOR_PRESENCE = "operator-presence"
    TWO_HAND = "two-hand"
    HOLD_TO_RUN = "hold-to-run"
    EMERGENCY_STOP = "emergency-stop"
    GUARD = "guard"
    ENGINE_STOP = "engine-stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class DangerClass:
    """A kind of danger: how it is treated, and what it means in a few words."""

    kind: DangerKind
    treatment: Treatment
    meaning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """A danger that a wording names.

    `said` is the wording's own words, `word` the table's (without accents), `language` its language
    (empty for a number of volts), `standing` how the table knows it.  `lamps_only` says that
    the wording speaks of a lamp that tells of the danger, and of nothing that acts.
    """

    kind: DangerKind
    said: str
    word: str
    language: str
    standing: str
    lamps_only: bool = False

    @property
    def treatment(self) -> Treatment:
        """How its class is treated."""
        return CLASSES[self.kind].treatment

    @property
    def meaning(self) -> str:
        """What its class means, in a few words."""
        return CLASSES[self.kind].meaning


@lru_cache(maxsize=16384)
def dangers_in(wording: str) -> tuple[Danger, ...]:
    """The dangers that a wording names, one of a kind, in the order of the kinds.

    False friends are taken out first: stop lamps, a steering wheel's heater, toggle switches.
    """
    words = _words(wording)
    text = _without_friends(_joined(words))
    longest: dict[DangerKind, Pattern] = {}
    for pattern in phrases("word").met(text):
        kind = DangerKind(pattern.row["class"])
        best = longest.get(kind)
        if best is None or pattern.length > best.length:
            longest[kind] = pattern
    lamps_only = bool(longest) and _lamps_only(text, longest.values())
    found = {}
    for kind, pattern in longest.items():
        found[kind] = Danger(
            kind=kind,
            said=" ".join(words[place] for place in pattern.places(text)),
            word=pattern.word,
            language=pattern.row.get("language", ""),
            standing=pattern.row["standing"],
            lamps_only=lamps_only and CLASSES[kind].treatment is not Treatment.REFUSED,
        )
    volts = _class_b(wording)
    if volts:
        found.setdefault(
            DangerKind.HIGH_VOLTAGE,
            Danger(
                kind=DangerKind.HIGH_VOLTAGE,
                said=volts,
                word=f"above {HIGHEST_VOLTS:g} V DC or {HIGHEST_VOLTS_AC:g} V AC",
                language="",
                standing="read",
            ),
        )
    return tuple(found[kind] for kind in DangerKind if kind in found)


def names_lamp(wording: str) -> bool:
    """Whether a wording names a lamp, a stop lamp included."""
    return any(phrases("lamp").met(_joined(_words(wording))))


# ---- texts

TAKEN = "~"  # stands in the place of what was taken out
_PIECE = re.compile(r"[^\W\d_]+|\d+")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_VOLTS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(k?)v(?:olts?)?\s*(ac|dc|~)?(?![a-z])", re.I)


def _words(wording: str) -> list[str]:
    """The words and numbers of a wording as they are written, without articles."""
    text = _CAMEL.sub(" ", unicodedata.normalize("NFC", wording[:LONGEST]))
    left_out = fillers()
    return [word for word in _PIECE.findall(text) if plain(word) not in left_out]


def _joined(words: Iterable[str]) -> str:
    """Words in lower case and without accents, between single spaces."""
    return f" {plain(' '.join(words))} "


def _taken_out(text: str, patterns: Iterable[Pattern]) -> str:
    spans = [span for pattern in patterns for span in pattern.spans(text)]
    for start, end in spans:
        text = text[:start] + TAKEN * (end - start) + text[end:]
    return text


def _without_friends(text: str) -> str:
    return _taken_out(text, phrases("friend").met(text))


def _lamps_only(text: str, dangers: Iterable[Pattern]) -> bool:
    """Whether a lamp is named beside the dangers, and nothing that acts."""
    rest = _taken_out(text, dangers)
    return any(phrases("lamp").met(rest)) and not any(phrases("acts").met(text))


def _class_b(wording: str) -> str:
    """The number of volts, as written, that is voltage class B; empty if none is."""
    for match in _VOLTS.finditer(wording[:LONGEST]):
        value = float(match[1].replace(",", ".")) * (1000 if match[2] else 1)
        limit = HIGHEST_VOLTS_AC if (match[3] or "").casefold() in ("ac", "~") else HIGHEST_VOLTS
        if value > limit:
            return match[0].strip()
    return ""


# ---- from the table


def _classes() -> Mapping[DangerKind, DangerClass]:
    found = {}
    for row in table("dangers.toml").section("class", slug=str, treatment=str, meaning=str):
        kind = DangerKind(row["slug"])
        treatment = Treatment(row["treatment"])
        found[kind] = DangerClass(kind=kind, treatment=treatment, meaning=row["meaning"])
    missing = set(DangerKind) - found.keys()
    if missing:
        raise ValueError(f"dangers.toml: no class for {', '.join(sorted(missing))}")
    return MappingProxyType(found)


CLASSES: Mapping[DangerKind, DangerClass] = _classes()
"""Every class of danger by its kind."""
