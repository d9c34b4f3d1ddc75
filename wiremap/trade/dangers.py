"""Words of a wording that name a danger, in many languages, once their false friends are out."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache
from types import MappingProxyType

from wiremap.trade.cut_short import written_out
from wiremap.trade.limits import limit
from wiremap.trade.misspelt import in_full, respelt, respelt_harmless
from wiremap.trade.parted import put_together
from wiremap.trade.parts import Found, met, vague
from wiremap.trade.phrases import Pattern, fillers, phrases, plain
from wiremap.trade.tables import table

LONGEST = 400  # characters of a wording that are looked at
TextSpan = tuple[int, int]  # where a piece of text begins and ends
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
    DOOR = "door"
    ENGINE_STOP = "engine-stop"
    ENGINE_SPEED = "engine-speed"
    GAS = "gas"
    CHARGE_SENSE = "charge-sense"


TOLD = frozenset(
    (
        DangerKind.BRAKES,
        DangerKind.WHEEL_SPEED,
        DangerKind.STEERING,
        DangerKind.LIFTING,
        DangerKind.TIPPING,
        DangerKind.SLEWING,
        DangerKind.WINCH,
        DangerKind.OUTRIGGER,
        DangerKind.POWER_TAKE_OFF,
        DangerKind.DRIVE_DIRECTION,
        DangerKind.ENGINE_SPEED,
    )
)
"""Kinds of which a counter, a display or a radio only tells; no safety loop is among them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DangerClass:
    """A kind of danger: how it is treated, and what it means in a few words."""

    kind: DangerKind
    treatment: Treatment
    meaning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedDanger:
    """A kind of danger and the words, `said`, that name it.

    `lamps_only` says that they speak of a lamp, a display or a counter that tells of the danger,
    and of nothing that acts.
    """

    kind: DangerKind
    said: str
    lamps_only: bool = False

    @property
    def treatment(self) -> Treatment:
        """How its class is treated."""
        return CLASSES[self.kind].treatment

    @property
    def meaning(self) -> str:
        """What its class means, in a few words."""
        return CLASSES[self.kind].meaning


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger(NamedDanger):
    """A danger that a wording names.

    `word` is the table's word (without accents), `language` its language (empty for a number of
    volts), `standing` how the table knows it.
    """

    word: str
    language: str
    standing: str


@lru_cache(maxsize=16384)
def dangers_in(wording: str) -> tuple[Danger, ...]:
    """The dangers that a wording names, one of a kind, in the order of the kinds.

    False friends are taken out first: stop lamps, a steering wheel's heater, toggle switches.
    Words that a full stop cuts short count as what they begin, misspelt ones as what was meant,
    a compound that was written apart as one word.
    """
    return _dangers(_uncounted(_CAMEL.sub(" ", wording[:LONGEST].replace("_", " "))))


def acting_in(wording: str) -> tuple[Danger, ...]:
    """The dangers that a wording names, but for those of what only tells of one (`lamps_only`)."""
    return tuple(danger for danger in dangers_in(wording) if not danger.lamps_only)


@lru_cache(maxsize=16384)
def _uncounted(wording: str) -> str:
    """The wording without a number at its end that only counts (`brake 2`), so that contacts that
    are worded alike are looked at once; numbers that the table has (`terminal 50`) stay.
    """
    counted = _COUNTED.search(wording)
    if counted and counted[1] not in _numbers():
        return wording[: counted.start()]
    return wording


@lru_cache(maxsize=16384)
def _dangers(wording: str) -> tuple[Danger, ...]:
    whole = {word for danger in _named(wording) for word in danger.said.split()}
    friendly = next(written_out(wording, "friend", whole), wording)
    if whole or "." in wording:
        friendly = put_together(friendly, "friend")
    named = _named(friendly)
    if named:
        harmless = respelt_harmless(friendly)
        fewer = _named(harmless)
        if _count_acting(fewer) < _count_acting(named):
            friendly, named = harmless, fewer
    found = {danger.kind: danger for danger in named}
    spelled = respelt(friendly)[
        : 1 if found else None
    ]  # of one danger that is named enough is said
    full = dict.fromkeys((friendly, in_full(friendly)))
    cut = (out for way in full for out in written_out(way, "word", whole))
    for way in (*cut, *spelled, put_together(friendly, "word")):
        if way != friendly:
            for danger in _named(way):
                found.setdefault(danger.kind, danger)
    return tuple(found[kind] for kind in DangerKind if kind in found)


