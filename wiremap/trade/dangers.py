"""Words of a wording that name a danger, in many languages, once their false friends are out."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from itertools import product
from types import MappingProxyType

from wiremap.trade.folding import folded
from wiremap.trade.limits import limit
from wiremap.trade.tables import table

LONGEST = 400  # characters of a wording that are looked at
COMPOUNDING = frozenset({"de", "nl", "sv", "da", "no", "fi", "hu"})  # run words together
SHORTEST_STEM = 6  # letters of a word that may begin within a longer one there
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
    longest: dict[DangerKind, _Pattern] = {}
    for pattern in _met(text, _DANGERS):
        best = longest.get(pattern.danger.kind)
        if best is None or pattern.length > best.length:
            longest[pattern.danger.kind] = pattern
    lamps_only = bool(longest) and _lamps_only(text, longest.values())
    found = {}
    for kind, pattern in longest.items():
        excused = lamps_only and CLASSES[kind].treatment is not Treatment.REFUSED
        said = " ".join(words[place] for place in pattern.places(text))
        found[kind] = replace(pattern.danger, said=said, lamps_only=excused)
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
    return any(_met(_joined(_words(wording)), _LAMPS))


# ---- patterns


@dataclass(frozen=True, slots=True)
class _Pattern:
    """A wording of the table as pieces of text that must all be there, and what it names.

    Words are parted by one space and stand between spaces, so that ` brake ` is a whole word and
    `brems` any part of one.
    """

    needles: tuple[str, ...]
    danger: Danger

    @property
    def length(self) -> int:
        """How many characters it takes up."""
        return sum(map(len, self.needles))

    def spans(self, text: str) -> Iterator[tuple[int, int]]:
        """Where its pieces begin and end, without the spaces around them."""
        for needle in self.needles:
            at = text.find(needle)
            while at >= 0:
                start = at + len(needle) - len(needle.lstrip())
                end = start + len(needle.strip())
                yield start, end
                at = text.find(needle, end)

    def places(self, text: str) -> list[int]:
        """The numbers of the words that it meets, from 0."""
        met: set[int] = set()
        for start, end in self.spans(text):
            first = text.count(" ", 0, start) - 1
            met.update(range(first, first + text.count(" ", start, end) + 1))
        return sorted(met)


_Index = Mapping[str, tuple[_Pattern, ...]]
_START = 4  # characters by which a pattern is looked up


def _met(text: str, index: _Index) -> Iterator[_Pattern]:
    """The patterns that a text meets."""
    starts = {text[at : at + _START] for at in range(len(text) - _START + 1)}
    for start in sorted(starts & index.keys()):
        for pattern in index[start]:
            if all(needle in text for needle in pattern.needles):
                yield pattern


# ---- texts

TAKEN = "~"  # stands in the place of what was taken out
_PIECE = re.compile(r"[^\W\d_]+|\d+")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_VOLTS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(k?)v(?:olts?)?\s*(ac|dc|~)?(?![a-z])", re.I)
_FAR = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe", "æ": "ae", "ß": "ss"})


def _words(wording: str) -> list[str]:
    """The words and numbers of a wording as they are written, without articles."""
    text = _CAMEL.sub(" ", unicodedata.normalize("NFC", wording[:LONGEST]))
    return [word for word in _PIECE.findall(text) if _plain(word) not in _FILLERS]


def _joined(words: Iterable[str]) -> str:
    """Words in lower case and without accents, between single spaces."""
    return f" {_plain(' '.join(words))} "


def _plain(word: str) -> str:
    return folded(word).casefold()


def _taken_out(text: str, patterns: Iterable[_Pattern]) -> str:
    spans = [span for pattern in patterns for span in pattern.spans(text)]
    for start, end in spans:
        text = text[:start] + TAKEN * (end - start) + text[end:]
    return text


def _without_friends(text: str) -> str:
    return _taken_out(text, _met(text, _FRIENDS))


def _lamps_only(text: str, dangers: Iterable[_Pattern]) -> bool:
    """Whether a lamp is named beside the dangers, and nothing that acts."""
    rest = _taken_out(text, dangers)
    return any(_met(rest, _LAMPS)) and not any(_met(text, _ACTS))


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


def _spelled(word: str) -> Iterator[str]:
    """A word without accents, and with them written out (ae, oe, ue, aa)."""
    for text in dict.fromkeys((word, word.translate(_FAR))):
        plain = _plain(text)
        if plain.strip("*") in _FILLERS:
            raise ValueError(f"dangers.toml: {word!r} is left out of every wording")
        yield plain


def _needles(phrase: tuple[str, ...], *, compounding: bool) -> Iterator[tuple[str, ...]]:
    """A phrase as pieces of text: parted only where a word may go on; also run together."""
    found = [""]
    for word in phrase:
        begins = word.startswith("*")
        if found[-1] and (begins or found[-1].endswith("*")):
            found.append("")
        found[-1] = word if begins else f"{found[-1]} {word}"
    yield tuple(map(_needle, found))
    if len(found) == 1 and len(phrase) > 1:
        yield (_needle(f" {''.join(phrase)}"),)
    if compounding and len(phrase) == 1 and phrase[0].endswith("*"):
        stem = phrase[0].strip("*")
        if len(stem) >= SHORTEST_STEM:
            yield (stem,)


def _needle(text: str) -> str:
    """A piece of text without its stars; a word that may not go on ends with a space."""
    return text.replace("*", "") if text.endswith("*") else f"{text.replace('*', '')} "


def _alternatives(words: str) -> Iterator[tuple[str, ...]]:
    """Every phrase that a wording of the table stands for, without its alternatives."""
    parts = []
    for word in words.split():
        spelled = [text for option in word.split("|") for text in _spelled(option)]
        parts.append(tuple(dict.fromkeys(spelled)))
    yield from product(*parts)


def _pieces(words: str, *, compounding: bool) -> Iterator[tuple[str, ...]]:
    parts = []
    for part in words.split(" + "):
        found: list[tuple[str, ...]] = []
        for phrase in _alternatives(part):
            found += _needles(phrase, compounding=compounding)
        parts.append(found)
    for chosen in product(*parts):
        yield tuple(needle for needles in chosen for needle in needles)


def _index(section: str) -> _Index:
    found: dict[str, list[_Pattern]] = {}
    for row in table("dangers.toml").section(section, words=tuple):
        kind = DangerKind(row.get("class", DangerKind.GUARD))
        compounding = row.get("language") in COMPOUNDING
        for word in row["words"]:
            for needles in _pieces(word, compounding=compounding):
                if len(needles[0]) < _START:
                    raise ValueError(f"dangers.toml: {word!r} is too short to be looked up")
                danger = Danger(
                    kind=kind,
                    said="",
                    word=" ".join(needle.strip() for needle in needles),
                    language=row.get("language", ""),
                    standing=row["standing"],
                )
                pattern = _Pattern(needles, danger)
                found.setdefault(needles[0][:_START], []).append(pattern)
    return MappingProxyType({start: tuple(patterns) for start, patterns in found.items()})


def _fillers() -> frozenset[str]:
    rows = table("dangers.toml").section("filler", words=tuple)
    return frozenset(_plain(word) for row in rows for word in row["words"])


CLASSES: Mapping[DangerKind, DangerClass] = _classes()
"""Every class of danger by its kind."""

_FILLERS = _fillers()
_DANGERS = _index("word")
_FRIENDS = _index("friend")
_LAMPS = _index("lamp")
_ACTS = _index("acts")
