"""Which word of a table a person meant who typed something near.

Looked for are the slips that `slipping` weighs.  Words without vowels count as the word that has
their consonants.  A word that any table knows is none of them, nor is a word of everyday language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

from wiremap.trade.slipping import FEWER, HEAVY, MIDDLE, SHORT, VOWELS, weight_of
from wiremap.trade.vocabulary import (
    ENDING,
    LONGEST_TYPED,
    SHORTHAND,
    dangerous_words,
    moving,
    ordinary_words,
)

BEGIN = 3  # letters that a word's first key has,
BEHIND = 4  # and where its second begins
CUT = 5  # letters of a word that is cut short without a full stop, where no other word begins so
_CUT_WITHIN = re.compile(r"[^aeiouy]([bdfgkpt]r|[bvw])$|[tz][fk]$")  # what no word ends in: zapfw


class _Stem(NamedTuple):
    """A word of a table, and how many letters may follow it."""

    text: str
    ending: int


class Speller:
    """Words of a table, and which of them a person meant who typed something near."""

    def __init__(
        self, options: Mapping[str, int], short: Mapping[str, str], *, strict: bool = False
    ) -> None:
        self._options = options
        self._short = {word: meant for word, meant in short.items() if not word.startswith("*")}
        self._ends = {word[1:]: meant for word, meant in short.items() if word.startswith("*")}
        self._strict = strict  # a wrong letter makes another word
        self._met: dict[str, tuple[str, ...]] = {}
        self._bare: dict[str, Mapping[str, str]] = {}

    def short(self, typed: str) -> str:
        """What it is shorthand for; empty if for nothing."""
        return self._short.get(typed, "")

    def meant(self, typed: str) -> tuple[str, ...]:
        """The words that may be meant, each with what follows its stem."""
        if typed not in self._met:
            short = self.short(typed)
            self._met[typed] = (short,) if short else self._found(typed)
        return self._met[typed]

    def _found(self, typed: str) -> tuple[str, ...]:
        if len(typed) < SHORT - 1 or typed in ordinary_words():  # known, as most words are
            return ()
        for end, meant in self._ends.items():
            if typed[BEGIN:].endswith(end) and typed[-len(end) - 1] not in VOWELS:
                return (typed.removesuffix(end) + meant,)
        if not any(letter in VOWELS for letter in typed[1:]):
            meant = self._by_consonants(typed[0]).get(_consonants(typed), "")
            return (meant,) if meant and not _is_known(typed, meant) else ()
        behind = typed[SHORT - 1 :]
        moves = any(word in behind for word in moving())
        found: list[tuple[int, str, str]] = []
        for stem in dict.fromkeys(self._near(typed)):
            if moves or len(typed) - len(stem.text) - 1 <= stem.ending:
                found += _ways(typed, stem)
        if self._strict:
            found = [each for each in found if _is_near(typed, *each)]
        if not found:
            return self._cut_short(typed)
        least = min(found)[0]
        near = sorted({(meant, rest) for weight, meant, rest in found if weight == least})
        return tuple(meant + rest for meant, rest in near if not _is_known(typed, meant))

    def _cut_short(self, typed: str) -> tuple[str, ...]:
        """The words that it begins, where nothing harmless begins so: `throt`.

        What a compound begins with is a word of its own, unless no word ends so.
        """
        if self._strict or len(typed) < CUT:
            return ()
        most = LONGEST_TYPED if _CUT_WITHIN.search(typed) else ENDING
        near = (stem for stem in self._stems.get(typed[:BEGIN], ()) if stem.ending <= most)
        begun = {stem.text for stem in near if stem.text.startswith(typed)}
        return tuple(stem for stem in sorted(begun) if not _begins_another(typed, stem))

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
            if len(stem) >= SHORT - 1:
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


def _is_known(typed: str, meant: str) -> bool:
    """Whether it is a word of its own: one that a table has, begins with, or is cut short to.

    A word that the one meant begins with does not count.  Asked last, as it costs most.
    """
    if typed in dangerous_words():
        return True
    starts = {typed[:size] for size in range(MIDDLE, len(typed) + 1)}
    if any(not meant.startswith(start) for start in starts & ordinary_words()):
        return True
    return len(typed) >= MIDDLE and _begins_another(typed, meant)


def _begins_another(typed: str, meant: str) -> bool:
    """Whether an ordinary word begins so, but not with the one meant."""
    begun = (word for word in ordinary_words() if word.startswith(typed))
    return any(not word.startswith(meant) for word in begun)