def _named(wording: str) -> tuple[Danger, ...]:
    """The dangers that words written in full name."""
    words = _words(wording)
    text = _without_friends(_joined(words))
    longest = _longest(text)
    told = frozenset() if _ends_in_another_thing(wording) else _only_told(text, longest)
    found = {}
    for kind, pattern in longest.items():
        found[kind] = Danger(
            kind=kind,
            said=" ".join(words[place] for place in pattern.places(text)),
            word=pattern.word,
            language=pattern.row.get("language", ""),
            standing=pattern.row["standing"],
            lamps_only=kind in told,
        )
    if DangerKind.GUARD in found:  # a guard's door is the guard
        found.pop(DangerKind.DOOR, None)
    volts = _class_b(wording)
    if volts and (DangerKind.HIGH_VOLTAGE not in found or DangerKind.HIGH_VOLTAGE in told):
        found[DangerKind.HIGH_VOLTAGE] = _of_volts(volts)
    return tuple(found[kind] for kind in DangerKind if kind in found)


def _count_acting(dangers: Iterable[Danger]) -> int:
    """How many dangers are of what acts, not of a lamp that only tells of one."""
    return sum(not danger.lamps_only for danger in dangers)


def _longest(text: str) -> dict[DangerKind, Pattern]:
    """The longest wording of each kind that a text meets; parts count where no wording does."""
    found: dict[DangerKind, Pattern] = {}
    for pattern in [*phrases("word").met(text)] or _moved_parts(text):
        kind = DangerKind(pattern.row["class"])
        if kind not in found or pattern.length > found[kind].length:
            found[kind] = pattern
    return found


def _moved_parts(text: str) -> Iterator[Pattern]:
    """The parts of a machine that can hurt, and motions of whatever moves, that a text names.

    Water, grease and heat beside a part are no motion of it; what is only watched hurts nobody.
    """
    if any(met("apart", text)):
        return
    named = [part for part in met("part", text) if _is_a_danger(text, part)]
    for part in met("carry", text):
        of_power = part.row["class"] == DangerKind.POWER_TAKE_OFF
        if _is_moved(text, part, WAYS if of_power else OPENED):
            named.append(part)
    if not any(met("watched", text)):
        named += met("lone", text)
        named += (motion for motion in met("move", text) if _names_more(text, motion))
    for found in named:
        yield Pattern((text[found.start : found.end],), found.row)


def _is_a_danger(text: str, part: Found) -> bool:
    """Whether nothing says that a part is only watched, or something that it is moved."""
    if not any(met("watched", text)) and text[part.start : part.end] not in vague():
        return True
    pieces = (*met("piece", text), *met("part", text))
    return any(_apart(part, other) for other in pieces) or _is_moved(text, part, MOVED_BY)


def _is_moved(text: str, part: Found, sections: Iterable[str]) -> bool:
    """Whether the rest of a text says that the part is moved, or fed."""
    rest = f"{text[: part.start]} {text[part.end :]}"
    if any(any(met(section, rest)) for section in sections):
        return True
    if any(phrases("motion").met(rest)):
        return True
    return sections is MOVED_BY and any(phrases("acts").met(rest))


def _names_more(text: str, motion: Found) -> bool:
    """Whether a text says of what a motion is, and that is no false friend."""
    rest = f"{text[: motion.start]} {text[motion.end :]}"
    return TAKEN not in text and not all(map(_only_places, rest.split()))


def _apart(one: Found, other: Found) -> bool:
    """Whether two stretches of a text have nothing in common."""
    return other.end <= one.start or one.end <= other.start


def _of_volts(volts: str) -> Danger:
    """High voltage, told by a number of volts."""
    return Danger(
        kind=DangerKind.HIGH_VOLTAGE,
        said=volts,
        word=f"above {HIGHEST_VOLTS:g} V DC or {HIGHEST_VOLTS_AC:g} V AC",
        language="",
        standing="read",
    )


def names_lamp(wording: str) -> bool:
    """Whether a wording names a lamp, a stop lamp included."""
    return any(_lamps_in(_joined(_words(wording))))


def names_alternating(wording: str) -> bool:
    """Whether a wording says alternating volts, however many."""
    return _alternates(_uncounted(wording))


