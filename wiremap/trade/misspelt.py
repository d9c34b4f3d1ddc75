"""Words of a wording that a slip of the hand keeps from being one of the table of dangers.

Looked for are the slips that `slipping` weighs.  Words without vowels count as the word that has
their consonants, and shorthand as what it is written for.  A word that any table knows is none of
them, nor is a word of everyday language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache, cached_property, lru_cache
from typing import NamedTuple

from wiremap.trade.phrases import TABLE, plain
from wiremap.trade.slipping import FEWER, HEAVY, MIDDLE, SHORT, VOWELS, weight_of
from wiremap.trade.tables import table
from wiremap.trade.vocabulary import (
    ENDING,
    LONGEST_TYPED,
    SHORTHAND,
    STEM,
    dangerous_words,
    moving,
    options,
    ordinary_words,
)

MOST = 6  # words of one wording that are looked at
INFLECTED = 2  # letters that may follow a harmless one
BEGIN = 3  # letters that a word's first key has,
BEHIND = 4  # and where its second begins
_PIECE = re.compile(r"[^\W\d_]+")


class _Stem(NamedTuple):
    """A word of a table, and how many letters may follow it."""

    text: str
    ending: int


@lru_cache(maxsize=16384)
def respelt(wording: str) -> str:
    """The wording with such words as the table of dangers has them; as it is without any."""
    return _with_meant(wording, _dangers())


@lru_cache(maxsize=16384)
def respelt_harmless(wording: str) -> str:
    """The wording with such words as the tables of false friends and lamps have them."""
    return _with_meant(wording, _harmless())


def _with_meant(wording: str, speller: _Speller) -> str:
    if len(wording) > LONGEST_TYPED:
        return wording
    words = _PIECE.findall(wording)[:MOST]
    meant = {word: speller.meant(plain(word)) for word in words}
    if not any(meant.values()):
        return wording
    return _PIECE.sub(lambda found: meant.get(found[0]) or found[0], wording)


class _Speller:
    """Words of a table, and which of them a person meant who typed something near."""

    def __init__(
        self, options: Mapping[str, int], short: Mapping[str, str], *, strict: bool = False
    ) -> None:
        self._options = options
        self._short = short
        self._strict = strict  # a wrong letter makes another word
        self._met: dict[str, str] = {}
        self._bare: dict[str, Mapping[str, str]] = {}

    def meant(self, typed: str) -> str:
        """The word that was meant, with what follows its stem; empty if it is none."""
        if typed not in self._met:
            self._met[typed] = self._short.get(typed, "") or self._found(typed)
        return self._met[typed]

    def _found(self, typed: str) -> str:
        if len(typed) < SHORT - 1 or typed in ordinary_words():  # known, as most words are
            return ""
        if not any(letter in VOWELS for letter in typed[1:]):
            meant = self._by_consonants(typed[0]).get(_consonants(typed), "")
            return meant if meant and not _is_known(typed, meant) else ""
        behind = typed[SHORT - 1 :]
        moves = any(word in behind for word in moving())
        found: list[tuple[int, str, str]] = []
        for stem in dict.fromkeys(self._near(typed)):
            if moves or len(typed) - len(stem.text) - 1 <= stem.ending:
                found += _ways(typed, stem)
        if self._strict:
            found = [each for each in found if _is_near(typed, *each)]
        if not found:
            return ""
        _, meant, rest = min(found)
        return "" if _is_known(typed, meant) else meant + rest

    def _near(self, typed: str) -> Iterator[_Stem]:
        """The words that begin like it, or go on like it behind their first letters."""
        yield from self._stems.get(typed[:BEGIN], ())
        for at in (BEHIND, BEHIND + 1, BEHIND - 1):
            for end in (at + 1, at + 2):
                yield from self._stems.get(f"{typed[0]}~{typed[at:end]}", ())

    @cached_property
    def _stems(self) -> Mapping[str, list[_Stem]]:
        """The words, and how many letters may follow, by two keys each.

        One slip leaves either the first letters as they are or what stands behind them.
        """
        found: dict[str, list[_Stem]] = {}
        for stem, ending in self._options.items():
            if len(stem) >= SHORT:
                entry = _Stem(stem, ending)
                found.setdefault(stem[:BEGIN], []).append(entry)
                found.setdefault(f"{stem[0]}~{stem[BEHIND : BEHIND + 2]}", []).append(entry)
        return found

    def _by_consonants(self, letter: str) -> Mapping[str, str]:
        """The words that begin so by their consonants, and by those with one within left out."""
        if letter not in self._bare:
            self._bare[letter] = self._begun_by(letter)
        return self._bare[letter]

    def _begun_by(self, letter: str) -> Mapping[str, str]:
        found: dict[str, str] = {}
        fewer: dict[str, str] = {}
        for stem in self._options:
            if not stem.startswith(letter):
                continue
            bare = _consonants(stem)
            if len(bare) >= SHORTHAND:
                found.setdefault(bare, stem)
            if len(bare) > SHORTHAND:
                for at in range(1, len(bare) - 1):
                    fewer.setdefault(bare[:at] + bare[at + 1 :], stem)
        return fewer | found


def _ways(typed: str, stem: _Stem) -> Iterator[tuple[int, str, str]]:
    """How a word may be a slip for a stem: what the slips weigh, the stem, and what follows it."""
    letters = len(stem.text)
    for size in range(letters - FEWER, letters + 2):
        rest = typed[size:]
        if len(rest) <= stem.ending or rest.startswith(moving()):
            weight = weight_of(typed[:size], stem.text)
            if weight and (weight <= HEAVY or len(rest) <= ENDING):
                yield weight, stem.text, rest


def _is_near(typed: str, weight: int, stem: str, rest: str) -> bool:
    """Whether a harmless word is meant: one slip, and no letter wrong, which makes another word."""
    return weight <= HEAVY and (
        len(typed) != len(stem + rest) or sorted(typed) == sorted(stem + rest)
    )


def _consonants(word: str) -> str:
    """A word's first letter and its consonants, one of each double."""
    found = word[:1]
    for letter in word[1:].replace("ck", "k"):
        if letter not in VOWELS and letter != found[-1]:
            found += letter
    return found


# ---- the words of the tables


@cache
def _dangers() -> _Speller:
    """The words of dangers, and what is written short for one."""
    return _Speller(options("word"), _short(harmless=False))


@cache
def _harmless() -> _Speller:
    """The words of false friends and lamps."""
    stems = [*options("friend"), *options("lamp")]
    endings = {stem: INFLECTED * (len(stem) > STEM) for stem in stems}
    return _Speller(endings, _short(harmless=True), strict=True)


def _short(*, harmless: bool) -> Mapping[str, str]:
    """What words are written short for."""
    found: dict[str, str] = {}
    for row in table(TABLE).section("short", words=tuple, meant=str):
        if row.get("harmless", False) is harmless:
            found.update(dict.fromkeys(row["words"], row["meant"]))
    return found


def _is_known(typed: str, meant: str) -> bool:
    """Whether it is a word of its own: one that a table has, begins with, or is cut short to.

    A word that the one meant begins with does not count.  Asked last, as it costs most.
    """
    if typed in dangerous_words():
        return True
    starts = {typed[:size] for size in range(MIDDLE, len(typed) + 1)}
    if any(not meant.startswith(start) for start in starts & ordinary_words()):
        return True
    if len(typed) < MIDDLE:
        return False
    begun = (word for word in ordinary_words() if word.startswith(typed))
    return any(not word.startswith(meant) for word in begun)