@lru_cache(maxsize=16384)
def _alternates(wording: str) -> bool:
    if _WAVE.search(wording[:LONGEST]):
        return True
    return any(phrases("alternating").met(_joined(_words(wording))))


# ---- texts

_INDEX = 2  # letters of a word that only numbers or places what stands before it
SWITCHES = ("switch", "schalter")
WAYS = ("way",)  # what says that something goes somewhere
OPENED = (*WAYS, "opens")  # or is opened and shut
MOVED_BY = (*OPENED, "fed")  # or is moved
TAKEN = "~"  # stands in the place of what was taken out
_PIECE = re.compile(r"\b[Ll][123]\b|[^\W\d_]+|\d+")  # L1 to L3 are conductors (IEC 60445)
_CAMEL = re.compile(  # PdF is one word, and so are kV and mA
    r"(?<=[a-z])(?=[A-Z])(?!(?<=\b[A-Z][a-z])[A-Z]\b)(?<![^A-Za-z][km])"
)
_CLAMP = re.compile(r"\b(?:un)?clamp\b")
_APOSTROPHES = str.maketrans("ʼʹʻ", "'''")
_VOLTS = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(k?)(?:v(?:olt\w{0,4})?|wolt\w*|в(?:ольт\w*)?)\s*(ac|dc|ca|cc|~)?(?![a-zа-я])",
    re.I,
)
_AC = ("ac", "ca", "~")  # `ca` and `cc` are AC and DC in the Romance languages
# The sign of alternating current, which between two numbers is a range: 230 ~, ~230, 3~400, 3~
_AC_SIGN = re.compile(
    r"(?<![\d~.,])(\d{2,3})\s*~(?!\s*\d)"
    r"|(?:(?<![\d\s])\s*|\b3\s*)~\s*(\d{3})(?!\d)"
    r"|(?:\b3|\bL[123])\s*~(?!\s*\d)"
)
_SEPARATOR = re.compile(r"\s*[,;/+&]\s*|\s+(?:and|und|et|och|og|ja|oraz|en|y|e|i|и)\s+", re.I)
_COUNTED = re.compile(r"(?<=[^\W\d_])[ _-]+(\d+)$")  # a number behind the last word
_WAVE = re.compile(r"\d\s?v?\s?~", re.I)


def _words(wording: str) -> list[str]:
    """The words and numbers of a wording as they are written, without articles."""
    text = _CAMEL.sub(" ", unicodedata.normalize("NFC", wording[:LONGEST]).translate(_APOSTROPHES))
    left_out = fillers()
    return [word for word in _PIECE.findall(text) if plain(word) not in left_out]


def _joined(words: Iterable[str]) -> str:
    """Words in lower case and without accents, between single spaces."""
    return f" {plain(' '.join(words))} "


def _taken_out(text: str, patterns: Iterable[Pattern]) -> str:
    return _blanked(text, (span for pattern in patterns for span in pattern.spans(text)))


def _blanked(text: str, spans: Iterable[TextSpan]) -> str:
    for start, end in spans:
        text = text[:start] + TAKEN * (end - start) + text[end:]
    return text


def _without_friends(text: str) -> str:
    """The text without its false friends, TAKEN in their place.

    Words stay where those of a danger reach beyond them (parking brake lamp, emergency stop lamp,
    tail lift pump); those of a row of lamps stay beside what acts (brake lamp valve).
    """
    acts = any(phrases("acts").met(text))
    found = [
        friend for friend in phrases("friend").met(text) if not (acts and friend.row.get("lamps"))
    ]
    if not found:
        return text
    whole = [each for each in phrases("word").met(text) if len(each.needles) == 1]
    beyond = [span for pattern in whole for span in pattern.spans(text)]
    spans: list[TextSpan] = []
    for friend in found:
        own = list(friend.spans(text))
        if friend.row.get("lamps"):
            free = not _go_beyond(beyond, own)
        else:
            reach = [_whole_words(text, span) for span in own]
            free = len(friend.needles) > 1 or not _go_beyond(beyond, reach)
        if free:
            spans += own
    return _blanked(text, spans)


def _whole_words(text: str, span: TextSpan) -> TextSpan:
    start, end = span
    return text.rfind(" ", 0, start + 1) + 1, text.find(" ", end)


def _go_beyond(some: Iterable[TextSpan], others: Collection[TextSpan]) -> bool:
    """Whether one of some stretches of text meets one of the others and goes on beyond it."""
    for start, end in some:
        for left, right in others:
            meets = start < right and left < end
            if meets and (start < left or end > right):
                return True
    return False


def _only_told(text: str, dangers: Mapping[DangerKind, Pattern]) -> frozenset[DangerKind]:
    """The kinds that a wording only tells of: by a lamp, or by what counts, shows or plays."""
    if not dangers or _moves_behind(text):
        return frozenset()
    rest = _taken_out(text, dangers.values())
    lamp = any(_lamps_in(rest))
    moves = any(phrases("acts").met(text)) or _is_called_command(rest)
    if lamp and (_is_called_lamp(rest) or not moves):
        return frozenset(dangers)
    if any(phrases("tell").met(rest)) and not any(phrases("command").met(rest)):
        return TOLD.intersection(dangers)
    return frozenset()


def _lamps_in(text: str) -> Iterator[Pattern]:
    """The lamps that a text names; a clamp, which ends as a lamp does, is none."""
    return phrases("lamp").met(_CLAMP.sub(TAKEN, text))


def _ends_in_another_thing(wording: str) -> bool:
    """Whether the last of several things that a comma, a stroke or an `and` parts is no lamp and no
    display: `lamp and contact`.
    """
    parts = [part for part in _SEPARATOR.split(wording[:LONGEST]) if part.strip()]
    if not parts[1:]:
        return False
    last = _joined(_words(parts[-1]))
    if all(_only_places(word) for word in last.split()):
        return False
    tells = any(any(phrases(section).met(last)) for section in ("tell", "friend"))
    return not (tells or any(_lamps_in(last)))


def _moves_behind(text: str) -> bool:
    """Whether a danger stands before a lamp and a motion last behind it: `boom light raise`."""
    words = text.split()
    while words and not any(phrases("motion").met(f" {words[-1]} ")):
        if not _only_places(words.pop()):
            return False
    for place, word in enumerate(words[:-1]):
        if any(_lamps_in(f" {word} ")) or any(phrases("tell").met(f" {word} ")):
            return any(phrases("word").met(f" {' '.join(words[:place])} "))
    return False


def _is_called_command(text: str) -> bool:
    """Whether the last word is one that asks for something: a pedal, a button.

    A switch beside a lamp is the lamp's own.
    """
    words = text.split()
    while words and _only_places(words[-1]):
        words.pop()
    if not words or words[-1].startswith(SWITCHES):
        return False
    return any(phrases("command").met(f" {words[-1]} "))


def _is_called_lamp(text: str) -> bool:
    """Whether a lamp is what the words call the thing: a valve's lamp is a lamp, whatever acts.

    That word stands first in the languages whose row says so, and last in the others.
    """
    if any(phrases("beside").met(text)):
        return False
    words = text.split()
    for pattern in _lamps_in(f" {words[0]} "):
        if pattern.row.get("leads"):
            return True
    while words and _only_places(words[-1]):
        words.pop()
    last = f" {words[-1]} " if words else ""
    return any(not pattern.row.get("leads") for pattern in _lamps_in(last))


def _only_places(word: str) -> bool:
    """Whether a word only numbers what stands before it, or says where it is."""
    short = len(word) <= _INDEX or word.isdigit()
    return short or any(phrases("place").met(f" {word} "))


def _class_b(wording: str) -> str:
    """The number of volts, as written, that is voltage class B; empty if none is."""
    for match in _VOLTS.finditer(wording[:LONGEST]):
        value = float(match[1].replace(",", ".")) * (1000 if match[2] else 1)
        is_ac = (match[3] or "").casefold() in _AC
        if value > (HIGHEST_VOLTS_AC if is_ac else HIGHEST_VOLTS):
            return match[0].strip()
    for match in _AC_SIGN.finditer(wording[:LONGEST]):
        volts = match[1] or match[2]
        if volts is None or float(volts) > HIGHEST_VOLTS_AC:
            return match[0].strip()
    return ""


# ---- from the table


@cache
def _numbers() -> frozenset[str]:
    """The numbers that wordings of the table have."""
    rows = (row for rows in table("dangers.toml").sections.values() for row in rows)
    words = (word for row in rows for word in row.get("words", ()))
    return frozenset(re.findall(r"\d+", " ".join(words)))


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
